"""The last word on what a line is for: the learned intent, the rules' reading and the numbers weighed together."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date
from functools import cache, lru_cache
from math import log
from typing import NamedTuple

from nudgebot.domain.text.learned import intents, mentions, sums
from nudgebot.domain.text.learned.features import Table, log_odds, logistic, softmax, tables_of, those_told
from nudgebot.domain.text.learned.intents import INTENTS
from nudgebot.domain.text.learned.mentions import ROLES, RUN, Numeral
from nudgebot.domain.text.learned.sums import MinutesOption
from nudgebot.domain.text.log_lines.moods import Clause, Mood
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.log_lines.rules import Parsed, parsed
from nudgebot.domain.text.log_lines.units import Sort
from nudgebot.domain.text.weather import weather_in

WEIGHTS = "readers.weights"  # the file of the tables `Models` names
_LEAST = 1e-3  # a probability below this is taken for this


@dataclass(frozen=True, slots=True)
class Models:
    """The tables of all learned readers of ordinary lines."""

    intent: Table  # a column for each of `INTENTS`, and one for whether a finished run is told, whatever else it is for
    roles: Table
    sums: Table
    stack: Table
    told: Table  # the stack's own word on whether a run is told
    minutes: Table
    complaint: Table  # whether a line tells of something for a clinician or graver
    asked: Table  # the same, weighed against what the line is for
    language: Table


@dataclass(frozen=True, slots=True)
class Based:
    """What the first readers make of a line: intent and run, probabilities; the numbers with their roles; the sums.

    `complaint`: the logarithm of the odds that it tells of something for a clinician or graver.
    """

    intents: list[float]
    run: float
    complaint: float
    mentions: list[Numeral]
    roles: list[list[float]]
    sums: list[tuple[float, MinutesOption]]


class Features(NamedTuple):
    """What the first readers see of a line: its places in their tables, and its numbers with theirs."""

    words: list[set[int]]
    heard: list[set[int]]
    mentions: list[Numeral]
    numbers: list[set[int]]


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the learned readers make of a line.

    `intents`: the probability of each intent, in the order of `INTENTS`; `run`: that a finished run is told.
    `minutes`: the likeliest minutes of a run, None where the line has no number that could be; `minutes_right`: how
    likely these are right if there was a run.
    """

    intents: list[float]
    run: float
    minutes: int | None
    minutes_right: float
    based: Based

    def of(self, intent: Intent) -> float:
        """The probability of one intent."""
        return self.intents[_PLACES[intent]]


_PLACES = {intent: place for place, intent in enumerate(INTENTS)}
_ONE_OF = {one: tuple([float(one is intent) for intent in INTENTS]) for one in (*INTENTS, None)}
_MOODS = tuple(Mood)
_MOOD_OF = {one: tuple([float(one is mood) for mood in (*_MOODS, None)]) for one in (*_MOODS, None)}


@cache
def models() -> Models:
    """The trained tables of the package."""
    tables = tables_of(WEIGHTS)
    return Models(**{field.name: tables[field.name] for field in fields(Models)})


@lru_cache(maxsize=8)
def by_rules(text: str, today: date) -> Parsed:
    """A line without the weather it tells, as the rules see it; kept for a few lines, as what follows is."""
    return parsed(weather_in(text).rest, today)


@lru_cache(maxsize=8)
def first(text: str, today: date) -> tuple[Parsed, Based]:
    """A line as the rules see it, and what the first readers of the package make of it.

    Kept for a few lines, since the readers of replies and of signs both start from it.
    """
    parse = by_rules(text, today)
    return parse, based(models(), parse, features(parse))


def features(parse: Parsed) -> Features:
    """What the first readers see of a line."""
    words = intents.shown_in(parse.line)
    found = mentions.mentions_of(parse)
    heard = intents.heard_blocks(words)
    return Features(intents.blocks_of(parse, words, heard), heard, found, mentions.blocks_of(parse, words, found))


def based(trained: Models, parse: Parsed, seen: Features) -> Based:
    """What the first readers make of it."""
    roles = [softmax(trained.roles.scores([places])) for places in seen.numbers]
    *scores, run = trained.intent.scores(seen.words, intents.WEIGHTS)
    return Based(
        softmax(scores),
        logistic(run),
        trained.complaint.scores(seen.heard, intents.HEARD_WEIGHTS)[0],
        seen.mentions,
        roles,
        sums.ranked(trained.sums, sums.numbers_of(parse, seen.mentions, roles)),
    )


def asked_features(parse: Parsed, based: Based) -> list[float]:
    """What tells whether a line is about a complaint: how it sounds, against what it is for."""
    return [
        based.complaint / 3, *(log(max(p, _LEAST)) / 3 for p in based.intents), log_odds(based.run, _LEAST) / 3,
        min(len(parse.line.tokens), 30) / 10,
    ]  # fmt: skip


def stack_features(parse: Parsed, based: Based) -> list[float]:
    """What the stack weighs, numbers of about the same size."""
    reading, told, line = parse.reading, parse.told, parse.line
    words = line.words[: bisect_left(line.words, intents.WORDS_READ)]
    unknown = len(line.unknown.intersection(words))
    carrying = sum([not line.hints[n] <= intents.SAYS_NOTHING for n in words])
    moods = {clause.mood for clause in parse.clauses}
    own = sums.rules_minutes(parse)
    best, candidate = based.sums[0] if based.sums else (0.0, None)
    top = [max((role[at] for role in based.roles), default=0.0) for at in range(len(ROLES))]
    what = parse.purpose.intent if parse.purpose else None
    return [
        *(log(max(p, _LEAST)) / 3 for p in based.intents), log_odds(based.run, _LEAST) / 3, based.complaint / 3,
        min(len(line.tokens), 30) / 10, min(len(parse.clauses), 9) / 3, min(len(based.mentions), 9) / 3,
        *_ONE_OF[reading.intent], *_ONE_OF[what],
        *(float(reading.intent is intent and reading.ask_back) for intent in (Intent.LOG, Intent.UNKNOWN, Intent.AWAY)),
        *(log_odds(p, 0.01) / 3 for p in top),
        best, float(candidate is not None), float(own is not None),
        float(own is not None and candidate is not None and own == candidate.minutes),
        float(told.sure and bool(told.runs)), float(told.reported), float(bool(reading.logs)),
        unknown / max(1, len(words)), carrying / max(1, len(words)), float(not words), min(len(words), 20) / 10,
        float(len(words) <= 2), float(unknown == 0), float("?" in line.texts), float(bool(parse.days)),
        *[float(mood in moods) for mood in _MOODS],
        float(sum(m.sort is Sort.DURATION for m in based.mentions) > 0), float(not based.mentions),
        float(parse.is_number), *_mood_of(parse, based, candidate),
        *(float(line.language == code) for code in ("es", "de", "fr", "pt")),
    ]  # fmt: skip


def _mood_of(parse: Parsed, based: Based, candidate: MinutesOption | None) -> Sequence[float]:
    """How the clause is meant that holds the likeliest minutes: one of `Mood`, or none of them."""
    if candidate is None:
        return [0.0] * (len(_MOODS) + 1)
    clause = clause_of(parse, based, candidate)
    return _MOOD_OF[clause.mood if clause is not None else None]


def clause_of(parse: Parsed, based: Based, candidate: MinutesOption) -> Clause | None:
    """The clause that holds the first of what a candidate is made of; None where it stands between two."""
    at = based.mentions[candidate.parts[0]].first if candidate.parts else candidate.first
    return mentions.clause_at(parse, at)


def minutes_features(parse: Parsed, based: Based) -> list[float]:
    """What tells whether the likeliest sum is right, if there was a run."""
    if not based.sums:
        return []
    best, candidate = based.sums[0]
    second = based.sums[1][0] if len(based.sums) > 1 else 0.0
    own = sums.rules_minutes(parse)
    chosen = [role[RUN] for role in (based.roles[at] for at in candidate.parts)]
    left = [role[RUN] for at, role in enumerate(based.roles) if at not in candidate.parts]
    return [
        log_odds(best, 0.01) / 3, best, best - second, min(len(based.sums), 8) / 4, float(len(based.sums) == 1),
        log_odds(min(chosen, default=0.5), 0.01) / 3, log_odds(max(left, default=0.01), 0.01) / 3,
        float(own == candidate.minutes), float(own == candidate.minutes and parse.told.sure),
        float(own not in {None, candidate.minutes}), float(not candidate.parts), float(len(candidate.parts) > 1),
        float(candidate.rounded), float(any(based.mentions[at].sort is Sort.DURATION for at in candidate.parts)),
        log_odds(based.run, _LEAST) / 3, float(bool(candidate.derived)),
        float(10 <= candidate.minutes <= 90), float(candidate.minutes < 10),
    ]  # fmt: skip


def weighed(trained: Models, parse: Parsed, based: Based) -> Weighed:
    """What the learned readers make of a line, from what the first of them made of it."""
    values = those_told(stack_features(parse, based))
    shares = softmax(trained.stack.scores_at(values))
    run = logistic(trained.told.scores_at(values)[0])
    if not based.sums:
        return Weighed(shares, run, None, 0.0, based)
    right = logistic(trained.minutes.scores_of(minutes_features(parse, based))[0])
    return Weighed(shares, run, based.sums[0][1].minutes, right, based)
