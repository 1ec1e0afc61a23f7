"""Which setting a line is about, and what it should be: by its name, by a place, or by a fact told in a sentence."""

from __future__ import annotations

import re
from datetime import date

from nudgebot.domain.messages.settings import setting_pages
from nudgebot.domain.model.event import kilometres
from nudgebot.domain.model.runner import Book
from nudgebot.domain.profile import conditions, intake
from nudgebot.domain.profile.conditions import SOMEBODY_ELSE
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")

# Names by which a line can begin a change of setting, the longest last.
_SETTINGS = dict(
    sorted(
        (
            *((name, key) for key, name in setting_pages.SETTING_NAMES.items()),
            *((key.replace("_", " "), key) for key in setting_pages.SETTING_NAMES),
            ("open days", "days"),
            ("resting hr", "resting_hr"),
            ("max heart rate", "max_hr"),
            ("max hr", "max_hr"),
            ("maximum hr", "max_hr"),
            ("race", "event"),
            ("target date", "event"),
            ("run days", "days"),
            ("long run day", "long_day"),
            ("city", "zone"),
            ("timezone", "zone"),
            ("remind me at", "remind_at"),
            ("reminder at", "remind_at"),
            ("reminder", "remind_at"),
            ("quiet hours", "quiet"),
            ("year of birth", "birth_year"),
            ("i usually run at", "run_time"),
            ("i run at", "run_time"),
            ("i live in", "zone"),
            ("i moved to", "zone"),
        ),
        key=lambda pair: len(pair[0]),
    )
)
_SETTING_NAMED = re.compile(rf"(?:{'|'.join(map(re.escape, reversed(_SETTINGS)))})(?=[ :]|\Z)")
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
