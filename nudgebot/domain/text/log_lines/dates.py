"""What a day expression is, and the dates it means, seen from today.

A weekday or a date without its year is the latest one gone where the line speaks of what was done, and
the next to come where it speaks of what is planned. Today counts as both. "Next Friday" is Friday of the
next week, Monday to Sunday.
"""

from collections.abc import Callable
from datetime import date, timedelta
from enum import IntEnum
from typing import NamedTuple

from nudgebot.domain.text.log_lines.cues import Cue

LONGEST_RANGE = 120  # days; more is a slip
WEEK_DAYS = 7
CENTURY = 2000


class Shape(IntEnum):
    """How a day expression names its days."""

    ONE = 0  # one day
    SEVERAL = 1  # a closed range: weekend, week, Tuesday to Thursday
    UNTIL = 2  # from today (or what the line says) to a last day
    FROM = 3  # from a first day, with no end
    LENGTH = 4  # so many days, starting today or on the other day named
    RECURRING = 5  # every Tuesday


class Named(NamedTuple):
    """A day expression, from token `first` up to, not including, token `last`.

    `dates(past)` gives its days, first to last; no days where no such date exists.
    `tense` is -1 where it can only be gone, 1 where it can only be ahead, 0 where the line decides.
    """

    first: int
    last: int
    shape: Shape
    dates: Callable[[bool], tuple[date, ...]]
    tense: int = 0
    length: int = 0
    week: bool = False  # a whole week, this, last or next
    paired: bool = False  # made of two days with "to" or a dash between them


def shifted(day: date, days: int) -> tuple[date, ...]:
    """The day so many days on, or no day where the calendar ends."""
    try:
        return (day + timedelta(days=days),)
    except OverflowError:
        return ()


def stretch(first: date, last: date) -> tuple[date, ...]:
    """Every day from first to last, both included; none where they are out of order or too far apart."""
    count = (last - first).days + 1
    if not 0 < count <= LONGEST_RANGE:
        return ()
    return tuple(date.fromordinal(first.toordinal() + n) for n in range(count))


def weekday(number: int, which: frozenset[Cue], past: bool, today: date) -> tuple[date, ...]:
    ahead = (number - today.weekday()) % WEEK_DAYS
    if Cue.LAST in which:
        return shifted(today, ahead - WEEK_DAYS)
    if Cue.NEXT in which:
        return shifted(today, number - today.weekday() + WEEK_DAYS)
    if past and ahead:
        return shifted(today, ahead - WEEK_DAYS)
    return shifted(today, ahead)


def of_year(year: int | None, month: int, day: int, past: bool, today: date) -> tuple[date, ...]:
    """The date; without a year the latest one gone or the next to come."""
    years = (year,) if year else (today.year, today.year - 1) if past else (today.year, today.year + 1)
    for candidate in years:
        try:
            found = date(candidate, month, day)
        except ValueError:
            continue
        if year or (found <= today if past else found >= today):
            return (found,)
    return ()


def tense_of(dates: tuple[date, ...], today: date) -> int:
    """-1 where a date with its year is gone, 1 where it is ahead, 0 where it is today or no date."""
    return (dates[0] > today) - (dates[0] < today) if dates else 0


def of_month(day: int, past: bool, today: date) -> tuple[date, ...]:
    """The latest or next day of a month with this number."""
    year, month = today.year, today.month
    for _ in range(WEEK_DAYS):
        try:
            found = date(year, month, day)
        except ValueError:
            found = None
        if found is not None and (found <= today if past else found >= today):
            return (found,)
        month += -1 if past else 1
        year, month = (year - 1, 12) if month == 0 else (year + 1, 1) if month > 12 else (year, month)
        if not 1 <= year <= 9999:
            break
    return ()


def day_and_month(parts: tuple[int, ...], language: str, past: bool, today: date) -> tuple[date, ...]:
    """3/4 or 3.4.: day first everywhere; in English the reading nearer to today where both exist."""
    year = None
    if len(parts) > 2:
        year = parts[2] if parts[2] >= 100 else CENTURY + parts[2]
    readings = [of_year(year, parts[1], parts[0], past, today)]
    if language == "en" or not readings[0]:
        readings.append(of_year(year, parts[0], parts[1], past, today))
    found = [reading[0] for reading in readings if reading]
    if not found:
        return ()
    return (min(found, key=lambda day: abs((day - today).days)),)
