"""What a day expression is, the dates it means, seen from today, and expressions joined to ranges.

A weekday or a date without its year is the latest one gone where the line speaks of what was done, and
the next to come where it speaks of what is planned. Today counts as both. "Next Friday" is Friday of the
next week, Monday to Sunday.
"""

from datetime import date, timedelta
from enum import IntEnum
from typing import NamedTuple

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine

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

    `gone` and `coming`: its days, first to last, where the line speaks of what was and of what is planned; none where
    no such date exists. `tense`: -1 where it can only be gone, 1 where it can only be ahead, 0 where the line decides.
    """

    first: int
    last: int
    shape: Shape
    gone: tuple[date, ...]
    coming: tuple[date, ...]
    tense: int = 0
    length: int = 0
    week: bool = False  # a whole week, this, last or next
    paired: bool = False  # made of two days with "to" or a dash between them

    @property
    def is_open(self) -> bool:
        """Whether its days may be gone or to come: "Friday"."""
        return self.gone != self.coming

    def dates(self, past: bool) -> tuple[date, ...]:
        """Its days where the line speaks of what was, or of what is planned."""
        return self.gone if past else self.coming


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


def weekend(which: frozenset[Cue], past: bool, today: date) -> tuple[date, ...]:
    """The Saturday and Sunday of a week; of this one what is left of it, or the last gone."""
    saturday = WEEK_DAYS - 2 - today.weekday()
    saturday += WEEK_DAYS * (-1 if Cue.LAST in which or (past and saturday > 0 and Cue.NEXT not in which) else 0)
    saturday += WEEK_DAYS * (Cue.NEXT in which)
    found = (*shifted(today, saturday), *shifted(today, saturday + 1))
    return found if past else tuple(day for day in found if day >= today)


def week_of(which: frozenset[Cue], past: bool, today: date) -> tuple[date, ...]:
    """The days of a week, Monday to Sunday; of this one those gone or to come."""
    shift = WEEK_DAYS if Cue.NEXT in which else -WEEK_DAYS if Cue.LAST in which else 0
    found = tuple(day for n in range(WEEK_DAYS) for day in shifted(today, shift + n - today.weekday()))
    return found if shift else tuple(day for day in found if (day <= today if past else day >= today))


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


def joined_days(line: ParsedLine, found: list[Named], today: date) -> list[Named]:
    """Ranges made of two days, "until" and "from", and a weekday with its date."""
    joined: list[Named] = []
    for named in found:
        cues = line.cues(named.first - 1) | line.own(named.first - 1)
        if Cue.ON_THE in cues:
            cues |= line.own(named.first - 2)  # "from the 10th to the 14th"
        both = _of_two(line, joined[-1], named, cues) if joined else None
        leads = named.first - 1 - (Cue.ON_THE in cues)  # "until the 22nd"
        if both is not None:
            joined[-1] = both
        elif named.shape in {Shape.ONE, Shape.SEVERAL} and Cue.UNTIL in cues | line.cues(leads) | line.own(leads):
            joined.append(_until(named, today))
        elif named.shape is Shape.ONE and Cue.FROM in cues:
            joined.append(named._replace(shape=Shape.FROM, first=named.first - 1))
        else:
            joined.append(named)
    return joined


def _of_two(line: ParsedLine, before: Named, named: Named, cues: frozenset[Cue]) -> Named | None:
    """What two day expressions make together: "Tue-Thu", "from 3 until 5 March", "Tue-Thu next week"."""
    gap = named.first - before.last
    dash = line.tokens[named.first].dash
    ends = bool(cues & {Cue.TO, Cue.UNTIL})
    if named.shape is Shape.ONE and before.shape is Shape.ONE and (dash or (gap in {1, 2} and ends)):
        return _range(before, named)
    if named.shape is Shape.ONE and before.shape is Shape.FROM and ends:
        return _range(before, named)
    if gap <= 1 and {before.week, named.week} == {True, False}:
        week, weekdays = (named, before) if named.week else (before, named)
        return _in_week(weekdays, week)
    between = line.texts[before.last : named.first]
    if before.shape is named.shape is Shape.ONE and gap <= 1 and all(t in _BETWEEN for t in between):
        same = before.gone == named.gone != () or before.coming == named.coming != ()
        return named._replace(first=before.first) if same else None
    return None


_BETWEEN = frozenset((",", "the", "den", "el", "le", "dia"))  # a weekday and its date


def _range(a: Named, b: Named) -> Named:
    gone, coming = (_from_to(a.dates(past), b.dates(past), past=past) for past in (True, False))
    return Named(a.first, b.last, Shape.SEVERAL, gone, coming, a.tense or b.tense, paired=True)


def _from_to(first: tuple[date, ...], last: tuple[date, ...], *, past: bool) -> tuple[date, ...]:
    if not first or not last:
        return ()
    start, end = first[0], last[-1]
    if end < start:
        # Friday to Monday: the end is the first such day after the start, or the start the last before
        if past:
            start = next(iter(shifted(start, -WEEK_DAYS)), start)
        else:
            end = next(iter(shifted(end, WEEK_DAYS)), end)
    return stretch(start, end)


def _in_week(days: Named, week: Named) -> Named:
    """The weekdays of `days` in the week named beside them: "Tue-Thu next week"."""
    gone, coming = (
        tuple([day for day in week.dates(past) if day.weekday() in wanted])
        for past in (True, False)
        for wanted in ({day.weekday() for day in days.dates(past)},)
    )
    first, last = min(days.first, week.first), max(days.last, week.last)
    return days._replace(first=first, last=last, gone=gone, coming=coming, tense=week.tense)


def _until(named: Named, today: date) -> Named:
    dates = stretch(today, named.coming[-1]) if named.coming else ()
    return Named(named.first - 1, named.last, Shape.UNTIL, dates, dates, 1)
