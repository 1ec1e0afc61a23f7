"""From one week to the next: what was done decides what comes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import counted_minutes
from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.model.runner import Book, Ill, Joining, LimitReason, OnHold, Profile, Training, Walking
from nudgebot.domain.model.week import SESSION_MIN, STEP, Return, Week, WeekKind, floor5
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.limits import steady

LIGHT = frozenset({WeekKind.LIGHTER, WeekKind.EVENT})  # planned lighter: no base for what follows
CALM = frozenset({WeekKind.RETURN, WeekKind.PAUSE, WeekKind.WALKING})


class Why(StrEnum):
    """Why the next week is what it is; the words are found elsewhere."""

    STATED = "stated"  # week 1: the runner's stated minutes, at least 60, never above the dose
    DONE = "done"  # at least 90 % done
    TOP = "top"  # the top of the dose is reached
    PARTLY = "partly"  # 60-89 % done
    LITTLE = "little"  # under 60 % done
    NOTHING_PLANNED = "nothing planned"  # the last week held no session
    LIGHTENED = "lightened"  # the last week was lightened by illness, a hold or a return
    LIGHTER_TURN = "lighter turn"  # three full weeks, or seven at the top
    PAIN = "pain"  # pain of 3 or more holds the step
    PREGNANCY = "pregnancy"  # no progression
    STEADY = "steady"  # no progression: after an emergency, in low mood, with a condition that was told
    BREAK = "break"  # days without a run: the return table
    BACK = "back"  # after the return the old week comes back
    WALK_RUN = "walk-run"
    CLEARANCE = "clearance"  # walks until a clinician has cleared running
    EVENT = "event"  # an event is near, or just over
    PAUSE = "pause"  # on hold or ill


@dataclass(frozen=True, slots=True)
class Figures:
    """What the next week should hold with enough open days (min), its kind, why, and the `most` of it (0: no cap)."""

    full: int
    long_run: int
    kind: WeekKind
    why: Why
    most: int = 0


def done(book: Book, week: Week) -> int:
    """Minutes of the week that count toward the dose."""
    return counted_minutes(book.log, week.start)


def next_week(book: Book, start: date) -> Figures:
    """The figures of the week that begins on `start`, from the weeks and the log before it."""
    weeks = tuple(week for week in book.weeks if week.start < start)
    match book.standing:
        case OnHold() | Ill() | Joining():
            return Figures(0, 0, WeekKind.PAUSE, Why.PAUSE)
        case Walking():
            return Figures(rules.WALK_RUN_TOP.value, 0, WeekKind.WALKING, Why.CLEARANCE)
        case Training():
            pass
    if book.walk_run is not None:
        return Figures(_walk_run_week(book, weeks, start), 0, WeekKind.WALK_RUN, Why.WALK_RUN)
    if book.returning is not None and book.returning.end >= start:
        return _return_week(book, book.returning, weeks, start)
    ran = [week for week in weeks if week.kind not in CALM]
    if not ran:
        return first_week(book.profile)
    if _is_still_light(book, weeks):
        return _regained(book, weeks, start)
    if weeks[-1].kind in CALM:
        return _after_a_pause(book, ran, start)
    return _from_what_was_done(book, ran, start)


def _return_week(book: Book, back: Return, weeks: tuple[Week, ...], start: date) -> Figures:
    """The old week, of which each session of the return takes its share.

    Where most of the week comes after the return and the weeks before were light, it holds no more than is regained.
    """
    most = 0
    if 2 * ((back.end - start).days + 1) < 7 and any(week.kind not in CALM for week in weeks):
        most = _regained(book, weeks, start).full if _is_still_light(book, weeks) else 0
    return Figures(back.old_target, back.old_long, WeekKind.RETURN, Why.BREAK, most)


def first_week(profile: Profile) -> Figures:
    """Week 1: the stated minutes, at least 60, never above the dose."""
    full = min(max(rules.WEEK_FLOOR.value, floor5(profile.weekly)), dose.band(profile)[1])
    length = dose.long_run_length(profile)
    long_run = min(length, max(SESSION_MIN, floor5(profile.longest))) if length else 0
    return Figures(full, long_run, WeekKind.FIRST, Why.STATED)


def _from_what_was_done(book: Book, ran: list[Week], start: date) -> Figures:
    """Step up, the same again, a step back or a lighter week, from the weeks that were run so far."""
    profile, judged = book.profile, ran[-1]
    high, length = dose.band(profile)[1], dose.long_run_length(profile)
    base = next((week for week in reversed(ran) if week.kind not in LIGHT), judged)
    long_run = min(length, last_long(ran))
    same = Figures(min(base.base, high), long_run, WeekKind.REPEAT, Why.PARTLY)
    if judged.kind is WeekKind.EVENT:
        return replace(same, why=Why.BACK)
    if judged.target == 0:
        return replace(same, why=Why.NOTHING_PLANNED)
    if (
        judged is book.weeks[0]
        and book.today(book.runner.joined_at) > judged.start
        and _under(book, judged, rules.STEP_UP_FROM)
    ):
        return first_week(profile)  # a first week begun midweek is a try; the minutes stated are still the base
    if _lighter_is_due(book, ran, high):
        return Figures(
            max(rules.WEEK_FLOOR.value, floor5(rules.LIGHTER_SHARE.of(same.full))),
            max(SESSION_MIN, floor5(rules.LIGHTER_SHARE.of(long_run))) if long_run else 0,
            WeekKind.LIGHTER,
            Why.LIGHTER_TURN,
        )
    if _under(book, judged, rules.REPEAT_FROM):
        return Figures(_step_back(book, ran), long_run, WeekKind.BACK, Why.LITTLE)
    if _under(book, judged, rules.STEP_UP_FROM) or _under(book, base, rules.STEP_UP_FROM):
        return same
    if profile.pregnancy:
        return replace(same, why=Why.PREGNANCY)
    if steady(book, start):
        return replace(same, why=Why.STEADY)
    if _in_pain(book, start):
        return replace(same, why=Why.PAIN)
    long_run = min(length, long_run + rules.LONG_STEP.value)
    if base.base >= high:
        return Figures(high, long_run, WeekKind.STEADY, Why.TOP)
    # A coach who goes slower than the usual is not overruled by the least step: the grid alone sets theirs.
    least = rules.WEEK_STEP_LEAST.value if profile.coach_step >= rules.WEEK_STEP.value else STEP
    step = max(least, base.base * profile.coach_step / 100) if profile.coach_step else 0
    return Figures(min(high, floor5(base.base + step)), long_run, WeekKind.STEP, Why.DONE)


def _after_a_pause(book: Book, ran: list[Week], start: date) -> Figures:
    """The old week comes back; its long run climbs from the longest run of the way back."""
    old = next((week for week in reversed(ran) if week.kind not in LIGHT), ran[-1])
    # A break within a return keeps the target from before the first; a smaller week run since then holds.
    full = min(book.returning.old_target, old.base) if book.returning is not None else old.base
    length = min(dose.long_run_length(book.profile), last_long(ran))
    if book.returning is not None and length:
        recent = [e.minutes for e in book.log if e.is_run and book.returning.since <= e.day < start]
        step = 0 if steady(book, start) else rules.LONG_STEP.value
        length = min(length, max(SESSION_MIN, floor5(max(recent, default=0))) + step)
    return Figures(min(full, dose.band(book.profile)[1]), length, WeekKind.REPEAT, Why.BACK)


def _is_still_light(book: Book, weeks: tuple[Week, ...]) -> bool:
    """Whether illness, a hold or a return lightened one of the last weeks, and none was full since."""
    for week in reversed(weeks):
        if _is_full_again(book, week):
            return False
        if _is_lightened(book, week):
            return True
    return False


def _is_full_again(book: Book, week: Week) -> bool:
    """Whether the next week may build on this one, or on the old target where this one ends a return.

    A return that was done leads back to the old target; not so after an illness or a hold.
    """
    if week.kind is WeekKind.RETURN:
        return not _was_paused(book, week) and week.target > 0 and not _under(book, week, rules.STEP_UP_FROM)
    if week.kind is WeekKind.REGAIN and not any(week.holds(limit.day) for limit in book.limits):
        # With a rest day after each run it may hold less than it should: no day of it was lost, and it was done.
        return week.target > 0 and not _under(book, week, rules.FULL_FROM)
    return _is_full(book, week)


def _is_lightened(book: Book, week: Week) -> bool:
    """Whether illness or a hold took something from the week, or it was a way back."""
    return week.kind in {WeekKind.PAUSE, WeekKind.RETURN} or _was_paused(book, week)


def _was_paused(book: Book, week: Week) -> bool:
    """Whether the runner was ill or on hold in the week, or anywhere on the way back that ends with it."""
    since = _way_back_since(book, week) if week.kind in CALM else week.start
    paused = any(pause.first <= week.end and since <= pause.last for pause in book.pauses)
    return paused or any(since <= lim.day <= week.end and lim.reason is LimitReason.ILL for lim in book.limits)


def _way_back_since(book: Book, week: Week) -> date:
    """The first day of the break, or of the first of the weeks in a row, that led to `week` at the end of a return."""
    since = week.start
    for before in reversed([each for each in book.weeks if each.start < week.start]):
        if before.kind not in CALM and before.kind is not WeekKind.WALK_RUN:
            break
        since = before.start
    breaks = limits.breaks(book, week.end + timedelta(days=1))
    return min([since, *(pause.first for pause in breaks if pause.back >= since)])


def _regained(book: Book, weeks: tuple[Week, ...], start: date) -> Figures:
    """After a lightened week: the mean of the last two done and one step, no more than the last full week, from 60."""
    ran = [week for week in weeks if week.kind not in CALM]
    full = [week for week in ran if _is_full(book, week)]
    old = _after_a_pause(book, ran, start) if weeks[-1].kind in CALM else None
    most = min(full[-1].base if full else ran[0].base, old.full if old is not None else dose.band(book.profile)[1])
    two = weeks[-2:]
    mean = sum(done(book, week) for week in two) / len(two)
    step = max(rules.WEEK_STEP_LEAST.value, rules.WEEK_STEP.of(mean))
    target = max(rules.WEEK_FLOOR.value, floor5(min(most, mean + step)))
    long_run = old.long_run if old is not None else min(dose.long_run_length(book.profile), last_long(ran))
    return Figures(target, long_run, WeekKind.REGAIN, Why.LIGHTENED)


def _walk_run_week(book: Book, weeks: tuple[Week, ...], start: date) -> int:
    """Minutes of a week on walk-run: from 60 up to 90, ten more after a week that was done."""
    last = weeks[-1] if weeks else None
    if last is None or last.kind is not WeekKind.WALK_RUN or last.target == 0 or _under(book, last, rules.REPEAT_FROM):
        return rules.WEEK_FLOOR.value
    if _under(book, last, rules.STEP_UP_FROM) or steady(book, start):
        return last.base
    return min(rules.WALK_RUN_TOP.value, last.base + rules.WEEK_STEP_LEAST.value)


def _step_back(book: Book, ran: list[Week]) -> int:
    """The smaller of this week and the mean of the last two done, at least 60, on the grid."""
    last = ran[-1]
    mean = sum(done(book, week) for week in ran[-2:]) / len(ran[-2:])
    # A week that shrank to its open days is weighed as if all of them had been open.
    return max(rules.WEEK_FLOOR.value, floor5(min(last.base, mean * last.base / last.target)))


def last_long(ran: list[Week]) -> int:
    """The last long run that was planned in a week that was not lighter (min)."""
    return next((week.long_run for week in reversed(ran) if week.kind not in LIGHT and week.long_run), 0)


def _under(book: Book, week: Week, share: Rule) -> bool:
    return done(book, week) * 100 < share.value * week.target


def _is_full(book: Book, week: Week) -> bool:
    """Neither planned lighter nor made light by life."""
    light = week.kind in LIGHT or week.target * 100 < rules.FULL_FROM.value * week.base
    return not light and week.target > 0 and not _under(book, week, rules.FULL_FROM)


def _lighter_is_due(book: Book, ran: list[Week], high: int) -> bool:
    """Three full weeks in a row; once the top was held for four weeks, seven of them, or never."""
    full = 0
    for week in reversed(ran):
        if not _is_full(book, week):
            break
        full += 1
    held = 0
    for week in reversed(ran):
        if week.kind in LIGHT:
            continue
        if week.base < high or not _is_full(book, week):
            break
        held += 1
    if held < rules.TOP_HELD.value:
        return full >= rules.LIGHTER_AFTER.value
    return book.profile.goal not in {Goal.HEALTH, Goal.MAINTAIN} and full >= rules.LIGHTER_AFTER_TOP.value


def _in_pain(book: Book, start: date) -> bool:
    """Whether pain of 3 or more was told in the week before `start`."""
    return any(
        note.score is not None
        and note.score >= rules.PAIN_HOLDS.value
        and start - timedelta(days=7) <= note.day < start
        for note in book.symptoms
    )
