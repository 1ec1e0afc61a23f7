"""The weeks around an event: less before it, and no long run too close to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.model import event as events
from nudgebot.domain.model.parameters import EVENT_FAR, EVENT_LAST_RUN, EVENT_PACE, EVENT_WEEK
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SESSION_MIN, WeekKind, floor5
from nudgebot.domain.planning.season import CALM, Figures, Why

EARLY: Final = 3  # an event on one of the first days of a week takes the week before it for its own
UNSHAPED: Final = CALM | {WeekKind.WALK_RUN}


def shaped(book: Book, start: date, figures: Figures) -> Figures:
    """The figures of the week that begins on `start`, with what an event asks of it."""
    event = book.intake.event
    if event is None or figures.kind in UNSHAPED:
        return figures
    away = (event.day - start).days
    if 0 <= away < 7 + EARLY:
        early = away < EARLY
        if not early:
            least = min(figures.full, 2 * SESSION_MIN)
            return Figures(max(least, floor5(EVENT_WEEK.of(figures.full))), 0, WeekKind.EVENT, Why.EVENT)
        return Figures(figures.full, 0, WeekKind.EVENT, Why.EVENT)
    if start <= event.day:
        long_on = start + timedelta(days=(book.profile.long_day - start.weekday()) % 7)
        return replace(figures, long_run=0) if long_on > events.last_long_day(event) else figures
    if start <= events.last_rest_day(event):
        return replace(figures, long_run=0, kind=WeekKind.EVENT, why=Why.EVENT)
    return figures


def fitted(book: Book, start: date) -> Book:
    """The book whose weekly pattern, in the week of `start`, keeps to the days that the event leaves open.

    The last run before the event lies two days before it, where that day is open.
    """
    event = book.intake.event
    if event is None:
        return book
    days = [start + timedelta(days=n) for n in range(7)]
    profile = book.profile
    opened = {day.weekday(): 0 if events.closes(event, day) else profile.open_minutes[day.weekday()] for day in days}
    last = event.day - timedelta(days=EVENT_LAST_RUN.value)
    long_day = last.weekday() if last in days and opened[last.weekday()] else profile.long_day
    if not any(opened.values()):
        return book
    a, b, c, d, e, f, g = (opened[day] for day in range(7))
    return replace(book, profile=replace(profile, open_minutes=(a, b, c, d, e, f, g), long_day=long_day))


def minutes_likely(book: Book, what: str) -> int | None:
    """How long an event is likely to take at an easy pace (min): the runner's own where it is known, else a guess."""
    km = events.kilometres(what)
    if km is None:
        return None
    told = [(e.minutes, e.distance_km) for e in book.log if e.is_run and e.distance_km]
    pace = sum(m for m, _ in told) / sum(far for _, far in told) if told else EVENT_PACE.value
    return round(km * pace)


def is_far(book: Book, what: str, longest: int) -> bool:
    """Whether an event takes so much longer than the longest run (min) that the plan does not prepare for it."""
    likely = minutes_likely(book, what)
    return likely is not None and likely > EVENT_FAR.of(longest)
