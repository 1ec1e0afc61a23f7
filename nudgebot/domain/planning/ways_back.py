"""The ways back after days without a run: the return that the table asks for, or walk-run from its first step."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.model.parameters import RETURN_UP_TO
from nudgebot.domain.model.returning import Return, WalkRun
from nudgebot.domain.model.runner import Book, Training
from nudgebot.domain.model.week import WeekKind, floor5
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.season import CALM, LIGHT, first_week, last_long
from nudgebot.domain.planning.walk_run import climb


def coming_back(book: Book, today: date) -> Book:
    """The book with the return, or the place on the walk-run ladder, that it has come to on `today`, or without one.

    A break that is still open counts as ending today; the return of a break that ended begins with the first
    run after it. A return that has run out stays in the book until the next week is laid out.
    """
    book = climb(book, today)
    if not isinstance(book.standing, Training):
        return book
    off = limits.days_off(book, today)
    if off > RETURN_UP_TO.value:
        place = book.walk_run
        # A restart that nothing was done on yet stands; sessions from before the break count for no step.
        fresh = place is not None and place.step == 0 and not limits.running_days(book, place.since)
        return replace(book, returning=None, walk_run=place if fresh else WalkRun(0, 0, today))
    last = next(iter(reversed(limits.breaks(book, today))), None)
    if last is not None and last.days <= RETURN_UP_TO.value and last.back + timedelta(days=last.days) > today:
        return replace(book, returning=_return_from(book, last))
    if book.returning is not None and book.returning.end >= today:
        return replace(book, returning=None)  # a late log closed the break that it was for
    return book


def _return_from(book: Book, pause: limits.Break) -> Return:
    held = book.returning
    if held is not None:
        return replace(held, since=pause.back, days=pause.days)
    old_week = floor5(limits.mean_before(limits.as_planned(book), pause.first))
    # A week that the break took whole was never run: it is no old week.
    ran = [week for week in book.weeks if week.kind not in CALM and week.start < pause.first]
    if not ran:
        first = first_week(book.profile)
        return Return(pause.back, pause.days, old_week, first.long_run, first.full)
    full = next((week for week in reversed(ran) if week.kind not in LIGHT), ran[-1])
    return Return(pause.back, pause.days, old_week, last_long(ran), full.base)


def old_longest(book: Book) -> int:
    """The longest session (min) of the ordinary week before the return; 0 if there is none to go by."""
    if book.returning is None:
        return 0
    first = book.returning.since - timedelta(days=book.returning.days)
    ran = [w for w in book.weeks if w.kind not in CALM and w.kind is not WeekKind.LIGHTER and w.start < first]
    return max((week.longest for week in ran[-2:]), default=0)
