"""One message searched for warning signs, before anything else is done with it. (docs/safety.md)

`triage` is total: any text has a verdict. The highest level in the message wins; between two levels the higher.
It reads and grades; it never diagnoses, and what is said about a verdict stands in `safety_words`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from nudgebot.training.signs.folding import Token, tokens
from nudgebot.training.signs.numbers import measured, scores
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
        return BY_RANK.index(self)


BY_RANK = tuple(Level)


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


SAID_OF_BOTH = frozenset({"SUGAR_HELP", "SELF_HARM", "SUICIDE"})  # said with others in the sentence
ILLNESSES = frozenset({"FEVER", "FEVER_NUMBER", "SICK_ILL", "COLD_ILL", "CHEST_ILL"})
COMPLAINTS = frozenset({"PAIN", "SORE", "ODD", "NIGGLE", "TIGHT"})
SPOTS = {"ONE_CALF": "calf", "LEFT_ARM": "arm", "ONE_FOOT": "foot", "BLADES": "back"}


def triage(text: str) -> Verdict:
    """The verdict on one message."""
    raw, _ = tokens(text)
    found = mended(raw)
    if not found:
        return Verdict()
    spoken, cued, language = _languages(found)
    kinds = _kinds(spoken)
    said = [
        mention
        for each in spoken
        for mention in mentions(found, each)
        if each in cued or lexicon(each).kinds[mention.concept] != "cue"
    ]
    around = scope(found, said, kinds)
    named = frozenset(
        k for m in said if kinds[m.concept] == "part" or m.concept in COMPLAINTS for k in range(m.start, m.end)
    )
    said += measured(found, around.sentence, named)
    dated = times(found, [m for m in said if kinds.get(m.concept) == "cue"])
    reading = _Reading(found, said, kinds, around, dated)
    usable = [m for m in said if not reading.set_aside(m)]
    # The writer's complaints and somebody else's never make one sign together.
    own = [m for m in usable if not around.other[m.start] or m.concept in SAID_OF_BOTH or reading.kind(m) == "cue"]
    theirs = [m for m in usable if around.other[m.start] or reading.kind(m) != "sign"]
    hits = matches(found, own, around, reading.parts)
    if any(around.other):
        hits += matches(found, theirs, around, reading.parts)
    graded = [(sign, match) for match in hits if (sign := reading.graded(match)) is not None]
    pain = next((value for _, value in scores(found, around.sentence, named)), None)
    return reading.verdict(graded, usable, language, pain)


@lru_cache(maxsize=32)
def _kinds(spoken: tuple[str, ...]) -> dict[str, str]:
    merged: dict[str, str] = {}
    for language in reversed(spoken):
        merged |= lexicon(language).kinds
    return merged


def _languages(found: list[Token]) -> tuple[tuple[str, ...], frozenset[str], str]:
    """The languages to read in, English always; those whose small words count; and the one to answer in."""
    weights = dict.fromkeys(LANGUAGES, 0.0)
    english = lexicon("en").words
    foreign: set[str] = set()  # languages with a word of their own in the line
    for token in found:
        homes = [each for each in LANGUAGES if token.word in lexicon(each).words]
        for home in homes:
            weights[home] += 1 / len(homes)
        if token.word not in english:
            foreign.update(homes)
    spoken = tuple(each for each in LANGUAGES if each == "en" or (each in foreign and weights[each] >= 0.9))
    best = max(spoken, key=lambda each: weights[each])
    # "no" denies in English and means "in the" in Portuguese: small words count in the language of the line.
    cued = frozenset(each for each in spoken if each == best or weights[each] >= 0.8 * weights[best])
    return spoken, cued, best


@dataclass(frozen=True, slots=True)
class _Reading:
    """One message with what was found in it."""

    found: list[Token]
    said: list[Mention]
    kinds: dict[str, str]
    around: Scope
    times: list[tuple[int, When]]

    @property
    def parts(self) -> frozenset[str]:
        return frozenset(concept for concept, kind in self.kinds.items() if kind == "part")

    def kind(self, mention: Mention) -> str:
        return self.kinds.get(mention.concept, "sign")  # what numbers name is a sign

    def set_aside(self, mention: Mention) -> bool:
        """Whether what is mentioned is denied, supposed, or a place that is well."""
        kind = self.kind(mention)
        at = range(mention.start, mention.end)
        if kind == "cue":
            return mention.concept == "CLEARED" and any(self.around.negated[k] for k in at)
        if kind == "sign" and self.around.negated[mention.start]:
            return True
        if any(self.around.supposed[k] for k in at):
            return True
        return kind == "part" and self._well(mention)

    def _well(self, place: Mention) -> bool:
        """Whether a place is said to be fine ("chest is fine"), and nothing else of it after."""
        k = place.end
        if k < len(self.found) and self.found[k].word in {"is", "was", "feels", "felt", "are", "were", "all", "still"}:
            k += 1
        here = self.around.sentence[place.start]
        if k >= len(self.found) or self.around.clause[k] != self.around.clause[place.start]:
            return False
        if not any(m.concept == "FINE" and m.start == k for m in self.said):
            return False
        return not any(
            self.kind(m) == "sign" and k < m.start <= k + 6 and self.around.sentence[m.start] == here for m in self.said
        )

    def cues_in(self, sentence: int) -> frozenset[str]:
        return frozenset(
            m.concept
            for m in self.said
            if self.kind(m) == "cue" and self.around.sentence[m.start] == sentence and not self.set_aside(m)
        )

    def when(self, place: int) -> When:
        """How long ago what is said at token `place` was: by its clause, else by the clause that frames it."""
        clause, sentence = self.around.clause[place], self.around.sentence[place]
        here = [when for at, when in self.times if self.around.clause[at] == clause]
        if here:
            return min(here)
        there = [
            when
            for at, when in self.times
            if self.around.sentence[at] == sentence and self._frames(at, clause, sentence)
        ]
        if not there:
            return When.NOW
        when = min(there)
        own = {m.concept for m in self.said if self.kind(m) == "cue" and self.around.clause[m.start] == clause}
        if when is When.HABIT:
            return when
        return When.NOW if "PRESENT" in own and "PAST" not in own else when

    def _frames(self, at: int, clause: int, sentence: int) -> bool:
        """Whether the time at token `at` dates another clause: it opens the sentence, or follows, and has no sign."""
        other = self.around.clause[at]
        if any(self.kind(m) == "sign" and self.around.clause[m.start] == other for m in self.said):
            return False
        opens = all(self.around.sentence[k] != sentence for k in range(max(0, at - 2))) or at < 2
        return other > clause or opens

    def graded(self, match: Match) -> Sign | None:
        """The sign of a match at the level that its time and its person leave it; None where nothing is left."""
        signs = [m for m in match.mentions if self.kind(m) == "sign"] or list(match.mentions)
        first = min(m.start for m in match.mentions)
        last = max(m.end for m in match.mentions)
        lead = signs[0]
        sentence = self.around.sentence[lead.start]
        cues = self.cues_in(sentence)
        at = self.when(lead.start)
        theirs = self.around.other[lead.start] and lead.concept not in SAID_OF_BOTH
        if theirs and not (match.row.others and self._beside(sentence, lead, at)):
            return None
        cleared = any(
            m.concept == "CLEARED"
            and self.around.sentence[m.start] == sentence
            and (m.start > lead.start or self.around.clause[m.start] == self.around.clause[lead.start])
            and not self.set_aside(m)
            for m in self.said
        )
        if cleared and (at >= When.DAYS or "PAST" in cues) and "T_NOW" not in cues:
            return None
        if at >= When.DAYS and any(m.concept == "CLEARED" and not self.set_aside(m) for m in self.said):
            return None
        level = _level_at(match.row, at, cues)
        if level is Level.NONE:
            return None
        return Sign(match.row.id, level, self.found[first].start, self.found[last - 1].end)

    def _beside(self, sentence: int, lead: Mention, at: When) -> bool:
        """Whether somebody else's sign is here and now, and nobody has taken it over yet."""
        cues = self.cues_in(sentence)
        if at > When.YESTERDAY or any(m.concept == "STORY" for m in self.said):
            return False
        if "NEAR" in cues or "T_NOW" in cues:
            return True
        before = {m.concept for m in self.said if self.around.sentence[m.start] == sentence and m.start <= lead.end + 1}
        return "PRESENT_OTHER" in before or "PAST" not in cues

    def verdict(
        self, graded: list[tuple[Sign, Match]], usable: list[Mention], language: str, pain: int | None
    ) -> Verdict:
        """The gravest sign and what goes with it."""
        if not graded:
            return Verdict(language=language, question=self._doubt(), pain_score=pain)
        worst, match = max(graded, key=lambda pair: (pair[0].level.rank, bool(pair[1].row.aid)))
        spots = [m for m in match.mentions if m.concept in self.parts]
        spot = SPOTS.get(spots[0].concept, spots[0].concept.lower().replace("_", " ")) if spots else ""
        named = {m.concept for m in usable if not self.around.other[m.start]}
        calf = worst.level is Level.REST and any(sign.id == "one calf sore" for sign, _ in graded)
        aid = match.row.aid or next((m.row.aid for s, m in graded if m.row.aid and s.level is worst.level), "")
        return Verdict(
            level=worst.level,
            sign=worst.id,
            signs=tuple({sign.id: sign for sign, _ in graded}.values()),
            language=language,
            question="calf" if calf else "chest" if worst.id in {"heartburn", "chest sore from lifting"} else "",
            about_other=any(self.around.other[m.start] for m in match.mentions if self.kind(m) == "sign"),
            first_aid=aid,
            spot=spot,
            msk=match.row.body == "msk",
            fever=bool(named & {"FEVER", "FEVER_NUMBER"}),
            illness=worst.level is Level.REST and bool(named & ILLNESSES),
            pain_score=pain,
        )

    def _doubt(self) -> str:
        """The plain question, where a grave sign is asked about or supposed and nothing else is said."""
        if not any(self.around.supposed):
            return ""
        asked = [m for m in self.said if self.kind(m) != "cue" and not self.around.negated[m.start]]
        grave = (m.row for m in matches(self.found, asked, self.around, self.parts))
        return "plain" if any(Level(row.level).rank >= Level.URGENT.rank for row in grave) else ""


def _level_at(row: Row, at: When, cues: frozenset[str]) -> Level:
    """The level of a row for something `at` that long ago."""
    level = Level(row.level)
    match row.past:
        case "chest":
            by_time = {When.NOW: level, When.YESTERDAY: level, When.HABIT: Level.URGENT, When.DAYS: Level.URGENT}
            return by_time.get(at, Level.CLINICIAN)
        case "stays":
            return level if at <= When.DAYS else Level.URGENT if at is When.LONG else Level.NONE
        case "fades":
            lost = {When.DAYS: 1, When.LONG: 2, When.YEARS: 4}.get(at, 0)
            return BY_RANK[max(0, level.rank - lost)]
        case "event":
            return Level.NONE if at is When.YEARS else level
        case _:
            mild = level.rank <= Level.CLINICIAN.rank
            if mild and "GONE" in cues:
                return Level.NONE
            if at is When.DAYS and level is Level.REST and "PAST" in cues:
                return Level.NONE
            if at >= When.LONG:
                return Level.CLINICIAN if at is When.LONG and not mild else Level.NONE
            return level
