"""One message searched for warning signs, before anything else is done with it. (docs/safety.md)

`triage` is total: any text has a verdict. The highest level in the message wins; between two levels the higher.
It reads and grades; it never diagnoses, and what is said about a verdict stands in `by_language.toml`.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import chain

from nudgebot.domain.text.fevers import is_normal
from nudgebot.domain.text.symptoms.evidence import Said, owners, said_of, scope
from nudgebot.domain.text.symptoms.heard_words import heard
from nudgebot.domain.text.symptoms.lay_words import (
    Mention,
    SignWord,
    is_masked,
    kinds,
    languages_of,
    mentions,
    parts,
    starting,
)
from nudgebot.domain.text.symptoms.misplaced import MISPLACED, OF_THE_HEART, is_excitement, is_hidden, is_misplaced
from nudgebot.domain.text.symptoms.numbers import measured, scores
from nudgebot.domain.text.symptoms.table import Match, Row, firsts, matches
from nudgebot.domain.text.symptoms.times import When, times
from nudgebot.domain.text.symptoms.verdict import BY_RANK, Illness, Level, Sign, ToldIllness, Verdict
from nudgebot.domain.text.word_files import words

__all__ = ["BY_RANK", "Illness", "Level", "Sign", "ToldIllness", "Verdict", "triage"]
W = words("triage_words")


KINDS_OF_ILLNESS = {
    "FEVER": Illness.FEVER,
    "FEVER_NUMBER": Illness.FEVER,
    "TEMP_40": Illness.FEVER,
    "UPSET": Illness.UPSET,
    "VOMIT": Illness.UPSET,
    "COVID": Illness.COVID,
    "FLU": Illness.ILL,
    "CHEST_ILL": Illness.ILL,
}
# With one of these in a line no run is offered as a free choice. (docs/safety.md)
NO_FREE_CHOICE = frozenset({*KINDS_OF_ILLNESS, "STIFF_NECK", "CHEST", "CHEST_STATE", "CHEST_PAIN_WORD", "SICK"})
# What a number alone can name, with the word for it.
BY_NUMBER = {"HR_ODD": "pulse", "TEMP_40": "temperature", "BP_CRISIS": "pressure", "BP_HIGH": "pressure"}
CHEST_IN_DOUBT = frozenset({"heartburn", "chest sore from lifting"})
MOST_NAMED, OFTEN = 120, 8  # mentions in a message of any length; of one concept at each end of a longer one
LONGEST_QUOTE = 80  # characters
# What a link of invitation sends: letters at random, which hold a word of ours now and then.
INVITED = re.compile(r"(?:/start(?:@\w+)? )?(?=(?:\S*[A-Z]){3})(?=(?:\S*[a-z]){3})[\w-]{22}\s*", re.ASCII)
SPOTTING = "SPOTTING"  # asked about wherever it is named
CLAUSE_END = re.compile(r"[.!?;,\n]")
SPOTS = {"ONE_CALF": "calf", "LEFT_ARM": "arm", "ONE_FOOT": "foot", "BLADES": "back"}


def triage(text: str, *, pregnant: bool = False) -> Verdict:
    """The verdict on one message, `pregnant` that its writer told a pregnancy before."""
    if INVITED.fullmatch(text):
        return Verdict()
    found = heard(text)
    if not found:
        return Verdict()
    named, language = _named(text, found)
    concepts = {mention.concept for mention in named}
    has_place = not (concepts.isdisjoint(parts()) and concepts.isdisjoint(W.complaints))
    scored = scores(text, found) if has_place else []
    numbers = _fewer(measured(text, found, scored))
    if not numbers and _telling().isdisjoint(concepts):
        return Verdict(language=language)
    if pregnant:
        named.append(Mention("PREGNANT_TOLD", 0, 0))
    kind = kinds()
    cues = [mention for mention in named if kind[mention.concept] == "cue"]
    said = said_of(found, [*named, *numbers], scope(found, named), times(found, cues))
    verdict = _verdict(said, language, scored[0][1] if scored else None)
    return replace(verdict, words=_quoted(text, verdict)) if verdict.sign else verdict


def _named(text: str, found: Sequence[SignWord]) -> tuple[list[Mention], str]:
    """What the words of a message name, and the language to answer in.

    1. The language: the likeliest by its words; of several as likely, one that names a sign.
    2. What is named, in every language that the line may be in; small words only in those that are likely.
    3. Whose it is, where somebody is named as its owner.
    4. Less each mention that means something else where it stands.
    5. Less a heart attack that is a figure of speech, where nothing else is complained of.
    6. Less a fever that is none by its number.
    """
    spoken, cued, language = languages_of(found)
    kind = kinds()
    of_each = {each: mentions(found, each) for each in spoken}
    likely = (each for each in (language, *spoken) if each in cued)
    language = next((each for each in likely if any(kind[m.concept] == "sign" for m in of_each[each][0])), language)
    masks = of_each[language][1]
    named = _fewer([m for each in spoken for m in of_each[each][0] if each in cued or kind[m.concept] != "cue"])
    named += owners(found, named)
    chest_colds = [m for m in named if m.concept == "CHEST_ILL"]
    named = [
        m
        for m in named
        if not (m.concept in MISPLACED and is_misplaced(m, found))
        and not (m.concept == "VISION_LOSS" and is_hidden(m, named, found))
        # A cold that has gone to the chest has not gone.
        and not (m.concept == "GONE" and any(m.start < cold.end and cold.start < m.end for cold in chest_colds))
        and not (masks and m.concept not in OF_THE_HEART and is_masked(m, masks))
    ]
    if all(m.concept in OF_THE_HEART for m in named if kind[m.concept] == "sign"):
        hearts = [m for m in named if m.concept in OF_THE_HEART]
        said_for_effect = {m for m in hearts if is_masked(m, masks) or is_excitement(m, found)}
        named = [m for m in named if m not in said_for_effect]
    return [m for m in named if m.concept != "FEVER" or not is_normal(text, found[m.start : m.end])], language


def _fewer(named: list[Mention]) -> list[Mention]:
    """Of each complaint or place that a very long message names again and again, the first mentions and the last."""
    if len(named) <= MOST_NAMED:
        return named
    of: dict[str, list[Mention]] = defaultdict(list)
    for mention in named:
        of[mention.concept].append(mention)
    for concept, each in of.items():
        if kinds().get(concept) != "cue":
            of[concept] = [*each[:OFTEN], *each[OFTEN:][-OFTEN:]]
    return sorted(chain.from_iterable(of.values()), key=starting)


@cache
def _telling() -> frozenset[str]:
    """Every concept that a verdict can begin with: in a line of none of them nothing is left to grade."""
    return frozenset({*firsts(), *NO_FREE_CHOICE, *W.below_the_neck, SPOTTING})


def _quoted(text: str, verdict: Verdict) -> str:
    """The runner's own words that named the gravest sign: their clause where it is short, else the sign alone."""
    sign = next((sign for sign in verdict.signs if sign.id == verdict.sign), verdict.signs[-1])
    before, after = CLAUSE_END.split(text[: sign.start])[-1], CLAUSE_END.split(text[sign.end :])[0]
    clause = " ".join(f"{before}{text[sign.start : sign.end]}{after}".split())
    words = clause if len(clause) <= LONGEST_QUOTE else " ".join(text[sign.start : sign.end].split())
    return words if len(words) <= LONGEST_QUOTE else f"{words[:LONGEST_QUOTE].rpartition(' ')[0]} …"


def _verdict(said: Said, language: str, pain: int | None) -> Verdict:
    """The gravest sign of a message and what goes with it."""
    usable = [m for m in said.mentions if said.counts(m)]
    graded = _graded(said, usable)
    own = {m.concept for m in usable if m not in said.of_others}
    told, deep = _told(said), not own.isdisjoint(W.below_the_neck)
    kept = not own.isdisjoint(NO_FREE_CHOICE)
    if not graded:
        doubt = _doubt(said)
        return Verdict(language=language, question=doubt, pain_score=pain, told=told, deep=deep, kept_from_running=kept)
    worst, match = max(graded, key=lambda pair: (pair[0].level.rank, bool(pair[1].row.aid)))
    spots = [m for m in match.mentions if m.concept in parts()]
    calf = worst.level is Level.REST and any(sign.id == "one calf sore" for sign, _ in graded)
    return Verdict(
        level=worst.level,
        sign=worst.id,
        signs=tuple({sign.id: sign for sign, _ in sorted(graded, key=lambda pair: pair[0].level.rank)}.values()),
        language=language,
        question="calf" if calf else "chest" if worst.id in CHEST_IN_DOUBT else "",
        about_other=said.theirs(_lead(said, match)),
        first_aid=match.row.aid,
        spot=SPOTS.get(spots[0].concept, spots[0].concept.lower().replace("_", " ")) if spots else "",
        msk=match.row.body == "msk",
        fever=bool(own & {"FEVER", "FEVER_NUMBER"}),
        illness=worst.level is Level.REST and bool(own & W.illnesses),
        pain_score=pain,
        told=told,
        deep=deep,
        kept_from_running=kept,
        number=_number_alone(said, usable, worst.level),
    )


def _told(said: Said) -> tuple[ToldIllness, ...]:
    """The writer's own illnesses of the last two weeks, in order of `Illness`."""
    found: dict[Illness, bool] = {}
    for mention in said.mentions:
        kind = KINDS_OF_ILLNESS.get(mention.concept)
        if kind is None or said.theirs(mention) or _only_asked(said, mention):
            continue
        if not said.counts(mention):
            if _is_no_longer(said, mention):
                found.setdefault(kind, True)
            continue
        at = said.when(mention.start)
        if at >= When.LONG or said.cleared(mention.start, at):
            continue
        cues = said.cues_in(said.around.sentence[mention.start])
        past = said.gone(mention.start) or (at in {When.YESTERDAY, When.DAYS} and "PAST" in cues)
        found[kind] = found.get(kind, True) and past
    return tuple(ToldIllness(kind, found[kind]) for kind in Illness if kind in found)


def _is_no_longer(said: Said, mention: Mention) -> bool:
    """Whether what is denied was there before: "no more fever", "kein Fieber mehr", "no fever since Sunday"."""
    sentence = said.around.sentence
    near = range(max(0, mention.start - 3), min(len(said.found), mention.end + 2))
    words = [(k, said.found[k].word) for k in near if sentence[k] == sentence[mention.start]]
    return any(word in W.no_longer or (k >= mention.end and word in W.since) for k, word in words)


def _only_asked(said: Said, mention: Mention) -> bool:
    """Whether an illness is no more than asked about: "can I run with a fever?"; not "can I run, I have a fever"."""
    first = bisect_left(said.around.sentence, said.around.sentence[mention.start])
    asks = first < mention.start and said.found[first].word in W.asks
    return asks and W.has.isdisjoint(token.word for token in said.found[first : mention.start])


def _number_alone(said: Said, usable: list[Mention], level: Level) -> str:
    """The number that alone carries a level from `clinician` on ("pulse 35"); "" where words carry it too."""
    numbers = [m for m in usable if m.concept in BY_NUMBER]
    if level.rank < Level.CLINICIAN.rank or not numbers:
        return ""
    words = [m for m in usable if m.concept not in BY_NUMBER]
    if any(sign.level.rank >= Level.CLINICIAN.rank for sign, _ in _graded(said, words)):
        return ""
    first = numbers[0]
    told = (each.word for each in said.found[first.start : first.end] if each.word[0].isdigit())
    return f"{BY_NUMBER[first.concept]} {'/'.join(told)}"


def _graded(said: Said, usable: list[Mention]) -> list[tuple[Sign, Match]]:
    """Every sign with the match that made it. The writer's complaints and another's never make one sign together."""
    own = [m for m in usable if m not in said.of_others or said.kind(m) == "cue"]
    hits = matches(said.found, own, said.around)
    if True in said.around.other:
        theirs = [m for m in usable if said.theirs(m) or said.kind(m) != "sign"]
        hits += matches(said.found, theirs, said.around)
    return [(sign, match) for match in hits if (sign := _as_things_stand(said, match)) is not None]


def _lead(said: Said, match: Match) -> Mention:
    """The complaint that a match is about."""
    return next((m for m in match.mentions if said.kind(m) == "sign"), match.mentions[0])


def _as_things_stand(said: Said, match: Match) -> Sign | None:
    """The sign of a match at the level that its time and its person leave it; None where nothing is left."""
    lead = _lead(said, match)
    at = said.when(lead.start)
    if said.theirs(lead) and not (match.row.others and said.beside(lead, at)):
        return None
    if said.cleared(lead.start, at):
        return None
    gone = said.gone(lead.start)
    level = _level_at(match.row, at, past="PAST" in said.cues_in(said.around.sentence[lead.start]))
    if level is Level.NONE or (match.row.past == "drops" and level.rank < Level.URGENT.rank and gone):
        return None
    first = min(match.mentions, key=lambda m: m.start)
    last = max(match.mentions, key=lambda m: m.end)
    return Sign(match.row.id, level, said.found[first.start].start, said.found[last.end - 1].end)


def _doubt(said: Said) -> str:
    """The plain question, where a grave sign is asked about or supposed and nothing else is said."""
    if any(m.concept == SPOTTING and said.counts(m) and not said.theirs(m) for m in said.mentions):
        return "plain"
    if True not in said.around.supposed:
        return ""
    asked = [m for m in said.mentions if said.kind(m) != "cue" and not said.around.negated[m.start]]
    rows = (match.row for match in matches(said.found, asked, said.around))
    return "plain" if any(Level(row.level).rank >= Level.URGENT.rank for row in rows) else ""


def _level_at(row: Row, at: When, *, past: bool) -> Level:
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
            if at is When.DAYS and level is Level.REST and past:
                return Level.NONE
            if at >= When.LONG:
                grave = level.rank > Level.CLINICIAN.rank
                return Level.CLINICIAN if at is When.LONG and grave else Level.NONE
            return level
