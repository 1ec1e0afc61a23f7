"""The weeks around an event: less before it, and no long run too close to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.model import event as events
from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.intake import DatedEvent
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SESSION_MIN, Session, SessionKind, WeekKind, floor5
from nudgebot.domain.planning.season import CALM, Figures, Why, next_week

UNSHAPED: Final = CALM | {WeekKind.WALK_RUN}


def figures_of(book: Book, start: date) -> Figures:
    """The figures of the week that begins on `start`: the season's, with what an event asks of them."""
    event, figures = book.intake.event, next_week(book, start)
    if event is None or figures.kind in UNSHAPED:
        return figures
    end = start + timedelta(days=6)
    if start <= event.day:
        near = (end - first_light(event)).days + 1
        long_on = start + timedelta(days=(book.profile.long_day - start.weekday()) % 7)
        own = near >= rules.EVENT_MOSTLY.value
        long_run = 0 if long_on > first_light(event) else figures.long_run
        return Figures(figures.full, 0, WeekKind.EVENT, Why.EVENT) if own else replace(figures, long_run=long_run)
    if start <= events.last_rest_day(event):
        half = max(2 * SESSION_MIN, floor5(rules.AFTER_ILLNESS.of(figures.full)))
        return Figures(min(figures.full, half), 0, WeekKind.EVENT, Why.EVENT)
    return figures


def first_light(event: DatedEvent) -> date:
    """The first of the seven days before an event, and the last on which a long run may lie."""
    return event.day - timedelta(days=rules.EVENT_LAST_LONG.value)


def lightened(book: Book, full: int, sessions: list[Session]) -> list[Session]:
    """The sessions with those of the seven days before an event at their share of a week of `full` minutes."""
    event = book.intake.event
    if event is None:
        return sessions
    light = [s for s in sessions if first_light(event) <= s.day < event.day and s.kind is not SessionKind.LONG]
    others = [s for s in sessions if s not in light]
    light = [replace(s, minutes=max(SESSION_MIN, floor5(rules.EVENT_WEEK.of(s.minutes)))) for s in light]
    # The shortest sessions may still be too much together: then the first of them goes.
    while len(light) > 1 and sum(s.minutes for s in light) > rules.EVENT_WEEK.of(full):
        light = light[1:]
    return sorted([*others, *light])


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
    last = event.day - timedelta(days=rules.EVENT_LAST_RUN.value)
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
    pace = sum(m for m, _ in told) / sum(far for _, far in told) if told else rules.EVENT_PACE.value
    return round(km * pace)


def is_far(book: Book, what: str, longest: int) -> bool:
    """Whether an event takes so much longer than the longest run (min) that the plan does not prepare for it."""
    likely = minutes_likely(book, what)
    return likely is not None and likely > rules.EVENT_FAR.of(longest)
