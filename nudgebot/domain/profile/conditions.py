"""Conditions that a runner tells in words: a table as data (`conditions.toml`), and whose condition a line speaks of.

What is read is shown back before it holds; what follows from it is in the row. (docs/safety.md, "Told conditions")
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from nudgebot.domain.model.intake import Intake
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.word_files import patterns

P = patterns("conditions")
SOMEBODY_ELSE = P.somebody_else
UNDER_AGE = "under_age"  # the id of an age under 18; it stands in no row, since it is read as a number
LANGUAGES = ("en", "es", "de", "fr", "pt")
ADULT_FROM = 18  # years


@dataclass(frozen=True, slots=True)
class Condition:
    """A row: its id, what it is called when shown back, what follows, its words, its source and how that was seen."""

    id: str
    name: str
    follows: frozenset[str]
    words: Mapping[str, tuple[str, ...]]
    source: str
    seen: str


@dataclass(frozen=True, slots=True)
class ToldConditions:
    """A condition that a line tells of the writer, and the line without it, for whatever else it says."""

    id: str
    rest: str


@lru_cache(maxsize=1)
def table() -> tuple[Condition, ...]:
    """Every row, in the order of the file."""
    raw = tomllib.loads(resources.files("nudgebot.domain.profile").joinpath("conditions.toml").read_text("utf-8"))
    return tuple(
        Condition(
            row["id"],
            row["name"],
            frozenset(row["follows"]),
            {language: tuple(row[language]) for language in LANGUAGES},
            row["source"],
            row["seen"],
        )
        for row in raw["condition"]
    )


@lru_cache(maxsize=1)
def by_id() -> Mapping[str, Condition]:
    """The rows by their ids."""
    return {row.id: row for row in table()}


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    found = []
    for row in table():
        words = sorted({word for each in row.words.values() for word in each}, key=len, reverse=True)
        ways = "|".join(re.escape(word).replace(r"\~", r"\w*").replace("~", r"\w*") for word in words)
        found.append((row.id, re.compile(rf"\b(?:{ways})\b" if ways else r"(?!)")))
    return tuple(found)


def confirmed_rows(told: Intake) -> tuple[Condition, ...]:
    """The conditions that the runner has confirmed, in the order of the table."""
    return tuple(row for row in table() if told.tells(row.id))


def keeps_level(told: Intake) -> bool:
    """Whether a condition that was told keeps the weeks as they are."""
    return any("level" in row.follows for row in confirmed_rows(told))


def condition_in(text: str) -> ToldConditions | None:
    """The condition that a line tells of the writer; None for another person's, a denied one or none."""
    line = squeezed(text).replace("'", "")
    if (age := _age_told(line)) is not None and age < ADULT_FROM:
        return ToldConditions(UNDER_AGE, "")
    for key, pattern in _patterns():
        for found in pattern.finditer(line):
            if _is_own(line, found, key) and _holds(key, line, found):
                return ToldConditions(key, _without(line, found))
    return None


def over_in(text: str) -> str | None:
    """The condition that a line says is over for the writer: "no longer on warfarin", "my period is back"."""
    line = squeezed(text).replace("'", "")
    if P.period_back.search(line):
        return "period"
    if P.over.search(line) is None or P.theirs.search(line):
        return None
    return next((key for key, pattern in _patterns() if pattern.search(line)), None)


def conditions_in(text: str) -> frozenset[str]:
    """The ids of all conditions that a line names as the writer's."""
    line = squeezed(text).replace("'", "")
    return frozenset(key for key, way in _patterns() for found in way.finditer(line) if _is_own(line, found, key))


def is_somebody_elses(text: str) -> bool:
    """Whether a line names a condition, and only of somebody else."""
    line = squeezed(text).replace("'", "")
    named = [(key, found) for key, pattern in _patterns() for found in pattern.finditer(line)]
    return bool(named) and not any(_is_own(line, found, key) for key, found in named)


def _clause(line: str, found: re.Match[str]) -> tuple[str, str]:
    """What stands in the clause before a match and after it."""
    starts = [cut.end() for cut in P.clause.finditer(line, 0, found.start())]
    end = P.clause.search(line, found.end())
    return line[max(starts, default=0) : found.start()], line[found.end() : end.start() if end else len(line)]


def _is_own(line: str, found: re.Match[str], key: str) -> bool:
    before, after = _clause(line, found)
    if P.about.search(after) or P.for_others.search(line):
        return False
    if P.denied.search(before) and not P.not_a_denial.search(line):
        return False
    whole = f"{before} {found[0]}"
    theirs = [each.end() for each in P.theirs.finditer(before)]
    mine = [each.end() for each in P.first.finditer(whole) if each.start() < max(1, len(whole))]
    own_noun = [each for each in mine if not any(each <= end for end in theirs)]
    if theirs:
        # "my wife says I have epilepsy" is the writer's; "my wife has epilepsy" is not.
        return bool(own_noun) and max(own_noun) > max(theirs)
    if P.of_a_part.search(after):
        return bool(re.search(r"\b(?:i|im|ive)\b", before))
    if mine:
        return True
    if key != "eating" and before.strip() and not P.leads.search(before):
        return False
    return len(line.split()) <= 14 and not (line.endswith("?") and not mine)


def _holds(key: str, line: str, found: re.Match[str]) -> bool:
    """What a row asks for beyond its words: an operation is of late, a missing period has no plain reason."""
    if key == "operation":
        return P.lately.search(line) is not None and P.long_past.search(line) is None
    if key == "cancer":
        return P.long_past.search(line) is None or found[0].startswith(("chemo", "radio", "quimio", "chimio"))
    if key == "circulation":
        return not (found[0] == "stroke" and P.in_the_pool.search(line))
    if key == "period":
        return P.explained.search(line) is None
    if key == "pregnancy":
        return re.search(r"\b(?:no longer|any ?more|not)\b", line) is None
    return True


def _age_told(line: str) -> int | None:
    found = P.age.search(line)
    if found is None or (found["old"] is None and P.no_age.search(line[found.end() : found.end() + 9])):
        return None
    word = found["age"] or found["old"] or found["alt"]
    return int(word) if word.isdigit() else said_in_any("numbers")[word]


def _without(line: str, found: re.Match[str]) -> str:
    """The line without the clause that the condition stands in."""
    before, after = _clause(line, found)
    start, end = found.start() - len(before), found.end() + len(after)
    return f"{line[:start]} {line[end:]}".strip(" ,.;:!")


def needs_clinician(ids: frozenset[str]) -> bool:
    """Whether any of the conditions asks for a clinician before running."""
    return any("clinician" in by_id()[key].follows for key in ids)
