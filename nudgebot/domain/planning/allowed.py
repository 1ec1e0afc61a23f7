"""Whether one more run on a day keeps the plan's limits: what a nudge may offer without breaking what the plan says."""

from __future__ import annotations

from datetime import date, timedelta

from nudgebot.domain.model.logbook import run_minutes
from nudgebot.domain.model.runner import Book, Training
from nudgebot.domain.model.week import SESSION_MIN
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.replan_input import most_run_days

DAY = timedelta(days=1)


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
