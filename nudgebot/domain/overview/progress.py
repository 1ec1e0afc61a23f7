"""The last twelve weeks as they were run, as values to draw and to tell, in km or miles (docs/pictures.md).

What a run is the first of comes last: a warm word each, never a count to lose.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final

from nudgebot.domain.model.event import KM_IN_A_MILE
from nudgebot.domain.model.logbook import LogEntry, active_days, counted_minutes, other_minutes, run_metres, run_minutes
from nudgebot.domain.model.parameters import (
    BACK_AFTER,
    HUNDREDTH,
    LONGEST_MARKS,
    MORE_WEEK,
    REST_GAP,
    RUN_DAY_FROM,
    WITHOUT_WALKING,
)
from nudgebot.domain.model.runner import Book, Ill, Joining, LimitReason, OnHold, Training, Walking
from nudgebot.domain.model.week import SessionKind, WeekKind, week_start
from nudgebot.domain.planning.dose import band
from nudgebot.domain.planning.gap import commutes_on, day_exists
from nudgebot.domain.planning.ways_back import LAST_STEP

WEEKS = 12  # shown, the current one last (house)
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DayDone:
    """One day: minutes `run` and of `other` aerobic work. `long` marks a long run.

    `paused` is set on days away, ill, on hold or walking until a clinician clears running, all the same (to a coach
    walking is as any other day);
    `gap` on a rest day past the second in a row that was not paused.
    """

    day: date
    run: int = 0
    other: int = 0
    long: bool = False
    paused: bool = False
    gap: bool = False


@dataclass(frozen=True, slots=True)
class WeekDone:
    """One week: its first day and the minutes that count toward the dose, None if the runner joined after it."""

    start: date
    minutes: int | None


@dataclass(frozen=True, slots=True)
class Progress:
    """Twelve weeks, oldest first, and each of their days up to `today`; `low` to `high` is today's dose (min a week).

    `light` is the ground that the runner wants pictures on; `metres` the distance of the runs that had one, for the
    runner alone, and `miles` whether it is told in miles.

    The value is all that a picture is drawn from: the same value is the same picture.
    """

    today: date
    low: int
    high: int
    weeks: tuple[WeekDone, ...]
    days: tuple[DayDone, ...]
    light: bool = False
    metres: int = 0
    miles: bool = False

    @property
    def empty(self) -> bool:
        """Whether nothing was logged in these weeks."""
        return not any(day.run or day.other for day in self.days)


def progress(book: Book, today: date, *, to_coach: bool = False) -> Progress:
    """The twelve weeks of `book` that end with the week of `today`, the runner's own day.

    `to_coach` leaves out what a coach may not see: pauses are those that the roster calls by that word.
    """
    first = first_shown(today)
    count = (today - first).days + 1
    joined = min([book.today(book.runner.joined_at), *(entry.day for entry in book.log[:1])])
    starts = [first + timedelta(weeks=n) for n in range(WEEKS)]
    weeks = tuple(
        WeekDone(start, counted_minutes(book.log, start) if start + 6 * DAY >= joined else None) for start in starts
    )
    spans = [(pause.first, pause.last) for pause in book.pauses] + [*_pausing(book, today, walking=not to_coach)]
    paused = frozenset(
        day
        for n in range(count)
        if _closed(book, day := first + n * DAY, to_coach=to_coach) or any(begin <= day <= end for begin, end in spans)
    )
    runs = run_minutes(book.log, first, count)
    others = other_minutes(book.log, first, count)
    long = _long_runs(book)
    gaps = frozenset(_gap_days(book, first, today, paused))
    days = tuple(
        DayDone(day, runs[n], others[n], day in long, day in paused and runs[n] < RUN_DAY_FROM.value, day in gaps)
        for n in range(count)
        if (day := first + n * DAY)
    )
    light = bool(book.intake.light_pictures) and not to_coach
    metres = 0 if to_coach else run_metres(book.log, first, count)
    return Progress(today, *band(book.profile), weeks, days, light, metres, speaks_miles(book))


def first_shown(today: date) -> date:
    """The first day of the twelve weeks that end with the week of `today`."""
    return week_start(today) - timedelta(weeks=WEEKS - 1)


def _closed(book: Book, day: date, *, to_coach: bool) -> bool:
    """Whether `day` went to being away or, which is no coach's to see, to a day's illness or the wait after one."""
    limit = book.limit_on(day)
    return limit is not None and limit.reason in (
        (LimitReason.AWAY,) if to_coach else (LimitReason.AWAY, LimitReason.ILL)
    )


def _pausing(book: Book, today: date, *, walking: bool) -> Iterator[tuple[date, date]]:
    """First and last day of the hold or illness that stands; with `walking`, of walking until cleared as well."""
    standing = book.standing
    match standing:
        case OnHold():
            yield book.today(standing.since), today
        case Ill():
            yield standing.since, today
        case Walking() if walking:
            yield book.today(standing.since), today
        case Walking() | Training() | Joining():
            pass
    if walking:
        # Of walking that is over only the weeks are remembered; the current one keeps the kind it began with.
        yield from ((w.start, w.end) for w in book.weeks if w.kind is WeekKind.WALKING and w.end < today)


def _long_runs(book: Book) -> frozenset[date]:
    """In weeks laid out with a long run, the day with the most running if that comes nearer to it than to the rest."""
    found: set[date] = set()
    for week in book.weeks:
        ordinary = [session.minutes for session in week.sessions if session.kind is not SessionKind.LONG]
        runs = run_minutes(book.log, week.start, 7)
        if len(ordinary) < len(week.sessions) and 2 * max(runs) > week.longest + max(ordinary, default=0):
            found.add(week.start + runs.index(max(runs)) * DAY)
    return frozenset(found)


def _gap_days(book: Book, first: date, today: date, paused: frozenset[date]) -> Iterator[date]:
    """Rest days past the second in a row, before `today`; a pause that was announced starts the count again."""
    active = active_days(book.log)
    joined = book.today(book.runner.joined_at)
    day = max(joined, first - (REST_GAP.value + 1) * DAY)
    # What lies before the first day looked at is known to be active, or does not matter any more.
    rest = 0
    while day < today:
        if day == joined or day in active or day in paused or commutes_on(book, day):
            rest = 0
        elif day_exists(day, book.profile.zone):
            rest += 1
            if rest > REST_GAP.value and day >= first:
                yield day
        day += DAY


MILES_IN: Final = frozenset({"GB", "US"})  # roads are measured in miles: Unicode CLDR, unit preferences; from memory


def speaks_miles(book: Book) -> bool:
    """The unit of the newest run that was told with a distance, else that of an event's name, else the country's.

    Distances are kept in km to the metre. One from a file says nothing: it was measured, and not told.
    """
    measured = {(each.key, each.day) for each in book.recordings}
    for entry in reversed(book.log):
        if entry.distance_km and (entry.key, entry.day) not in measured:
            return _told_in_miles(entry.distance_km)
    event = book.intake.event
    if event is not None and "mile" in event.what.casefold():
        return True
    return book.profile.country in MILES_IN


def _told_in_miles(km: float) -> bool:
    """Whether a distance, to the metre, comes to hundredths of a mile, and not to hundredths of a kilometre."""
    hundredths = km / KM_IN_A_MILE * 100
    return abs(hundredths - round(hundredths)) < 0.04 and abs(km * 100 - round(km * 100)) > 1e-6


class First(StrEnum):
    """Which first it is, the warmest first."""

    EVER = "ever"
    HUNDREDTH = "hundredth"
    BACK = "back"
    THIRTY = "thirty"
    HOUR = "hour"
    WEEK = "week"


def first_in(book: Book, entry: LogEntry) -> First | None:
    """What the newest entry, already in the log of `book`, is the first of; None for an ordinary one."""
    before = [e for e in book.log if e is not entry and e.day <= entry.day]
    ran = [e for e in before if e.is_run]
    if not entry.is_run:
        return First.WEEK if entry.counts and _ends_first_week(book, entry) else None
    told = book.profile.longest
    if not ran and not book.profile.weekly and not told:
        return First.EVER
    if (book.intake.runs or 0) + 1 == HUNDREDTH.value:
        return First.HUNDREDTH
    if ran and entry.day - ran[-1].day > timedelta(days=BACK_AFTER.value):
        return First.BACK
    longest = max((told, *(e.minutes for e in ran)))
    if entry.minutes >= WITHOUT_WALKING.value and _without_walking(book, longest):
        return First.THIRTY
    if any(longest < mark.value <= entry.minutes for mark in LONGEST_MARKS):
        return First.HOUR
    return First.WEEK if _ends_first_week(book, entry) else None


def _without_walking(book: Book, longest: int) -> bool:
    """Whether a run of half an hour is the first without a walk: on walk-run the first one of the last step."""
    if book.walk_run is None:
        return longest < WITHOUT_WALKING.value
    since = (e for e in book.log if e.is_run and e.day >= book.walk_run.since)
    return book.walk_run.step == LAST_STEP and sum(e.minutes >= WITHOUT_WALKING.value for e in since) <= 1


def _ends_first_week(book: Book, entry: LogEntry) -> bool:
    """Whether the entry completes the first week that was done whole; far more than planned is asked about instead."""
    week = book.week_of(entry.day)
    if week is None or not week.target or week.kind is WeekKind.EVENT:
        return False
    done = counted_minutes(book.log, week.start)
    if not done - entry.minutes < week.target <= done <= MORE_WEEK.of(week.target):
        return False
    others = (each for each in book.weeks if each.start < week.start and each.target)
    return not any(counted_minutes(book.log, each.start) >= each.target for each in others)
