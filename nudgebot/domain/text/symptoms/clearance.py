"""What bears on a hold: a clinician cleared running, who it was and when, and "that was not about me". Five languages.

It reads words and judges nobody: a line that names nobody it knows is asked about, and the runner has the last word.
No line ends a hold by itself: each only begins the steps that do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.word_files import patterns

P = patterns("clearance")


class Clearer(StrEnum):
    """Whose word a line passes on."""

    DOCTOR = "doctor"  # a doctor, hospital, emergency department, specialist or clinic
    MIDWIFE = "midwife"
    PHYSIO = "physiotherapist"
    NOBODY = "nobody"  # the writer, a search, a friend, a relative who is none of these
    UNTOLD = "untold"  # a name, or words that say nothing of it


@dataclass(frozen=True, slots=True)
class Visit:
    """The days on which it may have been, as exactly as the line says it."""

    first: date
    last: date


_MANY = {"a": 1, "an": 1, "couple of": 2, "few": 3}
_MONTH = re.compile(
    rf"\b(?:in|im|en|em|last|early|late|mid|of|de) (?P<month>{'|'.join(said_in_any('months'))})\b"
    r"(?:(?:,| de)? (?P<year>20\d\d)\b(?!-))?"
)
DAY = timedelta(days=1)
_DAYS = {"day": 1, "week": 7, "month": 31, "year": 366}


def clearer_in(text: str) -> Clearer:
    """Who a line says it was. A relative or friend who is said to be a doctor is one; a vet is not."""
    line = squeezed(text)
    doubtful = P.no_clinician.search(line) or P.of_somebody_else.search(line) or _denied(line)
    if not doubtful:
        for kind, words in ((Clearer.DOCTOR, P.doctor), (Clearer.MIDWIFE, P.midwife), (Clearer.PHYSIO, P.physio)):
            if words.search(line):
                return kind
    return Clearer.NOBODY if doubtful or P.nobody.search(line) else Clearer.UNTOLD


def _denied(line: str) -> bool:
    found = P.denied.search(line)
    return found is not None and not (found[0].startswith("no ") and P.in_the.search(line))


def speaks_of_clinician(text: str) -> bool:
    """Whether a line names somebody who examines people, or a test that they do."""
    line = squeezed(text)
    if P.no_clinician.search(line) or P.of_somebody_else.search(line):
        return False
    return any(words.search(line) for words in (P.doctor, P.midwife, P.physio, P.tests))


def asks_about_moving(text: str) -> bool:
    """Whether a line asks if something gentler than running may be done."""
    line = squeezed(text)
    asks = "?" in text or P.asks.search(line) is not None
    return asks and P.moving.search(line) is not None


def not_yet(text: str) -> bool:
    """Whether a line says that the word is still to come, or was no."""
    return P.not_yet.search(squeezed(text)) is not None


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
        end = today.replace(day=1) - timedelta(days=1)
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
    last = after - timedelta(days=1)
    return Visit(first, min(last, today) if first <= today else last)


def says_cleared(text: str) -> bool:
    """Whether a line says that a clinician cleared running; not where it asks, hopes or waits."""
    line = squeezed(text)
    return P.says_cleared.search(line) is not None and P.cleared_later.search(line) is None and "?" not in line


def misread(text: str) -> bool:
    """Whether a line says that what was taken for a complaint was about something or somebody else."""
    line = squeezed(text)
    return P.misread.search(line) is not None and P.still_meant.search(line) is None
