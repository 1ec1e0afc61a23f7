"""Which setting a line is about, and what it should be: by its name, by a fact told in a sentence, or by the shape of a
week ("from March on tue, thu, sun", "busy every wednesday").
"""

from __future__ import annotations

import re
from datetime import date
from typing import NamedTuple

from nudgebot.domain.messages import settings
from nudgebot.domain.messages.settings import prompts
from nudgebot.domain.model.event import kilometres
from nudgebot.domain.model.nudged import WEEKDAYS
from nudgebot.domain.model.runner import Book
from nudgebot.domain.profile import conditions, intake
from nudgebot.domain.profile.conditions import SOMEBODY_ELSE
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")

_SETTINGS = {
    **{name: key for key, name in settings.SETTING_NAMES.items()},
    **{key.replace("_", " "): key for key in settings.SETTING_NAMES},
    **{name: key for key, row in prompts().items() for name in row.also},
}
_LONGEST_FIRST = sorted(_SETTINGS, key=len, reverse=True)
_SETTING_NAMED = re.compile(rf"(?:{'|'.join(map(re.escape, _LONGEST_FIRST))})(?=[ :]|\Z)")
SHARED = re.compile(r"\s*location\s+-?\d")  # a place as a voice hands it on


def setting_in(text: str) -> tuple[str, str] | None:
    """A setting's id and what the line says it should be ("" if it names the setting alone)."""
    if SHARED.match(text):
        return "zone", text.strip()
    line = re.sub(r"^(?:please\s+)?(?:/?(?:set|change|settings?)\s+)?(?:my\s+)?", "", squeezed(text).strip(" .!?"))
    named = _SETTING_NAMED.match(line)
    if named is None:
        return None
    return _SETTINGS[named[0]], re.sub(r"^(?:to|is|at|=)\s+", "", line[named.end() :].lstrip(" :="))


def fact_in(text: str, today: date) -> tuple[str, str] | None:
    """The setting that a sentence is about, and its value: medicine, pregnancy, an event on a coming day."""
    line = squeezed(text)
    if SOMEBODY_ELSE.search(line) or conditions.is_somebody_elses(text):
        return None
    for pattern, key in ((P.pregnant, "pregnancy"), (P.slows_the_heart, "medicine")):
        if pattern.search(line):
            return key, "no" if P.over.search(line) else "yes"
    named, days = P.event.findall(line), read_days(text, today)
    # "race ... half marathon": the distance says more.
    event = next((each for each in named if kilometres(each)), named[0] if named else "")
    return ("event", f"{days[0].isoformat()} {event}") if event and days and days[0] > today else None


def is_readable(book: Book, key: str, value: str) -> bool:
    """Whether `value` can be read as the setting `key`: then the line is no log, whatever numbers it holds."""
    pattern = value.partition(" from ")[0] if key == "days" else value
    return bool(value) and intake.read_answer(key, pattern, book.intake) is not None


_DAY = r"(?:mon(?:day)?|tue(?:s|sday)?|wed(?:s|nesday)?|thu(?:r|rs|rsday)?|fri(?:day)?|sat(?:urday)?|sun(?:day)?)s?"
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = "|".join((*MONTHS, r"next (?:week|month)", r"\d{4}-\d\d-\d\d"))
_LIST = rf"{_DAY}(?:\s*\d{{1,3}}(?:\s*min)?)?(?:\s*(?:,|/|&|\band\b)?\s*{_DAY}(?:\s*\d{{1,3}}(?:\s*min)?)?)*"
LATER = re.compile(
    rf"(?:(?:my )?(?:run )?days |i (?:can )?run |running )?from (?P<when>[^,;]*?(?:{_MONTH})\w*(?: \d{{1,2}})?)"
    rf"(?: on(?:wards)?)?[,:]? (?:i (?:can |will )?run )?(?:on )?(?P<days>{_LIST})"
)
_PLURAL = _DAY.removesuffix("?")
EVERY = re.compile(rf"\b(?:(?:every|each) (?P<one>{_DAY})|(?P<more>{_PLURAL}))\b")
TAKEN = re.compile(rf"\b(?:busy|closed|no time|no run|no {_PLURAL}|cannot|can'?t|can not|not free|taken|never)\b")


class WeekShape(NamedTuple):
    """A week's open days in canonical form, and the day from which they hold; None for today."""

    days: str
    start: date | None = None


def shape_in(book: Book, text: str, today: date) -> WeekShape | None:
    """The open days that a sentence asks for, else None.

    A day told without minutes keeps those it has; one that was closed gets those of the shortest open day.
    """
    line = squeezed(text).strip(" .!")
    opened = book.profile.open_minutes
    usual = min((minutes for minutes in opened if minutes), default=0)
    if (later := LATER.fullmatch(line)) is not None and (start := _start(later["when"], today)) is not None:
        told = re.findall(rf"({_DAY})\s*(\d{{1,3}})?", later["days"])
        named = [(_weekday(name), int(minutes) if minutes else 0) for name, minutes in told]
        days = _listed([(day, minutes or opened[day] or usual) for day, minutes in named])
        return WeekShape(days, start)
    closed = {_weekday(found["one"] or found["more"]) for found in EVERY.finditer(line)}
    kept = [(day, minutes) for day, minutes in enumerate(opened) if minutes and day not in closed]
    if not closed or not kept or re.search(r"\d", line) or not TAKEN.search(line):
        return None
    return WeekShape(_listed(kept)) if len(kept) < sum(minutes > 0 for minutes in opened) else None


def _start(when: str, today: date) -> date | None:
    """The first day that `when` names: a date, next week's Monday, or the first of a month."""
    month = next((n for n, name in enumerate(MONTHS, 1) if re.fullmatch(rf"{name}\w*", when)), 0)
    if when == "next month":
        month = today.month % 12 + 1
    if month:
        return date(today.year + (month <= today.month), month, 1)
    return next(iter(read_days(when, today)), None)


def _weekday(name: str) -> int:
    return WEEKDAYS.index(name[:3])


def _listed(days: list[tuple[int, int]]) -> str:
    return ", ".join(f"{WEEKDAYS[day]} {minutes}" for day, minutes in sorted(dict(days).items()))
