"""Whether a week that was laid out follows from the weeks before it: the step, the lighter week, the way back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from nudgebot.domain.model.runner import LimitReason, Training
from nudgebot.domain.model.week import Week, WeekKind
from nudgebot.tools.simulate.judge import published as rule
from nudgebot.tools.simulate.judge.findings import Breach, Finding
from nudgebot.tools.simulate.judge.record import DAY, Record

# Weeks that were not laid out by the step: a return, a pause, walking first.
CALM = frozenset({WeekKind.RETURN, WeekKind.PAUSE, WeekKind.WALKING})
WEEK = timedelta(days=7)


def laid(record: Record, week: Week, *, begun: bool) -> Iterator[Finding]:
    """What is wrong with `week`; `begun` says that something in it was run, so that its target holds what was done."""
    book = record.book
    before = [each for each in book.weeks if each.start < week.start]
    if not isinstance(book.standing, Training):
        return
    if week.kind in {WeekKind.RETURN, WeekKind.WALK_RUN} or week.kind in CALM or book.walk_run is not None:
        yield from _empty(record, week, before)
        return
    # A gap that the days before have opened, or other run days than theirs, is closed first, by one of the shortest.
    closes_gap = not any(record.active.get(week.start - DAY * n, 0) >= rule.RUN_FROM for n in range(1, 3))
    closes_gap = closes_gap or (bool(before) and before[-1].kind is WeekKind.REGAIN)
    minutes = max(week.base, 0 if begun else week.target - closes_gap * rule.SHORTEST)
    most, why = _most(record, week, before)
    light = _after_light(record, before)
    if light is not None and light > most:
        most, why = light, "the mean of two light weeks and a step"
    if minutes > most:
        yield Finding(Breach.WEEK_STEP, week.start, f"{minutes} of {most} min: {why}")
    if not before or begun:
        return
    if light is not None and light < minutes:
        yield Finding(Breach.AFTER_LIGHT_WEEK, week.start, f"{minutes} of {light} min")
    base = _base(before)
    if base is not None and _lighter_is_due(record, before) and week.target > rule.lighter(base.base):
        yield Finding(Breach.NO_LIGHTER_WEEK, week.start, f"{week.target} of {rule.lighter(base.base)} min")


def _most(record: Record, week: Week, before: Sequence[Week]) -> tuple[int, str]:
    """The most minutes of the week by the step, and the clause that says so."""
    book, profile = record.book, record.book.profile
    top = rule.top_of(profile.goal.value, profile.custom_minutes)
    first = min(top, max(rule.WEEK_FLOOR, rule.floored(profile.weekly)))
    ran = [each for each in before if each.kind not in CALM]
    base = _base(before)
    if base is None:
        return first, "the first week"
    last = ran[-1]
    if before[-1].kind in CALM:
        return min(top, max(base.base, rule.WEEK_FLOOR)), "the old target after a return"
    done = record.week_done(last.start)
    midweek = last is before[0] and book.today(book.runner.joined_at) > last.start
    if last.target == 0:
        most, why = base.base, "nothing was planned before"
    elif done * 10 >= last.target * 9:
        most, why = rule.stepped(base.base, record.step_percent), "a step up"
        if _in_pain(record, week) or profile.pregnancy:
            most, why = base.base, "no step with pain of 3, or pregnant"
    elif done * 10 >= last.target * 6:
        most, why = base.base, "60 to 89 % done: the same again"
    else:
        two = [record.week_done(each.start) for each in ran[-2:]]
        # A week that shrank to its open days is weighed as if all of them had been open.
        mean = sum(two) / len(two) * last.base / last.target
        most, why = rule.floored(min(last.base, mean)), "under 60 % done: a step back"
    most = max(rule.WEEK_FLOOR, most, first if midweek else 0)
    return min(top, most), why


def _base(before: Sequence[Week]) -> Week | None:
    """The newest week that is neither lighter nor part of a way back."""
    ran = [each for each in before if each.kind not in CALM]
    return next((each for each in reversed(ran) if each.kind is not WeekKind.LIGHTER), ran[-1] if ran else None)


def _full(record: Record, week: Week) -> bool:
    """Neither planned lighter nor made light by life: three quarters of what it should have held were done."""
    light = week.kind is WeekKind.LIGHTER or week.target * 4 < week.base * 3
    return not light and week.target > 0 and record.week_done(week.start) * 4 >= week.target * 3


def _lighter_is_due(record: Record, before: Sequence[Week]) -> bool:
    """Three full weeks in a row; once the top was held for four weeks seven of them, or never."""
    profile = record.book.profile
    top = rule.top_of(profile.goal.value, profile.custom_minutes)
    full = 0
    for week in reversed(before):
        if week.kind in CALM or not _full(record, week):
            break
        full += 1
    held = 0
    for week in reversed(before):
        if week.kind is WeekKind.LIGHTER or week.kind in CALM:
            continue  # what life or a lighter week took does not end the time at the top
        if week.base < top or not _full(record, week):
            break
        held += 1
    if held < rule.TOP_HELD:
        return full >= rule.LIGHTER_EVERY
    return profile.goal.value not in rule.NO_LIGHTER_AT_TOP and full >= rule.LIGHTER_AT_TOP


def _lightened(record: Record, week: Week) -> bool:
    """Whether an illness, a hold or a return made the week light."""
    if _full(record, week):
        return False
    return week.kind in CALM or _paused(record, week.start, week.end)


def _paused(record: Record, first: date, last: date) -> bool:
    """Whether the runner was ill or on hold on one of the days from `first` to `last`."""
    off = {limit.day for limit in record.book.limits if limit.reason is LimitReason.ILL and not limit.minutes}
    for pause in record.book.pauses:
        off |= {pause.first + DAY * n for n in range((pause.last - pause.first).days + 1)}
    return any(first <= day <= last for day in off)


def _came_back(record: Record, week: Week) -> bool:
    """Whether the week ended a return that was no way back from an illness or a hold, and nine tenths of it were done.

    The old target follows such a return.
    """
    if week.kind is not WeekKind.RETURN or week.target == 0:
        return False
    since = week.start
    for before in reversed(record.book.weeks):
        if before.start < since:
            if before.kind not in CALM and before.kind is not WeekKind.WALK_RUN:
                break
            since = before.start
    since = min([since, *(gap.back - DAY * gap.days for gap in record.gaps(week.end + DAY) if gap.back >= since)])
    return not _paused(record, since, week.end) and record.week_done(week.start) * 10 >= week.target * 9


def _after_light(record: Record, before: Sequence[Week]) -> int | None:
    """The most minutes of a week after one lightened so, until a week is full again; None if there is none."""
    ran = [week for week in before if week.kind not in CALM]
    full = ran[0] if ran else None  # where none was full, the first one
    light = led_on = False  # `led_on`: the week after this one was part of a way back too
    for week in reversed(before):
        if _full_again(record, week):
            full = week
            break
        if not light and not led_on and _came_back(record, week):
            return None
        light = light or _lightened(record, week)
        led_on = week.kind in CALM
    if not light or full is None:
        return None
    two = [record.week_done(each.start) for each in before[-2:]]
    mean = sum(two) / len(two)
    return max(rule.WEEK_FLOOR, min(full.base, rule.floored(mean + max(10, mean / 10))))


def _full_again(record: Record, week: Week) -> bool:
    """An ordinary week that was full; one with a rest day after each run may be smaller where no day of it was lost."""
    if week.kind is WeekKind.REGAIN and not any(week.holds(limit.day) for limit in record.book.limits):
        return week.target > 0 and record.week_done(week.start) * 4 >= week.target * 3
    return week.kind not in CALM and _full(record, week)


def follows_a_light_one(record: Record, week: Week) -> bool:
    """Whether `week` comes after one that illness, a hold or a return made light, and no full one since."""
    return _after_light(record, [each for each in record.book.weeks if each.start < week.start]) is not None


def _in_pain(record: Record, week: Week) -> bool:
    return any(
        note.score is not None and note.score >= rule.PAIN_HOLDS and week.start - WEEK <= note.day < week.start
        for note in record.book.symptoms
    )


def _empty(record: Record, week: Week, before: Sequence[Week]) -> Iterator[Finding]:
    """A week on the way back without a session though a day is open and nothing keeps the runner from it."""
    days = [week.start + DAY * n for n in range(7)]
    opened = [day for day in days if day >= record.today and record.room(day) >= rule.SHORTEST]
    ran = any(record.active.get(day, 0) for day in days)
    left = any(session.day in days for session in record.book.plan)
    if before and len(opened) >= 2 and not ran and not left and not week.sessions and week.kind is not WeekKind.PAUSE:
        yield Finding(Breach.EMPTY_WEEK, week.start, f"{len(opened)} open days")
