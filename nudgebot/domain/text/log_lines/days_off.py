"""Days off that are told by other words than an absence: the only days that are open, or two days of a month.

"This week only Wednesday and Saturday" closes every other day of that week. "From the 19 to the 24", "du 18 au 25" and
"24-26" are days only for a line that is known to tell of a pause: in any other the numbers may be minutes.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import amounts
from nudgebot.domain.text.log_lines.dates import WEEK_DAYS, Named, of_month, of_year, stretch
from nudgebot.domain.text.log_lines.days import single_days
from nudgebot.domain.text.log_lines.units import MEASURES, UNITS
from nudgebot.domain.text.word_files import words

W = words("days")
_DAYS = range(1, 32)  # of a month
_MEASURED = UNITS | MEASURES | {Cue.CLOCK}


def closed_by_only(line: ParsedLine, today: date, *, in_a_week: bool = False) -> tuple[date, ...]:
    """The days from `today` on that a line closes by naming the only ones that are open; () if it does not.

    Of the week that is named beside them, else of the week of the first of them. Not where anything is denied ("only
    Monday I can't"), asked, or told in minutes ("only 20 on Friday"). With `in_a_week` the line has to name the week,
    and not as the first of many ("from next week").
    """
    only = W.only | W.only_in_portuguese if line.language == "pt" else W.only
    if only.isdisjoint(line.texts) or "?" in line.texts or Cue.CANNOT in line.said:
        return ()
    if any(line.denies(place) for place in line.words):
        return ()
    told = amounts(line)
    if told:
        return ()
    named = single_days(line, told, today)
    open_days = {day for one in _the_only_ones(line, named, only) for day in one.coming}
    if not open_days:
        return ()
    a_week = next((one for one in named if one.week), None)
    if in_a_week and (a_week is None or line.text(_before(line, a_week.first)) in W.first_of_many):
        return ()
    if a_week is not None:
        week = a_week.coming
    else:
        first = min(open_days)
        monday = first - timedelta(days=first.weekday())
        week = tuple(monday + timedelta(days=n) for n in range(WEEK_DAYS))
    weekdays = {day.weekday() for day in open_days}
    return tuple(day for day in week if day >= today and day.weekday() not in weekdays)


def _the_only_ones(line: ParsedLine, named: list[Named], only: frozenset[str]) -> list[Named]:
    """The days that "only" stands before, or behind with nothing else after it ("today only tea" is none)."""
    found: list[Named] = []
    group: list[Named] = []
    for one in (each for each in named if not each.week and len(each.coming) <= 2):
        before = _before(line, one.first)
        if group and before + 1 <= group[-1].last:
            group.append(one)
        else:
            group = [one]
        behind = line.text(one.last) in only and (
            one.last + 1 >= len(line.texts) or line.texts[one.last + 1] in W.after_only
        )
        if line.text(_before(line, group[0].first)) in only or behind:
            found += group
    return found


def _before(line: ParsedLine, place: int) -> int:
    """The last place before `place` whose word is more than one that joins."""
    place -= 1
    while place >= 0 and line.texts[place] in W.between:
        place -= 1
    return place


def stretch_of_month(line: ParsedLine, today: date) -> tuple[date, ...]:
    """The days from one day of the month to another, the first such pair to come; none where no two are joined."""
    numbers = [n for n in line.numerals if line.tokens[n].kind is Kind.NUMBER and line.tokens[n].value in _DAYS]
    for first, last in pairwise(numbers):
        if not _MEASURED.isdisjoint(line.cues(last + 1) - {Cue.M}) or not _are_joined(line, first, last):
            continue
        starts = _next(line, first, today, month=_month_of(line, first, last))
        ends = _next(line, last, starts[0], month=_month_at(line, last)) if starts else ()
        if starts and ends and len(found := stretch(starts[0], ends[0])) > 1:
            return found
    return ()


def _are_joined(line: ParsedLine, first: int, last: int) -> bool:
    """Whether nothing stands between two numbers but what leads from one day to another."""
    between = [text for text in line.texts[first + 1 : last] if not _is_month(line, text)]
    joins = line.tokens[last].dash or not W.to_a_day.isdisjoint(between)
    return joins and all(text in W.to_a_day or text in W.before_a_day for text in between)


def _is_month(line: ParsedLine, text: str) -> bool:
    return Cue.MONTH in line.lexicon.own(text)


def _month_at(line: ParsedLine, place: int) -> int | None:
    """The number of the month named beside the day at `place`."""
    for near in (place + 1, place + 2, place - 1):
        mark = line.marks[near] if 0 <= near < len(line.marks) else None
        if mark is not None and Cue.MONTH in mark.cues and mark.value is not None:
            return int(mark.value)
    return None


def _month_of(line: ParsedLine, first: int, last: int) -> int | None:
    """The month of the first of two days: its own, else that of the last."""
    return _month_at(line, first) or _month_at(line, last)


def _next(line: ParsedLine, place: int, after: date, *, month: int | None) -> tuple[date, ...]:
    """The day at `place` that is the next to come from `after` on."""
    day = int(line.tokens[place].value)
    return of_year(None, month, day, False, after) if month else of_month(day, False, after)
