"""The days a line names, and the dates they are, seen from today.

A weekday or a date without its year is the latest one gone where the line speaks of what was done, and
the next to come where it speaks of what is planned. Today counts as both. "Next Friday" is Friday of the
next week, Monday to Sunday; "till Friday" includes the Friday.
"""

from collections.abc import Callable
from datetime import date, timedelta
from enum import IntEnum
from typing import NamedTuple

from nudgebot.training.reading.amounts import Amount, Sort
from nudgebot.training.reading.cues import Cue
from nudgebot.training.reading.line import Line
from nudgebot.training.reading.tokens import Kind

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


def _weekday(number: int, which: frozenset[Cue], past: bool, today: date) -> tuple[date, ...]:
    ahead = (number - today.weekday()) % WEEK_DAYS
    if Cue.LAST in which:
        return shifted(today, ahead - WEEK_DAYS)
    if Cue.NEXT in which:
        return shifted(today, number - today.weekday() + WEEK_DAYS)
    if past and ahead:
        return shifted(today, ahead - WEEK_DAYS)
    return shifted(today, ahead)


def _of_year(year: int | None, month: int, day: int, past: bool, today: date) -> tuple[date, ...]:
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


def _tense(dates: tuple[date, ...], today: date) -> int:
    """-1 where a date with its year is gone, 1 where it is ahead, 0 where it is today or no date."""
    return (dates[0] > today) - (dates[0] < today) if dates else 0


def _of_month(day: int, past: bool, today: date) -> tuple[date, ...]:
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


def _day_and_month(parts: tuple[int, ...], language: str, past: bool, today: date) -> tuple[date, ...]:
    """3/4 or 3.4.: day first everywhere; in English the reading nearer to today where both exist."""
    year = None
    if len(parts) > 2:
        year = parts[2] if parts[2] >= 100 else CENTURY + parts[2]
    readings = [_of_year(year, parts[1], parts[0], past, today)]
    if language == "en" or not readings[0]:
        readings.append(_of_year(year, parts[0], parts[1], past, today))
    found = [reading[0] for reading in readings if reading]
    if not found:
        return ()
    return (min(found, key=lambda day: abs((day - today).days)),)


def days(line: Line, amounts: list[Amount], today: date) -> list[Named]:
    """The day expressions of the line, in order; ranges joined."""
    return _join(line, _Reader(line, amounts, today).read(), today)


class _Reader:
    """Finds single day expressions, left to right."""

    def __init__(self, line: Line, amounts: list[Amount], today: date) -> None:
        self.line = line
        self.today = today
        self.amounts = {amount.first: amount for amount in amounts}
        self.size = len(line.tokens)

    def read(self) -> list[Named]:
        found: list[Named] = []
        place = 0
        while place < self.size:
            named = self._at(place)
            if named is None:
                amount = self.amounts.get(place)
                last = amount.last if amount else self.line.past(place)
                if amount is None:
                    found.extend(self._inside(place, last))
                place = last
            else:
                found.append(named)
                place = max(named.last, place + 1)
        return found

    def _inside(self, first: int, last: int) -> list[Named]:
        """Days named inside a phrase that means something else: "tomorrow instead", "skip today"."""
        found = []
        for place in range(first, last) if last - first > 1 else ():
            node = self.line.lexicon.root.after.get(self.line.tokens[place].text)
            entry = node.entry if node is not None else None
            if entry is not None and Cue.DAY in entry.cues and entry.value is not None:
                found.append(self._one(place, place + 1, int(entry.value)))
        return found

    def _at(self, place: int) -> Named | None:
        token = self.line.tokens[place]
        amount = self.amounts.get(place)
        if amount is not None:
            return self._amount(place, amount)
        cues = self.line.cues(place)
        mark = self.line.marks[place]
        if token.kind is Kind.WORD and mark is not None:
            if Cue.DAY in cues and mark.value is not None:
                offset = int(mark.value)
                return self._one(place, mark.last, offset)
            if Cue.WEEKDAY in cues and self._is_weekday(place):
                return self._weekday(place, mark.last, int(mark.value or 0))
            if Cue.WEEKEND in cues:
                return self._weekend(place, mark.last)
            whole = place > 0 and self.line.tokens[place - 1].text in _WHOLE
            if Cue.WEEK in cues and (whole or self._which(place) & {Cue.NEXT, Cue.THIS, Cue.LAST}):
                return self._week(place, mark.last)
            if cues & {Cue.SPAN_WEEK, Cue.WEEK} and Cue.FOR in self.line.own(place - 2) and self._single(place - 1):
                length = 2 * WEEK_DAYS if token.text == "fortnight" else WEEK_DAYS
                return Named(place - 2, mark.last, Shape.LENGTH, lambda _past: (), 1, length)
            if Cue.MONTH in cues and mark.value is not None:
                return self._month_first(place, mark.last, int(mark.value))
            if Cue.ORDINAL in cues and mark.value and Cue.ON_THE in self.line.cues(place - 1):
                return self._ordinal(place, mark.last, int(mark.value))
        return None

    def _single(self, place: int) -> bool:
        """Whether the token says "a" or "one"."""
        return self.line.tokens[place].text in {"a", "one", "1", "una", "eine", "une", "uma"}

    def _one(self, first: int, last: int, offset: int) -> Named:
        today = self.today
        tense = (offset > 0) - (offset < 0)
        if offset < -30:
            return Named(first, last, Shape.ONE, lambda _past: (), -1)
        return Named(first, last, Shape.ONE, lambda _past: shifted(today, offset), tense)

    def _which(self, place: int) -> frozenset[Cue]:
        """last, next, this, every: right before the day, or (in the Romance languages) right after."""
        before = self.line.cues(place - 1)
        after = self.line.cues(self.line.past(place)) if self.line.language in {"es", "fr", "pt"} else frozenset()
        return (before | after) & _WHICH

    def _is_weekday(self, place: int) -> bool:
        """ "sun" and "sat" are days of the week only where nothing says otherwise."""
        token = self.line.tokens[place]
        if token.text not in _DOUBTFUL:
            return True
        before = self.line.tokens[place - 1].text if place else ""
        return before not in {"the", "in", "i", "we", "and i", "le", "la", "en", "du", "im"} or token.dash

    def _weekday(self, first: int, last: int, number: int) -> Named:
        which = self._which(first)
        start = first - 1 if self.line.cues(first - 1) & which else first
        if Cue.EVERY in which or Cue.EVERY in self.line.cues(first):
            gone = _weekday(number, frozenset(), True, self.today)
            return Named(start, last, Shape.RECURRING, lambda past: gone if past else (), 0 if first else 1)
        today = self.today
        tense = -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0
        # "Tuesday the 3rd", "Sat 3 Jan": the date says which
        return Named(start, last, Shape.ONE, lambda past: _weekday(number, which, past, today), tense)

    def _weekend(self, first: int, last: int) -> Named:
        which = self._which(first)
        start = first - 1 if self.line.cues(first - 1) & which else first
        today = self.today

        def dates(past: bool) -> tuple[date, ...]:
            saturday = today.toordinal() + 5 - today.weekday()
            if Cue.NEXT in which:
                saturday += WEEK_DAYS
            elif Cue.LAST in which or (past and saturday > today.toordinal()):
                saturday -= WEEK_DAYS
            try:
                found = (date.fromordinal(saturday), date.fromordinal(saturday + 1))
            except (ValueError, OverflowError):
                return ()
            return found if past else tuple(day for day in found if day >= today)

        tense = -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0
        return Named(start, last, Shape.SEVERAL, dates, tense)

    def _week(self, first: int, last: int) -> Named:
        which = self._which(first)
        start = first - 1 if self.line.cues(first - 1) & which else first
        after = self.line.past(first)
        if self.line.cues(after) & which:
            last = max(last, after + 1)
        today = self.today

        def dates(past: bool) -> tuple[date, ...]:
            monday = today.toordinal() - today.weekday()
            shift = WEEK_DAYS if Cue.NEXT in which else -WEEK_DAYS if Cue.LAST in which else 0
            try:
                found = stretch(date.fromordinal(monday + shift), date.fromordinal(monday + shift + 6))
            except (ValueError, OverflowError):
                return ()
            if shift:
                return found
            return tuple(day for day in found if (day <= today if past else day >= today))

        tense = -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0
        return Named(start, last, Shape.SEVERAL, dates, tense, week=True)

    def _month_first(self, place: int, last: int, month: int) -> Named | None:
        """January 3, Jan 3rd 2027, enero 3."""
        amount = self.amounts.get(last)
        if amount is None or amount.sort not in {Sort.DATE, Sort.BARE} or not 1 <= amount.value <= 31:
            return None
        day = int(self.line.tokens[last].value)
        return self._date(place, amount.last, day, month)

    def _date(self, first: int, last: int, day: int, month: int) -> Named:
        year = None
        following = self.amounts.get(last)
        if following is not None and following.sort is Sort.BARE and 2000 <= following.value < 2100:
            year, last = int(following.value), last + 1
        today = self.today
        tense = _tense(_of_year(year, month, day, False, today), today) if year else 0
        return Named(first, last, Shape.ONE, lambda past: _of_year(year, month, day, past, today), tense)

    def _ordinal(self, first: int, last: int, day: int) -> Named | None:
        today = self.today
        if not 1 <= day <= 31:
            return None
        after = last + 1 if self.line.tokens[last - 1 : last + 1][-1].text in {"of", "de"} else last
        mark = self.line.marks[after] if after < self.size else None
        if mark is not None and Cue.MONTH in mark.cues and mark.value is not None:
            return self._date(first, mark.last, day, int(mark.value))
        if self.line.cues(last) & _NOT_A_DATE:
            return None
        return Named(first, last, Shape.ONE, lambda past: _of_month(day, past, today))

    def _amount(self, place: int, amount: Amount) -> Named | None:
        token = self.line.tokens[place]
        today, language = self.today, self.line.language
        match token.kind:
            case Kind.ISO:
                found = _of_year(token.parts[0], token.parts[1], token.parts[2], False, today) if token.parts[0] else ()
                return Named(place, place + 1, Shape.ONE, lambda _past: found, _tense(found, today))
            case Kind.SLASH | Kind.DOTS if amount.sort is Sort.DATE:
                parts = token.parts
                return Named(place, place + 1, Shape.ONE, lambda past: _day_and_month(parts, language, past, today))
            case Kind.NUMBER:
                return self._numbered(place, amount)
            case _:
                return None

    def _to_in_month(self, place: int) -> Named | None:
        """10-14 Jan, 10 to 14 January: a range within one month."""
        second = place + 1
        joined = second < self.size and self.line.tokens[second].dash
        if not joined and second < self.size and self.line.cues(second) & {Cue.TO, Cue.UNTIL}:
            second += 1
            joined = second < self.size
        mark = self.line.marks[second + 1] if joined and second + 1 < self.size else None
        if mark is None or Cue.MONTH not in mark.cues or self.line.tokens[second].kind is not Kind.NUMBER:
            return None
        month, today = int(mark.value or 0), self.today
        first_day, last_day = int(self.line.tokens[place].value), int(self.line.tokens[second].value)

        def dates(past: bool) -> tuple[date, ...]:
            ends = _of_year(None, month, last_day, past, today)
            try:
                return stretch(ends[0].replace(day=first_day), ends[0]) if ends else ()
            except ValueError:
                return ()

        return Named(place, mark.last, Shape.SEVERAL, dates)

    def _numbered(self, place: int, amount: Amount) -> Named | None:
        token = self.line.tokens[place]
        last = amount.last
        if amount.sort is Sort.SPAN and amount.value == int(amount.value):
            length = int(amount.value)
            before, after = self.line.cues(place - 1), self.line.cues(last)
            if Cue.AGO in after or Cue.AGO in before:
                return self._one(place, last + 1 if Cue.AGO in after else last, -min(length, 30))
            if Cue.WITHIN in before and length <= LONGEST_RANGE:
                return self._one(place - 1, last, length)
            if 0 < length <= LONGEST_RANGE:
                return Named(place, last, Shape.LENGTH, lambda _past: (), 1, length)
            return None
        if token.value != int(token.value) or not 1 <= token.value <= 31:
            return None
        day = int(token.value)
        ends = self._to_in_month(place)
        if ends is not None:
            return ends
        if amount.sort is Sort.DATE:
            mark = self.line.marks[last] if last < self.size else None
            if mark is not None and (Cue.MONTH in mark.cues):
                return self._date(place, mark.last, day, int(mark.value or 0))
            return self._ordinal(place, last, day)
        following = last + 1 if self.line.cues(last) & {Cue.ON_THE} else last
        if amount.sort in {Sort.BARE, Sort.OTHER}:
            while following < self.size and self.line.tokens[following].text in {".", "de", "of"}:
                following += 1
            mark = self.line.marks[following] if following < self.size else None
            if mark is not None and Cue.MONTH in mark.cues and mark.value is not None:
                return self._date(place, mark.last, day, int(mark.value))
            if (
                Cue.ON_THE in self.line.cues(place - 1)
                and amount.sort is Sort.BARE
                and language_says_date(self.line, place)
            ):
                return self._ordinal(place, last, day)
        return None


def language_says_date(line: Line, place: int) -> bool:
    """Whether a bare number after an article is a day of the month: el 3, le 3, am 3, dia 3, the 3rd."""
    return line.language != "en"


_WHOLE = frozenset(("all", "whole", "entire", "toda", "ganze", "toute"))
_WHICH = frozenset((Cue.LAST, Cue.NEXT, Cue.THIS, Cue.EVERY))
_DOUBTFUL = frozenset(("sun", "sat", "mar", "sex", "do", "so"))
_NOT_A_DATE = frozenset((Cue.RUN, Cue.PART, Cue.WALK, Cue.KM, Cue.MILE, Cue.WEEK, Cue.COUNTED))


def _join(line: Line, found: list[Named], today: date) -> list[Named]:
    """Ranges made of two days, "until" and "from", and a weekday with its date."""
    joined: list[Named] = []
    for named in found:
        before = joined[-1] if joined else None
        between = line.tokens[before.last : named.first] if before else ()
        gap = named.first - before.last if before else -1
        cues = line.cues(named.first - 1) | line.own(named.first - 1)
        if Cue.ON_THE in cues:
            cues |= line.own(named.first - 2)  # "from the 10th to the 14th"
        dash = line.tokens[named.first].dash and gap == 0
        if before is not None and before.shape is Shape.ONE and named.shape is Shape.ONE:
            # "from Tuesday to Thursday", "Tue-Thu", "Tue - Thu", "3 until 5 March"
            if dash or (gap in {1, 2} and cues & {Cue.TO, Cue.UNTIL} and len(between) == gap):
                joined[-1] = _range(before, named, today)
                continue
            if (
                gap <= 1
                and all(t.text in {",", "the", "den", "el", "le", "dia"} for t in between)
                and _same_day(before, named)
            ):
                joined[-1] = named._replace(first=before.first)
                continue
        if (
            before is not None
            and before.shape in {Shape.FROM}
            and named.shape is Shape.ONE
            and (dash or cues & {Cue.TO, Cue.UNTIL})
        ):
            joined[-1] = _range(before, named, today)
            continue
        if before is not None and gap <= 1 and {before.week, named.week} == {True, False}:
            week, weekdays = (named, before) if named.week else (before, named)
            if weekdays.shape in {Shape.ONE, Shape.SEVERAL}:
                joined[-1] = _in_week(weekdays, week)
                continue
        leads = named.first - 1 - (Cue.ON_THE in cues and Cue.UNTIL not in cues)
        if named.shape in {Shape.ONE, Shape.SEVERAL} and Cue.UNTIL in line.cues(leads) | line.own(leads):
            joined.append(_until(named, today))
        elif named.shape in {Shape.ONE, Shape.SEVERAL} and Cue.FROM in cues and named.shape is Shape.ONE:
            joined.append(named._replace(shape=Shape.FROM, first=named.first - 1))
        else:
            joined.append(named)
    return joined


def _same_day(a: Named, b: Named) -> bool:
    """Whether a weekday and a date, said one after the other, are one day in one of the tenses."""
    return any(a.dates(past) == b.dates(past) != () for past in (True, False))


def _range(a: Named, b: Named, today: date) -> Named:
    def dates(past: bool) -> tuple[date, ...]:
        first, last = a.dates(past), b.dates(past)
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

    return Named(a.first, b.last, Shape.SEVERAL, dates, a.tense or b.tense, paired=True)


def _in_week(days: Named, week: Named) -> Named:
    """The weekdays of `days` in the week named beside them: "Tue-Thu next week"."""

    def dates(past: bool) -> tuple[date, ...]:
        wanted = {day.weekday() for day in days.dates(past)}
        return tuple(day for day in week.dates(past) if day.weekday() in wanted)

    first, last = min(days.first, week.first), max(days.last, week.last)
    return days._replace(first=first, last=last, dates=dates, tense=week.tense)


def _until(named: Named, today: date) -> Named:
    def dates(past: bool) -> tuple[date, ...]:
        ends = named.dates(False)
        return stretch(today, ends[-1]) if ends else ()

    return Named(named.first - 1, named.last, Shape.UNTIL, dates, 1)
