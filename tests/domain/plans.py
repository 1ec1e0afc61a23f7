"""Books for the tests of the plan: an invented runner, and weeks that were run, missed or bent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    LimitReason,
    Profile,
    Runner,
    Standing,
    Training,
)
from nudgebot.domain.model.week import Week
from nudgebot.domain.planning import limits, planner

MONDAY = date(2027, 1, 4)
DAY = timedelta(days=1)
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
OPEN = (120, 120, 120, 120, 120, 120, 120)


def on(weekday: str, week: int = 0) -> date:
    """The date of a weekday, `week` weeks after the first."""
    return MONDAY + timedelta(days=WEEKDAYS.index(weekday) + 7 * week)


def unplanned(profile: Profile, joined: date = MONDAY, standing: Standing | None = None) -> Book:
    """A book just after the intake."""
    at = datetime(joined.year, joined.month, joined.day, 6, tzinfo=UTC)
    return Book(Runner(1, "talk", "ana", "Ana", at, at), profile, standing or Training())


def steady(goal: Goal = Goal.ENDURANCE, long_day: str = "Sat", weeks: int = 5) -> Book:
    """A runner at the top of the endurance dose, every session of `weeks` weeks run, the next week just laid."""
    profile = Profile(
        goal=goal, weekly=180, longest=90, open_minutes=OPEN, long_day=WEEKDAYS.index(long_day), zone="UTC"
    )
    book = planner.begin(unplanned(profile), MONDAY, now_closed=False)
    for n in range(weeks):
        book = planner.roll(every_session_run(book), MONDAY + timedelta(days=7 * (n + 1)))
    return book


def every_session_run(book: Book) -> Book:
    """The book with each planned session of its last week logged as planned."""
    for session in book.weeks[-1].sessions:
        book = ran(book, session.day, session.minutes)
    return book


def ran(book: Book, day: date, minutes: int, effort: int | None = None) -> Book:
    """The book with a run logged."""
    entry = LogEntry(f"run {day} {len(book.log)}", day, minutes, effort=effort, cap=limits.session_max(book, day))
    return replace(book, log=tuple(sorted((*book.log, entry), key=lambda e: e.day)))


def crossed(book: Book, day: date, minutes: int, *, in_place: bool) -> Book:
    """The book with a bike ride logged."""
    entry = LogEntry(f"bike {day}", day, minutes, Activity.BIKE, in_place_of_run=in_place)
    return replace(book, log=tuple(sorted((*book.log, entry), key=lambda e: e.day)))


def limited(book: Book, limits_: Mapping[date, int], reason: LimitReason = LimitReason.BUSY) -> Book:
    """The book with at most so many minutes on these days."""
    return replace(book, limits=(*book.limits, *(DayLimit(day, minutes, reason) for day, minutes in limits_.items())))


def shown(week: Week) -> str:
    """A week's sessions as a line: "Mon 45, Wed 45, Sat 90"."""
    return ", ".join(f"{session.day:%a} {session.minutes}" for session in week.sessions)


def plan_from(book: Book, day: date) -> str:
    """The plan from `day` to the end of its week, as a line."""
    week = book.week_of(day)
    return ", ".join(
        f"{session.day:%a} {session.minutes}"
        for session in book.plan
        if session.day >= day and (week is None or week.holds(session.day))
    )
