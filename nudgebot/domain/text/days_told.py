"""When something was, by a line that answers or asks it: the days of a visit, a whole month."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from nudgebot.domain.text.folding import fold, squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.sayings import LONGEST_QUESTION
from nudgebot.domain.text.word_files import patterns

P = patterns("days_told")
FEW = 4  # words; so short a question of a month can only be about what was run in it ("how much in May?")
DAY = timedelta(days=1)
_MANY = {"a": 1, "an": 1, "couple of": 2, "few": 3}
_DAYS = {"day": 1, "week": 7, "month": 31, "year": 366}
_MONTH = re.compile(
    r"\b(?:in|im|en|em|last|early|late|mid|of|de|for|during|since) "
    rf"(?P<month>{'|'.join(said_in_any('months'))})\b(?:(?:,| de)? (?P<year>20\d\d)\b(?!-))?"
)


@dataclass(frozen=True, slots=True)
class Visit:
    """The days on which it may have been, as exactly as the line says it."""

    first: date
    last: date


def visit_in(text: str, today: date) -> Visit | None:
    """When a line says it was; None where it names no time. "In March" is the last March that has begun."""
    days = read_days(text, today, past=True)
    line = squeezed(text)
    if days:
        return Visit(min(days), max(days))
    if (on := today if P.today.search(line) else today - DAY if P.yesterday.search(line) else None) is not None:
        return Visit(on, on)
    if month := _MONTH.search(line):
        return _whole_month(month, today)
    ago = P.ago.search(line)
    if ago and (many := _many(ago["many"])) is not None:
        unit = _DAYS[ago["unit"]]
        on = today - timedelta(days=min(many * unit, 36_600))
        return Visit(on - timedelta(days=unit // 2), min(today, on + timedelta(days=unit // 2)))
    if last := P.last.search(line):
        if last["unit"] == "year":
            return Visit(date(today.year - 1, 1, 1), date(today.year - 1, 12, 31))
        end = today.replace(day=1) - DAY
        return Visit(end.replace(day=1), end)
    if year := P.year.search(line):
        first = date(int(year["year"]), 1, 1)
        return Visit(first, min(max(today, first), first.replace(month=12, day=31)))
    return None


def _many(word: str) -> int | None:
    """A number in digits or words; None where it is none."""
    return int(word) if re.fullmatch(r"\d{1,3}", word) else said_in_any("numbers").get(word, _MANY.get(word))


def _whole_month(found: re.Match[str], today: date) -> Visit:
    number = said_in_any("months")[found["month"]]
    year = int(found["year"]) if found["year"] else today.year - (number > today.month)
    first = date(year, number, 1)
    after = date(year + number // 12, number % 12 + 1, 1)
    last = after - DAY
    return Visit(first, min(last, today) if first <= today else last)


def month_asked_about(text: str, today: date) -> date | None:
    """The first day of the month of which a line asks how much was run: the last of that name that has begun."""
    line = fold(text[:LONGEST_QUESTION])[0]
    if P.how_much.search(line) is None or not (P.did.search(line) or len(line.split()) <= FEW):
        return None
    if P.this_month.search(line):
        return today.replace(day=1)
    if P.last_month.search(line):
        return (today.replace(day=1) - DAY).replace(day=1)
    named = _MONTH.search(line)
    return _whole_month(named, today).first if named else None
