"""More than planned: when one more run keeps the limits, when more is worth a question, and how the plan grows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.logbook import counted_minutes, run_minutes
from nudgebot.domain.model.runner import Book, Training
from nudgebot.domain.model.week import SESSION_MIN, WeekKind, floor5
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.limits import steady
from nudgebot.domain.planning.replan_input import is_coming_back, most_run_days
from nudgebot.domain.planning.season import CALM

DAY = timedelta(days=1)


def more_than_planned(book: Book, day: date) -> bool:
    """Whether, by the end of `day`, the week is well over its target, or three runs of seven days were beyond plan.

    Nobody is told so on the way back, on walk-run, around an event, or while walking.
    """
    week = book.week_of(day)
    if week is None or not week.target or not isinstance(book.standing, Training):
        return False
    if week.kind in CALM | {WeekKind.EVENT} or is_coming_back(book, day) or limits.after_event(book, day):
        return False
    done = counted_minutes(book.log, week.start, (day - week.start).days + 1)
    return done > rules.MORE_WEEK.of(week.target) or _runs_beyond(book, day) >= rules.MORE_RUNS.value


def newly(before: Book, after: Book, day: date) -> bool:
    """Whether what was just logged for `day` makes it more than planned, for the first time in two weeks."""
    if not more_than_planned(after, day) or more_than_planned(before, day):
        return False
    return not any(more_than_planned(before, day - DAY * n) for n in range(1, rules.MORE_ASKED.value))


def may_grow(book: Book, day: date) -> bool:
    """Whether the plan may grow by a step: below the top of the dose, and nothing keeps it level."""
    week = book.week_of(day)
    return week is not None and week.base < dose.band(book.profile)[1] and not steady(book, week.end + DAY)


def grow(book: Book, day: date) -> Book:
    """The book whose next week builds on one step more."""
    week = book.week_of(day)
    if week is None or not may_grow(book, day):
        return book
    step = max(rules.WEEK_STEP_LEAST.value, rules.WEEK_STEP.of(week.base))
    full = min(dose.band(book.profile)[1], floor5(week.base + step))
    return replace(book, weeks=tuple(replace(each, full=full) if each is week else each for each in book.weeks))


def _runs_beyond(book: Book, day: date) -> int:
    """Runs of the seven days that end on `day` that were not planned, or longer than planned by a good bit."""
    first = day - 6 * DAY
    beyond = 0
    for n, minutes in enumerate(run_minutes(book.log, first, 7)):
        if minutes < rules.RUN_DAY_FROM.value:
            continue
        on = first + DAY * n
        week = book.week_of(on)
        laid = week.minutes_on(on) if week is not None else 0
        moved = book.session_on(on)
        planned = max(laid, moved.minutes if moved is not None else 0)
        beyond += minutes >= planned + rules.SHORT_FROM.value
    return beyond


def may_run(book: Book, day: date) -> bool:
    """Whether the shortest run on `day` fits the day, the caps and the run days in a row, as the plan stands now."""
    if not isinstance(book.standing, Training) or book.off_outside(day):
        return False
    if min(open_on(book, day), limits.session_max(book, day)) < SESSION_MIN:
        return False
    before = run_minutes(limits.as_planned(book).log, day - 6 * DAY, 6)
    # What is planned behind it gives way when the rest is replanned.
    streak = limits.days_in_a_row(book, day - DAY) + 1
    return sum(before) + SESSION_MIN <= limits.window_max(book, day) and streak <= most_run_days(book, day, day)
