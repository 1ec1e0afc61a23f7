"""What a run is the first of: a warm word each, never a count to lose."""

from __future__ import annotations

from datetime import timedelta
from enum import StrEnum

from nudgebot.domain.model.logbook import LogEntry, counted_minutes
from nudgebot.domain.model.parameters import BACK_AFTER, HUNDREDTH, LONGEST_MARKS, MORE_WEEK, WITHOUT_WALKING
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import WeekKind
from nudgebot.domain.planning.ways_back import LAST_STEP


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
