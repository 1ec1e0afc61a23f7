"""A pause told by the days of the month alone: "from the 19 to the 24", "du 18 au 25", "24-26".

Two numbers are days only for a line that is known to tell of a pause: in any other they may be minutes.
"""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.dates import of_month, of_year, stretch
from nudgebot.domain.text.log_lines.units import MEASURES, UNITS
from nudgebot.domain.text.word_files import words

W = words("days")
_DAYS = range(1, 32)  # of a month
_MEASURED = UNITS | MEASURES | {Cue.CLOCK}


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
