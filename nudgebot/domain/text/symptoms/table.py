"""The table of signs (`table.toml`): which concepts together make a sign, its level, its source.

A row's `when` lists patterns. In a pattern `A + B` are near each other in one sentence, `A & B` anywhere in
the message, `A | B` either, and `!A` nowhere in the sentence of the sign.
"""

import tomllib
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from itertools import chain, islice, product

from nudgebot.domain.text.symptoms.evidence import Scope
from nudgebot.domain.text.symptoms.lay_words import Mention, SignWord, parts, starting
from nudgebot.domain.text.word_files import words

W = words("sign_table")

MOST_WAYS = 4  # ways to make up the parts of a pattern that are tried
NEAR = 6  # most tokens between a place and its complaint
FAR = 12  # and between a complaint and what surrounds it
_QUITE_NEAR = 6  # tokens from "nearly" to what nearly happened
# Low mood, and thoughts of self-harm without intent: a doctor or the crisis line, and no hold.
MIND = frozenset({"low mood for weeks", "thoughts of self-harm"})
HEAD_KNOCK = frozenset({"head knock with a grave sign", "head knock or concussion", "head knock without a sign"})
PREGNANCY = frozenset({"heavy bleeding in pregnancy", "bleeding, fluid or a quiet baby in pregnancy"})
# Signs that come of rules that look back over days, and stand in no table.
_LOOKING_BACK = frozenset({"repeated_spot", "worse_next_morning"})
Atom = frozenset[str]  # concepts, any of which will do: "PAIN|TIGHT"
NearAtoms = tuple[Atom, ...]  # near each other: "JAW + PAIN|TIGHT"


@dataclass(frozen=True, slots=True)
class SignPattern:
    """One way a sign is put: the complaint, then the groups that may be anywhere; what must be absent."""

    groups: tuple[NearAtoms, ...]
    absent: frozenset[str]


@dataclass(frozen=True, slots=True)
class Row:
    """A sign of the table."""

    id: str
    level: str
    patterns: tuple[SignPattern, ...]
    past: str  # what time does to its level: "chest", "stays", "fades" or "drops"
    aid: str  # the one line for the sign
    body: str  # "msk" for muscle, bone and joint
    others: bool  # whether it holds for somebody beside the writer; a neighbour's sore knee is not ours to grade
    source: str  # key of docs/sources-safety.md
    seen: str  # "seen", "seen in copies" or "from memory"


@dataclass(frozen=True, slots=True)
class Match:
    """A row found in a message."""

    row: Row
    mentions: tuple[Mention, ...]


def _pattern(text: str, short_for: dict[str, list[str]]) -> SignPattern:
    """A pattern as it is written in the table, with the concepts that its short names are for."""
    absent: set[str] = set()
    groups: list[NearAtoms] = []
    for group in text.split("&"):
        atoms: list[Atom] = []
        for atom in group.split("+"):
            wanted: set[str] = set()
            for word in atom.split():
                concepts = {each for name in word.lstrip("!").split("|") for each in short_for.get(name, [name])}
                (absent if word.startswith("!") else wanted).update(concepts)
            if wanted:
                atoms.append(frozenset(wanted))
        groups.append(tuple(atoms))
    return SignPattern(tuple(groups), frozenset(absent))


@lru_cache(maxsize=1)
def table() -> tuple[Row, ...]:
    """Every row, in the order of the file."""
    raw = tomllib.loads(resources.files("nudgebot.domain.text.symptoms").joinpath("table.toml").read_text("utf-8"))
    return tuple(
        Row(
            id=sign["id"],
            level=sign["level"],
            patterns=tuple(_pattern(text, raw["groups"]) for text in sign["when"]),
            past=sign.get("past", "drops"),
            aid=sign.get("aid", ""),
            body=sign.get("body", ""),
            others=sign.get("others", False),
            source=sign["source"],
            seen=sign["seen"],
        )
        for sign in raw["sign"]
    )


def is_muscle_or_joint(sign: str) -> bool:
    """Whether a sign is of muscle, bone or joint, where a physiotherapist's word counts."""
    return sign in _LOOKING_BACK or any(row.id == sign and row.body == "msk" for row in table())


@lru_cache(maxsize=1)
def firsts() -> dict[str, list[tuple[Row, SignPattern, list[Atom]]]]:
    """The ways of putting a sign by the concepts that each may begin with, and all that one needs besides."""
    index: dict[str, list[tuple[Row, SignPattern, list[Atom]]]] = {}
    for row in table():
        for pattern in row.patterns:
            first, *others = chain(*pattern.groups)
            for concept in first:
                index.setdefault(concept, []).append((row, pattern, others))
    return index


@dataclass(frozen=True, slots=True)
class _Ground:
    """The usable mentions of one message, by concept and in order of place."""

    by_concept: dict[str, list[Mention]]
    found: Sequence[SignWord]
    around: Scope
    places: list[Mention]

    def close(self, concept: str, place: int) -> list[Mention]:
        """The mentions of `concept` that could be near token `place`."""
        all_of_them = self.by_concept.get(concept, [])
        return all_of_them if len(all_of_them) < 8 else _within(all_of_them, place - 2 * FAR, place + 2 * FAR)


def matches(found: Sequence[SignWord], usable: list[Mention], around: Scope) -> list[Match]:
    """Every row that `usable` mentions make up, once for each place where it begins."""
    by_concept: dict[str, list[Mention]] = {}
    in_order = sorted(usable, key=starting)
    for mention in in_order:
        by_concept.setdefault(mention.concept, []).append(mention)
    ground = _Ground(by_concept, found, around, [m for m in in_order if m.concept in parts()])
    index, here = firsts(), frozenset(by_concept)
    tried: set[int] = set()
    out: list[Match] = []
    for concept in by_concept:
        for row, pattern, others in index.get(concept, ()):
            if not any(map(here.isdisjoint, others)) and id(pattern) not in tried:
                tried.add(id(pattern))
                out.extend(Match(row, hit) for hit in _hits(pattern, ground))
    return out


def _hits(pattern: SignPattern, ground: _Ground) -> Iterator[tuple[Mention, ...]]:
    """Each way that a message makes up a pattern: "JAW + PAIN & EFFORT !DENTIST".

    1. What stands behind an `&` may be anywhere: the ways to make up each such group, and from these the ways to make
       up all of them; of both only a few. A pattern without `&` has one such way, with nothing in it.
    2. The first group is the complaint: each place where it is made up, if nothing stands with it that must be absent.
    3. A hit for each such place with each of the ways: what is long gone must not stand for what is now.
    """
    complaint, *elsewhere = pattern.groups
    ways_of_each = [list(islice(_chains(group, ground), MOST_WAYS)) for group in elsewhere]
    ways = [tuple(chain.from_iterable(way)) for way in islice(product(*ways_of_each), MOST_WAYS)]
    if ways:
        for chained in _chains(complaint, ground):
            if not any(_spoils(concept, chained[0], ground) for concept in pattern.absent):
                yield from ((*chained, *way) for way in ways)


def _spoils(concept: str, first: Mention, ground: _Ground) -> bool:
    """Whether a concept that must be absent stands with `first`: in its sentence, or behind it where it comments."""
    sentence, clause = ground.around.sentence, ground.around.clause
    return any(
        sentence[m.start] == sentence[first.start]
        and (concept not in W.comments or clause[m.start] >= clause[first.start])
        and (concept not in W.close or clause[m.start] == clause[first.start])
        and (concept != "NOT_QUITE" or first.start - _QUITE_NEAR <= m.start <= first.start)
        for m in ground.by_concept.get(concept, ())
    )


def _chains(group: NearAtoms, ground: _Ground) -> Iterator[list[Mention]]:
    """The mentions that make up a group, one chain for each place of its first atom.

    Each further atom is the mention nearest to that place which belongs to one that is in the chain already.
    """
    begins = (m for concept in group[0] for m in ground.by_concept.get(concept, ()))
    for first in sorted(begins, key=lambda m: (m.start, m.end, m.concept)):
        chained = [first]
        for atom in group[1:]:
            near = (
                m for concept in atom for m in ground.close(concept, first.start) if _joins(m, chained, atom, ground)
            )
            nearest = min(near, key=lambda m: (abs(m.start - first.start), m.start, m.concept), default=None)
            if nearest is None:
                break
            chained.append(nearest)
        else:
            yield chained


def _joins(mention: Mention, chained: list[Mention], atom: Atom, ground: _Ground) -> bool:
    """Whether a mention may be the `atom` that a chain lacks: near enough, and no words that stand for it already."""
    counted = any(m.start == mention.start and m.end == mention.end and m.concept in atom for m in chained)
    return not counted and any(_together(mention, old, ground) for old in chained)


def _together(a: Mention, b: Mention, ground: _Ground) -> bool:
    """Whether two mentions belong to one complaint.

    They do where they overlap. Apart they do not where the complaint leaves alone a place that was denied; else they
    do with few words between (across sentences next to none) and no other place, save in a list: "my knee and my hip".
    """
    if a.start > b.start:
        a, b = b, a
    if b.start < a.end:
        return True
    if _is_of_another_place(a, b, ground) or _is_of_another_place(b, a, ground):
        return False
    between = range(a.end, b.start)
    if len(between) > (NEAR if a.concept in parts() or b.concept in parts() else FAR):
        return False
    if ground.around.sentence[a.start] != ground.around.sentence[b.start]:
        return len(between) <= 2
    listed = {
        k
        for place in _within(ground.places, a.end, b.start)
        if place.end <= b.start
        for k in range(place.start, place.end)
    }
    return not listed or all(k in listed or ground.found[k].word in W.fillers for k in between)


def _is_of_another_place(complaint: Mention, place: Mention, ground: _Ground) -> bool:
    """Whether a complaint leaves a place alone whose own complaint was denied: "no chest pain, heavy legs".

    It has a place of its own beside it, or is of the whole of somebody ("no chest pain, just tired"). One that has
    neither is of the place that was named ("no chest pain but tightness").
    """
    if place.concept not in parts() or complaint.concept in parts():
        return False
    negated = ground.around.negated
    if not (negated[place.start] or (place.start and negated[place.start - 1] and not ground.found[place.start].gap)):
        return False
    if all(ground.found[k].word in W.of_the_whole for k in range(complaint.start, complaint.end)):
        return True
    beside = {complaint.start, complaint.end}  # the token right behind one place, or right before another
    return any(
        other.concept != place.concept and (other.end in beside or other.start in beside) for other in ground.places
    )


def _within(named: list[Mention], start: int, end: int) -> list[Mention]:
    """Those of `named`, which are in order, that begin in tokens `start` to `end`."""
    return named[bisect_left(named, start, key=starting) : bisect_left(named, end, key=starting)]
