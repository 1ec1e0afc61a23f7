"""The table of signs (`table.toml`): which concepts together make a sign, its level, its source.

A row's `when` lists patterns. In a pattern `A + B` are near each other in one sentence, `A & B` anywhere in
the message, `A | B` either, and `!A` nowhere in the sentence of the sign.
"""

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from nudgebot.training.signs.folding import Token, word_set
from nudgebot.training.signs.scope import Scope
from nudgebot.training.signs.words import Mention

NEAR = 6  # most tokens between a place and its complaint
FAR = 12  # and between a complaint and what surrounds it
_FILLERS = word_set(
    "and my the left right down into in or also both on side of across around through at to from feel "
    "feels felt is are a y e et und en de la el os o as le les der die das im i"
)


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way a sign is put: groups of near atoms, each atom a choice of concepts; what must be absent."""

    groups: tuple[tuple[frozenset[str], ...], ...]
    absent: frozenset[str]


@dataclass(frozen=True, slots=True)
class Row:
    """A sign of the table."""

    id: str
    level: str
    patterns: tuple[Pattern, ...]
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


def _pattern(text: str, groups: dict[str, list[str]]) -> Pattern:
    absent: set[str] = set()
    kept: list[tuple[frozenset[str], ...]] = []
    for group in text.split("&"):
        atoms: list[frozenset[str]] = []
        for atom in group.split("+"):
            words = atom.split()
            names: set[str] = set()
            for word in " ".join(words).replace(" | ", "|").split():
                concepts = {c for name in word.lstrip("!").split("|") for c in groups.get(name, [name])}
                if word.startswith("!"):
                    absent |= concepts
                else:
                    names |= concepts
            if names:
                atoms.append(frozenset(names))
        kept.append(tuple(atoms))
    return Pattern(tuple(kept), frozenset(absent))


@lru_cache(maxsize=1)
def table() -> tuple[Row, ...]:
    """Every row, in the order of the file."""
    raw = tomllib.loads(resources.files("nudgebot.training.signs").joinpath("table.toml").read_text("utf-8"))
    groups: dict[str, list[str]] = raw["groups"]
    return tuple(
        Row(
            id=sign["id"],
            level=sign["level"],
            patterns=tuple(_pattern(text, groups) for text in sign["when"]),
            past=sign.get("past", "drops"),
            aid=sign.get("aid", ""),
            body=sign.get("body", ""),
            others=sign.get("others", False),
            source=sign["source"],
            seen=sign["seen"],
        )
        for sign in raw["sign"]
    )


@lru_cache(maxsize=1)
def _by_first() -> dict[str, tuple[tuple[Row, Pattern], ...]]:
    index: dict[str, list[tuple[Row, Pattern]]] = {}
    for row in table():
        for pattern in row.patterns:
            for concept in pattern.groups[0][0]:
                index.setdefault(concept, []).append((row, pattern))
    return {concept: tuple(rows) for concept, rows in index.items()}


def matches(found: list[Token], usable: list[Mention], around: Scope, parts: frozenset[str]) -> list[Match]:
    """Every row that `usable` mentions make up."""
    by_concept: dict[str, list[Mention]] = {}
    for mention in usable:
        by_concept.setdefault(mention.concept, []).append(mention)
    places = [m for m in usable if m.concept in parts]
    index = _by_first()
    tried: set[int] = set()
    out: list[Match] = []
    for concept in by_concept:
        for row, pattern in index.get(concept, ()):
            if id(pattern) in tried:
                continue
            tried.add(id(pattern))
            hit = _match(pattern, by_concept, found, around, places)
            if hit:
                out.append(Match(row, hit))
    return out


def _match(
    pattern: Pattern,
    by_concept: dict[str, list[Mention]],
    found: list[Token],
    around: Scope,
    places: list[Mention],
) -> tuple[Mention, ...] | None:
    for group in pattern.groups:
        for atom in group:
            if atom.isdisjoint(by_concept):
                return None
    whole: list[Mention] = []
    for number, group in enumerate(pattern.groups):
        hit = _near(group, by_concept, found, around, places, pattern.absent if number == 0 else frozenset())
        if hit is None:
            return None
        whole.extend(hit)
    return tuple(whole)


def _near(
    group: tuple[frozenset[str], ...],
    by_concept: dict[str, list[Mention]],
    found: list[Token],
    around: Scope,
    places: list[Mention],
    absent: frozenset[str],
) -> list[Mention] | None:
    for first in (m for concept in group[0] for m in by_concept.get(concept, ())):
        sentence = around.sentence[first.start]
        if any(around.sentence[m.start] == sentence for concept in absent for m in by_concept.get(concept, ())):
            continue
        chain = [first]
        for atom in group[1:]:
            following = next(
                (
                    m
                    for concept in sorted(atom)
                    for m in by_concept.get(concept, ())
                    if any(_together(m, old, found, around, places) for old in chain)
                    and not any(m.start == old.start and m.end == old.end for old in chain if len(atom & {old.concept}))
                ),
                None,
            )
            if following is None:
                break
            chain.append(following)
        else:
            return chain
    return None


def _together(a: Mention, b: Mention, found: list[Token], around: Scope, places: list[Mention]) -> bool:
    """Whether two mentions belong to one complaint."""
    if a.start > b.start:
        a, b = b, a
    if b.start < a.end:
        return True
    between = range(a.end, b.start)
    if len(between) > (FAR if a not in places and b not in places else NEAR):
        return False
    if around.sentence[a.start] != around.sentence[b.start]:
        return len(between) <= 2 and _short(a, around) and _short(b, around)
    blockers = [p for p in places if a.end <= p.start and p.end <= b.start]
    if not blockers:
        return True
    covered = {k for p in blockers for k in range(p.start, p.end)}
    return all(k in covered or found[k].word in _FILLERS for k in between)


def _short(mention: Mention, around: Scope) -> bool:
    """Whether the sentence of a mention is a scrap that its neighbour completes ("Chest not. Feels tight.")."""
    return around.sentence.count(around.sentence[mention.start]) <= 3
