"""One message with what was found in it: what counts, of whom, and when."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Sequence
from itertools import accumulate, chain, pairwise
from typing import NamedTuple

from nudgebot.domain.text.line.vocabulary import lexicon as run_words
from nudgebot.domain.text.line.whose import negated, of_others, segments, supposed
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES, Mention, SignWord, every_word, kinds
from nudgebot.domain.text.symptoms.times import When
from nudgebot.domain.text.word_files import words

W = words("sign_evidence")

_DATED_NEAR = 12  # tokens from a complaint to a time that may date it
_FELT_NEAR = 3  # tokens from a complaint to the place it is of
_TELLING = 6  # tokens after "chest is fine" in which a complaint would take the "fine" back
# Said with others in the sentence, and still the writer's own ("everyone would be better off without me").
OF_THE_WRITER = W.of_the_writer
_PARTING = W.was | W.now_is | W.subjects  # part a complaint from another
_SHORT_YEAR = re.compile(r"[6-9]\d")


class Scope(NamedTuple):
    """For each token of a message: what is said of it, and which sentence, clause and segment it stands in.

    Each of the three is counted from 0 through the whole message. A segment lies in one clause, a clause in a sentence.
    """

    negated: list[bool]
    supposed: list[bool]  # asked about or imagined
    other: list[bool]  # said of somebody else
    sentence: list[int]
    clause: list[int]
    segment: list[int]  # parts of clauses that have a subject or a conjunction of their own


def scope(found: Sequence[SignWord], said: list[Mention]) -> Scope:
    """What the words around each token of `found` make of it; `said` are its mentions, of every kind."""
    kind_of = kinds()
    cues: dict[str, dict[int, int]] = defaultdict(dict)  # of each cue, where it begins → where the longest there ends
    signs: dict[int, int] = {}  # the same of complaints
    places: set[int] = set()  # tokens of places on the body
    for concept, start, end in said:
        match kind_of[concept]:
            case "cue":
                cues[concept][start] = max(end, cues[concept].get(start, 0))
            case "sign":
                signs[start] = max(end, signs.get(start, 0))
            case "part":
                places.update(range(start, end))
            case _:
                pass  # context turns nothing round
    segment = segments(found, cues)
    gaps = [token.gap for token in found[1:]]
    return Scope(
        negated=negated(found, cues, signs, places),
        supposed=supposed(found, cues, signs),
        other=of_others(found, cues, segment, felt={m.start for m in said if m.concept in W.felt}),
        sentence=list(accumulate([gap == 2 for gap in gaps], initial=0)),
        clause=list(accumulate([gap > 0 for gap in gaps], initial=0)),
        segment=segment,
    )


def owners(found: Sequence[SignWord], named: list[Mention]) -> list[Mention]:
    """Those named as whose a part of the body or a complaint is: "Isobel's chest"."""
    owned = [k for k, token in enumerate(found[:-1], 1) if token.owner and not found[k].gap and _is_a_name(token.word)]
    begun = {m.start for m in named if kinds()[m.concept] in {"part", "sign"}} if owned else set()
    return [Mention("OTHER", k - 1, k) for k in owned if k in begun]


def _is_a_name(word: str) -> bool:
    """Whether an owner's word is in no list of ours: "Isobel's", not "Tuesday's" or "yesterday's"."""
    return word not in every_word() and not any(word in run_words(each).words for each in LANGUAGES)


def _run_of(number: int, numbers: list[int]) -> tuple[int, int]:
    """Where a number begins and ends among those of a message's tokens, which never fall: a sentence, a segment."""
    return bisect_left(numbers, number), bisect_right(numbers, number)


class Said(NamedTuple):
    """A message's mentions, indexed by clause and sentence."""

    found: Sequence[SignWord]
    mentions: list[Mention]
    of_others: frozenset[Mention]  # those that somebody else has
    around: Scope
    dated: dict[int, list[tuple[int, When]]]  # sentence → times in order: token, how long ago
    cues: dict[int, set[str]]  # clause → cues
    signed: frozenset[int]  # clauses that name a complaint
    fine: frozenset[int]  # tokens where a "fine" begins
    sign_at: list[int]  # tokens where a complaint begins, in order
    felt_at: frozenset[int]  # tokens of complaints of chest, breath and the like

    def kind(self, mention: Mention) -> str:
        """part, sign, context or cue; what numbers name is a sign."""
        return kinds().get(mention.concept, "sign")

    def counts(self, mention: Mention) -> bool:
        """Whether what is mentioned is neither denied nor supposed, nor a place that is well."""
        kind = self.kind(mention)
        at = slice(mention.start, mention.end)
        if kind == "cue":
            return mention.concept != "CLEARED" or True not in self.around.negated[at]
        if kind == "sign" and self.around.negated[mention.start]:
            return False
        return True not in self.around.supposed[at] and (kind != "part" or not self._well(mention))

    def _well(self, place: Mention) -> bool:
        """Whether a place is said to be fine ("chest is fine"), and nothing else of it after."""
        k = place.end
        if k < len(self.found) and self.found[k].word in W.be:
            k += 1
        if k not in self.fine or self.around.clause[k] != self.around.clause[place.start]:
            return False
        here = self.around.sentence[place.start]
        after = self.sign_at[bisect_left(self.sign_at, k + 1) : bisect_left(self.sign_at, k + _TELLING + 1)]
        return not any(self.around.sentence[j] == here for j in after)

    def cues_in(self, sentence: int, first: int = 0, last: int | None = None) -> frozenset[str]:
        """The cues in a sentence, in its clauses from `first` to `last`."""
        begin, end = _run_of(sentence, self.around.sentence)
        if begin == end:
            return frozenset()
        its_last = self.around.clause[end - 1]
        clauses = range(max(first, self.around.clause[begin]), (its_last if last is None else min(last, its_last)) + 1)
        return frozenset(chain(*[self.cues[clause] for clause in clauses if clause in self.cues]))

    def when(self, place: int) -> When:
        """How long ago what is said at token `place` was.

        1. The most recent time of its own clause that may date it.
        2. Now, where the clause speaks in the present.
        3. The most recent time of its sentence that frames other clauses; now where none does.
        """
        clause, sentence = self.around.clause[place], self.around.sentence[place]
        named = self.dated.get(sentence, [])
        if len(named) > _DATED_NEAR:  # no runner names so many times in a sentence
            near = (bisect_left(named, (place + reach,)) for reach in (-_DATED_NEAR, _DATED_NEAR))
            named = named[slice(*near)]
        own = [when for at, when in named if self.around.clause[at] == clause and self._dates(at, place)]
        if own:
            return min(own)
        if "PRESENT" in self.cues.get(clause, ()):
            return When.NOW
        return min((when for at, when in named if self._frames(at)), default=When.NOW)

    def _dates(self, at: int, place: int) -> bool:
        """Whether the time at token `at` may date what is said at `place` in the same clause.

        Not that of another complaint, nor somebody else's time what is the writer's. One that comes in a later segment
        does where `place` is told as past, or where that segment has no subject of its own.
        """
        if self._is_of_another_sign(at, place) or self.around.other[at] > self.around.other[place]:
            return False
        mine, its = self.around.segment[place], self.around.segment[at]
        return its <= mine or not W.was.isdisjoint(self._words_of(mine)) or W.subjects.isdisjoint(self._words_of(its))

    def _words_of(self, segment: int) -> list[str]:
        return [token.word for token in self.found[slice(*_run_of(segment, self.around.segment))]]

    def _is_of_another_sign(self, at: int, place: int) -> bool:
        """Whether the time at token `at` is that of a milder complaint: "tight chest had a cold last month".

        Asked only of what is felt in the chest or the like. The complaint nearest to the time has it, if that is of
        another sort and stands between the time and this one, or if a verb or a subject parts the two complaints.
        """
        if self.felt_at.isdisjoint(range(place - _FELT_NEAR, place + _FELT_NEAR + 1)):
            return False
        behind = bisect_left(self.sign_at, at)
        beside = self.sign_at[max(0, behind - 1) : behind + 1]  # the complaints on both sides of the time
        here = [k for k in beside if self.around.clause[k] == self.around.clause[at]]
        nearest = min(here, key=lambda k: (abs(k - at), k), default=place)
        if nearest in self.felt_at or nearest == place:
            return False
        between = self.found[min(nearest, place) + 1 : max(nearest, place)]
        return at < nearest < place or any(token.word in _PARTING for token in between)

    def _frames(self, at: int) -> bool:
        """Whether the time at token `at` dates other clauses: it opens the message or is that of a clearance."""
        own = self.around.clause[at]
        return own not in self.signed and (at < 2 or "CLEARED" in self.cues.get(own, ()))

    def cleared(self, place: int, at: When) -> bool:
        """Whether the complaint at token `place`, so long ago, was looked at and let go."""
        clause, sentence = self.around.clause[place], self.around.sentence[place]
        if at >= When.DAYS and any("CLEARED" in cues for cues in self.cues.values()):
            return True
        cues = self.cues_in(sentence)
        return "CLEARED" in self.cues_in(sentence, clause) and "PAST" in cues and "T_NOW" not in cues

    def gone(self, place: int) -> bool:
        """Whether the complaint at token `place` is said to have gone, in its clause or behind it."""
        return "GONE" in self.cues_in(self.around.sentence[place], self.around.clause[place])

    def theirs(self, mention: Mention) -> bool:
        """Whether a complaint is somebody else's."""
        return mention in self.of_others

    def is_of_others(self, mention: Mention, told: list[Mention]) -> bool:
        """Whether somebody else has it; `told` is where somebody is said to speak of taking their life."""
        if mention.concept not in OF_THE_WRITER and mention.concept != "SUICIDE_OTHER":
            return self.around.other[mention.start]
        # "my brother says he wants to kill himself": the verb itself is somebody else's
        within = any(m.start <= mention.start and mention.end <= m.end for m in told)
        return within and "OTHER" in self.cues_in(self.around.sentence[mention.start])

    def _names_a_year(self, lead: Mention) -> bool:
        """Whether a year in two digits stands behind a named illness: "the stroke in 98", not "in 58 minutes"."""
        near = self.found[lead.end : lead.end + 3]
        return any(a.word in W.year_in and _SHORT_YEAR.fullmatch(b.word) for a, b in pairwise(near))

    def beside(self, lead: Mention, at: When) -> bool:
        """Whether somebody else's complaint is here and now, and nobody has taken it over yet."""
        sentence, clause = self.around.sentence[lead.start], self.around.clause[lead.start]
        cues = self.cues_in(sentence)
        of_clause = self.cues.get(clause, set())
        if "THING" in of_clause or (lead.concept in W.illnesses_named and self._names_a_year(lead)):
            return False
        if at > When.YESTERDAY or "STORY" in cues or "TAKEN_OVER" in cues or self._taken_over_after(sentence):
            return False
        if "NEAR" in cues:
            return True
        if "PAST" in of_clause and "PRESENT_OTHER" not in of_clause:
            return False
        return "PRESENT_OTHER" in self.cues_in(sentence, last=clause) or "PAST" not in cues

    def _taken_over_after(self, sentence: int) -> bool:
        """Whether the sentence behind `sentence` says that the one spoken of is cared for.

        Another person named there with a complaint, or without a "he" or "she", is another story; so is a complaint
        or a clearance of nobody's: "dad isn't waking up. had chest pain last year, cleared by my doctor".
        """
        following = self.cues_in(sentence + 1)
        if "TAKEN_OVER" not in following:
            return False
        before, here = (self.found[slice(*_run_of(each, self.around.sentence))] for each in (sentence, sentence + 1))
        first, last = _run_of(sentence + 1, self.around.sentence)
        said = [m for m in self.mentions if first <= m.start < last]
        spoken_of = {token.word for token in here} & W.third_person
        others = {self.found[m.end - 1].word for m in said if m.concept == "OTHER"} - W.third_person
        complaint = any(self.kind(m) == "sign" for m in said)
        if others - {token.word for token in before}:  # "mum is with him"
            return bool(spoken_of) and spoken_of <= W.looked_after and not complaint
        return bool(spoken_of or others) or not (complaint or "CLEARED" in following)


def said_of(found: Sequence[SignWord], mentions: list[Mention], around: Scope, dated: list[tuple[int, When]]) -> Said:
    """A message with its indexes."""
    kind_of = kinds()
    by_sentence: dict[int, list[tuple[int, When]]] = defaultdict(list)
    for at, when in sorted(dated):
        by_sentence[around.sentence[at]].append((at, when))
    cues: dict[int, set[str]] = defaultdict(set)
    signs: list[Mention] = []
    for m in mentions:
        kind = kind_of.get(m.concept, "sign")
        if kind == "sign":
            signs.append(m)
        elif kind == "cue" and not (
            m.concept == "CLEARED" and (found[m.start].asked or True in around.negated[m.start : m.end])
        ):
            cues[around.clause[m.start]].add(m.concept)
    said = Said(
        found=found,
        mentions=mentions,
        of_others=frozenset(),
        around=around,
        dated=dict(by_sentence),
        cues=dict(cues),
        signed=frozenset([around.clause[m.start] for m in signs]),
        fine=frozenset([m.start for m in mentions if m.concept == "FINE"]),
        sign_at=sorted({m.start for m in signs}),
        felt_at=frozenset([k for m in mentions if m.concept in W.felt for k in range(m.start, m.end)]),
    )
    told = [m for m in mentions if m.concept == "SUICIDE_OTHER"]
    if not told and True not in around.other:
        return said
    return said._replace(of_others=frozenset([m for m in mentions if said.is_of_others(m, told)]))
