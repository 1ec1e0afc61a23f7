"""Why a week or a session is what it is: the rules that made it, with their values, sources and whose choice."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import GENTLE, STEP, Session, SessionKind, Week, WeekKind, week_start
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.replan_input import is_coming_back
from nudgebot.domain.planning.season import LIGHT
from nudgebot.domain.planning.week_template import pattern_of


class ReasonText(StrEnum):
    """What a reason says; the words are found elsewhere."""

    FIRST = "first"  # values: target, stated
    STEP = "step"  # target, from
    STEADY = "steady"  # target
    REPEAT = "repeat"  # target
    BACK = "back"  # target
    REGAIN = "regain"  # target
    LIGHTER = "lighter"  # target
    RETURN = "return"  # target, days
    WALK_RUN = "walk-run"  # target, step
    WALKING = "walking"  # target
    PAUSE = "pause"
    DOSE = "dose"  # low, high
    SPACING = "spacing"  # rest days
    RUN_DAYS = "run days"  # run days in a row
    SHRUNK = "shrunk"  # target, full: fewer open days than the week has sessions
    OPEN_A_DAY = "open a day"  # weekday: which day to open, 0 = Monday
    WEEK_CAP = "week cap"  # cap
    LONG_DAY = "long day"  # weekday
    LONG_STEP = "long step"  # minutes, length it grows to
    SESSION_CAP = "session cap"  # cap, longest
    OPEN_MINUTES = "open minutes"  # minutes
    HALF = "half"  # runs still at half
    ALIKE = "alike"  # minutes


@dataclass(frozen=True, slots=True)
class PlanReason:
    """One reason: what it says with which values, its source and whose choice it is."""

    text: ReasonText
    values: tuple[int, ...]
    source: str
    choice: Choice


# The rule behind each kind of week.
BEHIND: dict[WeekKind, Rule] = {
    WeekKind.FIRST: rules.WEEK_FLOOR,
    WeekKind.STEP: rules.WEEK_STEP,
    WeekKind.STEADY: rules.STEP_UP_FROM,
    WeekKind.REPEAT: rules.STEP_UP_FROM,
    WeekKind.BACK: rules.REPEAT_FROM,
    WeekKind.REGAIN: rules.WEEK_STEP,
    WeekKind.LIGHTER: rules.LIGHTER_SHARE,
    WeekKind.EVENT: rules.EVENT_WEEK,
    WeekKind.RETURN: rules.FIRST_HALF,
    WeekKind.WALK_RUN: rules.WALK_RUN_CLEAN,
}


def why(book: Book, what: Session | Week) -> tuple[PlanReason, ...]:
    """The reasons for a session or a week of the book, the most telling first."""
    return _why_week(book, what) if isinstance(what, Week) else _why_session(book, what)


def _why_week(book: Book, week: Week) -> tuple[PlanReason, ...]:
    profile = book.profile
    low, high = dose.band(profile)
    reasons = [_kind(book, week)]
    if week.kind in {WeekKind.PAUSE, WeekKind.WALKING}:
        return tuple(reasons)
    if book.half_runs:
        reasons.append(_of(rules.HALF_RUNS, ReasonText.HALF, book.half_runs))
    if week.target < week.base:
        pattern = pattern_of(book, week.base, week.long_run, week.kind)
        layout = pattern.layout
        if week.kind is not WeekKind.RETURN and sum(pattern.minutes) < week.base:
            reasons.append(_by(Choice.RUNNER, ReasonText.SHRUNK, week.target, week.base))
        if not layout.gap_ok:
            reasons += [_of(rules.REST_GAP, ReasonText.OPEN_A_DAY, day) for day in layout.open_which]
    if week.kind is WeekKind.STEP and week.target + STEP > limits.week_max(book, week.start):
        reasons.append(_of(rules.WINDOW_GROWTH, ReasonText.WEEK_CAP, limits.week_max(book, week.start)))
    gentle = is_coming_back(book, week.start) or is_coming_back(book, week.end) or week.kind in GENTLE
    if gentle:
        reasons.append(_of(rules.RUN_DAYS_COMING_BACK, ReasonText.RUN_DAYS, rules.RUN_DAYS_COMING_BACK.value))
    else:
        most = dose.run_days_allowed(profile)
        reasons.append(_of(rules.REST_GAP, ReasonText.SPACING, rules.REST_GAP.value))
        reasons.append(_of(rules.RUN_DAYS, ReasonText.RUN_DAYS, most, coach=most != rules.RUN_DAYS.value))
    if any(session.kind is SessionKind.LONG for session in week.sessions):
        reasons.append(_by(Choice.RUNNER, ReasonText.LONG_DAY, profile.long_day))
    source = dose.dose_of(profile.goal).source
    reasons.append(PlanReason(ReasonText.DOSE, (low, high), source, Choice.PRACTICE))
    return tuple(reasons)


def _kind(book: Book, week: Week) -> PlanReason:
    """Why the week has its target."""
    text = ReasonText(week.kind.value)
    match week.kind:
        case WeekKind.PAUSE:
            return _by(Choice.HOUSE, text)
        case WeekKind.WALKING:
            return PlanReason(text, (week.target,), "acsm-screening", Choice.STANDARD)
        case WeekKind.FIRST:
            values: tuple[int, ...] = (week.target, book.profile.weekly)
        case WeekKind.STEP:
            values = (week.target, _before(book, week))
        case WeekKind.RETURN:
            values = (week.target, book.returning.days if book.returning else 0)
        case WeekKind.WALK_RUN:
            values = (week.target, book.walk_run.step if book.walk_run else 0)
        case _:
            values = (week.target,)
    coach = week.kind is WeekKind.STEP and book.profile.coach_step != rules.WEEK_STEP.value
    return _of(BEHIND[week.kind], text, *values, coach=coach)


def _before(book: Book, week: Week) -> int:
    """Target of the week that `week` builds on (min)."""
    earlier = [w for w in book.weeks if w.start < week.start and w.kind not in LIGHT]
    return earlier[-1].target if earlier else 0


def _why_session(book: Book, session: Session) -> tuple[PlanReason, ...]:
    profile, minutes = book.profile, session.minutes
    reasons: list[PlanReason] = []
    share = limits.share_on(book.returning, session.day)
    if share < 100 and book.returning is not None:
        rule = rules.FIRST_HALF if share == rules.FIRST_HALF.value else rules.SECOND_HALF
        reasons.append(_of(rule, ReasonText.RETURN, minutes, book.returning.days))
    if book.walk_run is not None:
        reasons.append(_of(rules.WALK_RUN_CLEAN, ReasonText.WALK_RUN, minutes, book.walk_run.step))
    if book.half_runs:
        reasons.append(_of(rules.HALF_RUNS, ReasonText.HALF, book.half_runs))
    if session.kind is SessionKind.LONG:
        reasons.append(_of(rules.LONG_STEP, ReasonText.LONG_STEP, minutes, dose.long_run_length(profile)))
        if session.day.weekday() == profile.long_day:
            reasons.append(_by(Choice.RUNNER, ReasonText.LONG_DAY, profile.long_day))
    elif session.kind is SessionKind.EASY:
        reasons.append(_by(Choice.HOUSE, ReasonText.ALIKE, minutes))
    cap = limits.session_max(book, session.day)
    if minutes + STEP > cap and session.kind in {SessionKind.EASY, SessionKind.LONG}:
        coach = 0 < profile.coach_session <= cap
        longest = limits.longest_run(book, week_start(session.day))
        reasons.append(_of(rules.SESSION_GROWTH, ReasonText.SESSION_CAP, cap, longest, coach=coach))
    most = open_on(book, session.day)
    if minutes + STEP > most:
        reasons.append(_by(Choice.RUNNER, ReasonText.OPEN_MINUTES, most))
    return tuple(reasons)


def _of(rule: Rule, text: ReasonText, *values: int, coach: bool = False) -> PlanReason:
    return PlanReason(text, values, rule.source, Choice.COACH if coach else rule.choice)


def _by(choice: Choice, text: ReasonText, *values: int) -> PlanReason:
    return PlanReason(text, values, "house" if choice is Choice.HOUSE else "runner", choice)
