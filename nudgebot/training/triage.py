"""One message searched for warning signs, before anything else is done with it. (docs/safety.md)

`triage` is total: any text has a verdict. The highest level in the message wins; between two levels the higher.
It reads and grades; it never diagnoses, and what is said about a verdict stands in `safety_words`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from nudgebot.training.signs.folding import Token, tokens
from nudgebot.training.signs.scope import Scope, When, scope, times
from nudgebot.training.signs.table import Match, Row, matches
from nudgebot.training.signs.words import LANGUAGES, Mention, lexicon, mended, mentions


class Level(StrEnum):
    """How grave a complaint is, mildest first."""

    NONE = "none"
    REST = "rest"  # ordinary: rest or easy walking, the pain rule
    CLINICIAN = "clinician"  # a clinician before the next run
    URGENT = "urgent"  # medical advice today
    EMERGENCY = "emergency"  # could be life-threatening now

    @property
    def rank(self) -> int:
        """0 for none to 4 for an emergency."""
        return list(Level).index(self)


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign that was found: the row of the table, its level as things stand, where in the text it was named."""

    id: str
    level: Level
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a message says about the runner's health.

    `sign` is the gravest sign's row; `question` the one plain question to ask, "" where none is; `about_other` that
    somebody beside the writer is meant; `first_aid` the one extra line; `spot` the body part named; `msk` that it
    is muscle, bone or joint, where "clinician" includes a physiotherapist; `pain_score` 0-10 as stated.
    """

    level: Level = Level.NONE
    sign: str = ""
    signs: tuple[Sign, ...] = ()
    language: str = "en"
    question: str = ""
    about_other: bool = False
    first_aid: str = ""
    spot: str = ""
    msk: bool = False
    fever: bool = False
    illness: bool = False
    pain_score: int | None = None


BY_RANK = tuple(Level)
SCORE = re.compile(r"\b(10|\d)\s*(?:/|out of|of|von|sur|de)\s*10\b")
PAIN_MILD, PAIN_MUCH = 3, 5  # of 10: from 3 on rest, over 5 a clinician (docs/safety.md, pain rule)
ILLNESSES = frozenset({"FEVER", "SICK_ILL", "COLD_ILL", "CHEST_ILL"})


def triage(text: str) -> Verdict:
    """The verdict on one message."""
    verdicts = [_in_language(text, language) for language in _languages(text)]
    return max(verdicts, key=lambda verdict: verdict.level.rank)


def _languages(text: str) -> list[str]:
    """English, and any other language whose words the message holds more than one of."""
    words = {token.word for token in tokens(text)[0]}
    return ["en", *(each for each in LANGUAGES[1:] if len(words & lexicon(each).words) > 1)]


def _in_language(text: str, language: str) -> Verdict:
    raw, plain = tokens(text)
    found = mended(raw)
    if not found:
        return Verdict()
    kinds = lexicon(language).kinds
    said = mentions(found, language)
    around = scope(found, said, kinds)
    cues = [m for m in said if kinds[m.concept] == "cue"]
    beside = any(m.concept == "NEAR" for m in cues)
    usable = [m for m in said if kinds[m.concept] != "cue" and not _set_aside(m, kinds, around, beside=beside)]
    parts = frozenset(concept for concept, kind in kinds.items() if kind == "part")
    when = times(found, cues)
    graded = [
        (sign, match)
        for match in matches(found, usable, around, parts)
        if (sign := _graded(match, found, cues, when, around)) is not None
    ]
    score = SCORE.search(plain)
    pain = int(score[1]) if score and any(m.concept in {"PAIN", "SORE", "ODD", "NIGGLE"} for m in usable) else None
    named = frozenset(m.concept for m in usable)
    return _verdict(graded, named, parts, around, language, pain)


def _set_aside(mention: Mention, kinds: dict[str, str], around: Scope, *, beside: bool) -> bool:
    """Whether what is mentioned is denied, supposed, or somebody else's who is not here."""
    at = range(mention.start, mention.end)
    if kinds[mention.concept] == "sign" and any(around.negated[k] for k in at):
        return True
    if any(around.supposed[k] for k in at):
        return True
    return not beside and any(around.other[k] for k in at)


def _graded(
    match: Match, found: list[Token], cues: list[Mention], when: list[tuple[int, When]], around: Scope
) -> Sign | None:
    """The sign of a match at the level that its time leaves it; None where nothing is left."""
    first = min(m.start for m in match.mentions)
    last = max(m.end for m in match.mentions)
    sentence = around.sentence[first]
    here = [w for place, w in when if around.sentence[place] == sentence]
    in_sentence = {c.concept for c in cues if around.sentence[c.start] == sentence}
    at = min(here) if here else When.NOW
    if "CLEARED" in in_sentence and "PRESENT" not in in_sentence:
        return None
    level = _level_at(match.row, at)
    if level is Level.NONE:
        return None
    return Sign(match.row.id, level, found[first].start, found[last - 1].end)


def _level_at(row: Row, at: When) -> Level:
    level = Level(row.level)
    if at in {When.NOW, When.YESTERDAY}:
        return level
    if row.past == "chest":
        return {When.HABIT: Level.URGENT, When.DAYS: Level.URGENT}.get(at, Level.CLINICIAN)
    if row.past == "stays":
        return level if at in {When.HABIT, When.DAYS} else Level.NONE
    if row.past == "fades":
        lost = {When.HABIT: 0, When.DAYS: 1, When.LONG: 2}.get(at, 4)
        return BY_RANK[max(0, level.rank - lost)]
    return level if at in {When.HABIT, When.DAYS} else Level.NONE


def _verdict(
    graded: list[tuple[Sign, Match]],
    named: frozenset[str],
    parts: frozenset[str],
    around: Scope,
    language: str,
    pain: int | None,
) -> Verdict:
    if not graded:
        return Verdict(language=language, pain_score=pain)
    worst, match = max(graded, key=lambda pair: pair[0].level.rank)
    level = worst.level
    if pain is not None and level is Level.REST and pain > PAIN_MUCH:
        level = Level.CLINICIAN
    spot = next((m.concept.lower().replace("_", " ") for m in match.mentions if m.concept in parts), "")
    return Verdict(
        level=level,
        sign=worst.id,
        signs=tuple(sign for sign, _ in graded),
        language=language,
        question="calf" if level is Level.REST and spot in {"calf", "one calf"} else "",
        about_other=any(around.other[k] for m in match.mentions for k in range(m.start, m.end)),
        first_aid=match.row.aid,
        spot=spot,
        msk=match.row.body == "msk",
        fever=level is Level.REST and "FEVER" in named,
        illness=level is Level.REST and bool(named & ILLNESSES),
        pain_score=pain,
    )
