"""The words of the trade's lay vocabulary: which concepts a run of words names.

A lexicon file holds sections `[CONCEPT kind]` of phrases; its kinds are

* part: a place on the body; sign: a complaint; context: what surrounds a complaint;
* cue: what turns it round (negation, people, time); mask: an idiom, which hides every word it covers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, KeysView, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from operator import attrgetter
from typing import NamedTuple

from nudgebot.domain.text.folding import fold
from nudgebot.domain.text.line.phrase_tree import Node, PhraseTree
from nudgebot.domain.text.line.spelling import spellings, standard
from nudgebot.domain.text.word_files import words

W = words("sign_words")
LANGUAGES = ("en", "es", "de", "fr", "pt")
Slots = list[list[tuple[str, ...]]]  # what may stand at each place of a phrase
_BRACE = re.compile(r"\{([^}]*)\}")


@dataclass(frozen=True, slots=True)
class SignLexicon:
    """One language's phrases and every word that occurs in them."""

    root: Node[str]  # the concepts of each phrase
    kinds: dict[str, str]  # concept → kind
    words: frozenset[str]
    telling: frozenset[str]  # the words of complaints and places


class SignWord(NamedTuple):
    """One word or number of a message."""

    word: str  # folded, without apostrophes
    start: int  # place in the message as sent
    end: int
    gap: int  # what parts it from the one before: 0 a space, 1 a comma or dash, 2 the end of a sentence
    asked: bool = False  # its sentence ends in a question mark
    owner: bool = False  # somebody's or something's: "Isobel's"


class Mention(NamedTuple):
    """A concept named by words `start` to `end` (half-open) of a message."""

    concept: str
    start: int
    end: int


def _spell_out(phrase: str) -> list[str]:
    """'a{b,c} d' as 'ab d' and 'ac d'."""
    brace = _BRACE.search(phrase)
    if not brace:
        return [phrase]
    before, after = phrase[: brace.start()], phrase[brace.end() :]
    return [whole for choice in brace[1].split(",") for whole in _spell_out(before + choice + after)]


def _patterns(line: str) -> list[str]:
    """The phrases of a line, split at the commas outside braces, with their braces."""
    return [part for each in re.split(r",(?![^{]*\})", line) if (part := each.strip())]


def _slots(pattern: str) -> Slots:
    """What may stand at each place of a phrase: 'a {b,} c{d e,f}' as 'a', 'b' or nothing, 'cd e' or 'cf'."""
    places = re.findall(r"(?:\{[^}]*\}|[^\s{])+", pattern)
    return [[tuple(way.split()) for way in _spell_out(place)] for place in places]


def _spellings(line: str, language: str) -> set[str]:
    """How a line of phrases may be typed: folded, and in German also with ae, oe, ue."""
    ways = {fold(line)[0]}
    if language == "de":
        ways.add(fold(line.lower().replace("ä", "ae").replace("ö", "oe").replace("ü", "ue"))[0])
    return {way.replace("-", " ").replace("'", " " if language == "fr" else "") for way in ways}


def _lines(language: str) -> list[tuple[str, str, str]]:
    """Every line of phrases of a lexicon with its concept and kind."""
    file = resources.files("nudgebot.domain.text.symptoms").joinpath(f"lexicon.{language}.txt")
    found, concept, kind = [], "", ""
    for line in file.read_text("utf-8").splitlines():
        if line.startswith("["):
            concept, kind = line.strip("[] ").split()
        elif line.strip() and not line.startswith("#"):
            found.append((concept, kind, line))
    return found


def _as_read(slots: Slots, language: str) -> Iterator[Slots]:
    """A phrase as it stands, and as it is read in a line that shows its language where it has regional spellings."""
    yield slots
    regional = spellings(language)
    if not all(regional.isdisjoint(way) for slot in slots for way in slot):
        yield [[tuple(_in_dictionary(word, language) for word in way) for way in slot] for slot in slots]


@cache
def _in_dictionary(word: str, language: str) -> str:
    """A word as a line that shows its `language` has it."""
    return standard((word,), language).get(word, word).replace("'", "")


@lru_cache(maxsize=len(LANGUAGES))
def lexicon(language: str) -> SignLexicon:
    """The phrases of one of `LANGUAGES`."""
    tree: PhraseTree[str] = PhraseTree()
    kinds: dict[str, str] = {}
    telling: set[str] = set()
    others: set[str] = set()
    for concept, kind, line in _lines(language):
        kinds[concept] = kind
        words = telling if kind in {"sign", "part"} else others
        # The line once, not each of its phrases: there are tens of thousands of them.
        for pattern in dict.fromkeys(each for way in sorted(_spellings(line, language)) for each in _patterns(way)):
            for slots in _as_read(_slots(pattern), language):
                tree.add(slots, concept)
                words.update(word for slot in slots for way in slot for word in way)
    if language == "de":
        for word, concepts in _painful_parts(tree.root, kinds).items():
            telling.add(word)
            for concept in concepts:
                tree.add([[(word,)]], concept)
    return SignLexicon(tree.root, kinds, frozenset(telling | others), frozenset(telling))


def _painful_parts(root: Node[str], kinds: dict[str, str]) -> dict[str, list[str]]:
    """The German words for a part of the body and its pain in one ("Knieschmerzen") that have no row, with what they
    say.
    """
    parts = {
        f"{stem}{pain}": [each for each in node.said if kinds[each] == "part"]
        for word, node in sorted(root.after.items())
        for stem in ((word, f"{word}n", word[:-1]) if word.endswith("e") else (word,))
        for pain in ("schmerz", "schmerzen")
    }
    return {word: [*said, "PAIN"] for word, said in parts.items() if said and word not in root.after}


@lru_cache(maxsize=1)
def spelled(language: str) -> dict[str, list[str]]:
    """The phrases of each concept as the lexicon lists them, accents and all."""
    found: dict[str, list[str]] = {}
    for concept, _, line in _lines(language):
        found.setdefault(concept, []).extend(phrase for each in _patterns(line) for phrase in _spell_out(each))
    return found


def mentions(found: Sequence[SignWord], language: str) -> tuple[list[Mention], list[tuple[int, int]]]:
    """Every concept named in `found`, idioms applied, in order of place; and where the idioms stand."""
    tree = lexicon(language)
    opening, kinds, padding = tree.root.after, tree.kinds, W.padding
    spotted: list[Mention] = []
    masks: list[tuple[int, int]] = []
    new = tuple.__new__  # a mention in a third of the time
    words = [each.word for each in found]
    goes_on = [*(not each.gap for each in found[1:]), False]  # whether another word follows in the clause
    for start, word in enumerate(words):
        node = opening.get(word)
        at = start
        while node is not None:
            at += 1
            for concept in node.said:
                if kinds[concept] == "mask":
                    masks.append((start, at))
                else:
                    spotted.append(new(Mention, (concept, start, at)))
            if not node.after or not goes_on[at - 1]:
                break
            following = node.after.get(words[at])
            if following is None and words[at] in padding and goes_on[at]:
                at += 1
                following = node.after.get(words[at])
            node = following
    return ([m for m in spotted if not is_masked(m, masks)] if masks else spotted), masks


starting = attrgetter("start")  # the order of mentions in a message


def is_masked(mention: Mention, masks: Sequence[tuple[int, int]]) -> bool:
    """Whether an idiom that stands at one of `masks` hides a mention."""
    _, start, end = mention
    return any(a <= start and end <= b and (a, b) != (start, end) for a, b in masks)


@lru_cache(maxsize=1)
def homes() -> dict[str, tuple[str, ...]]:
    """Every word of every lexicon, with the languages it belongs to."""
    found: dict[str, tuple[str, ...]] = {}
    for language in LANGUAGES:
        for word in lexicon(language).words:
            found[word] = (*found.get(word, ()), language)
    return found


@cache
def kinds() -> dict[str, str]:
    """The kind of every concept, the same in every language; with them a pregnancy, which is told before a message."""
    return {"PREGNANT_TOLD": "context"} | {k: v for each in LANGUAGES for k, v in lexicon(each).kinds.items()}


@cache
def parts() -> frozenset[str]:
    """The concepts that are places on the body."""
    return frozenset(concept for concept, kind in kinds().items() if kind == "part")


def every_word() -> KeysView[str]:
    """Every word of every lexicon."""
    return homes().keys()


def languages_of(found: Sequence[SignWord]) -> tuple[tuple[str, ...], frozenset[str], str]:
    """The languages to read in, English always; those whose small words count; and the one to answer in."""
    weights = dict.fromkeys(LANGUAGES, 0.0)
    known = homes()
    told = [spoken_in for t in found if (spoken_in := known.get(t.word)) and not t.word.isdigit()]
    for spoken_in in told:
        share = 1 / len(spoken_in)
        for home in spoken_in:
            weights[home] += share
    # Languages with a word of their own in the line.
    foreign = {home for spoken_in in set(told) if "en" not in spoken_in for home in spoken_in}
    spoken = tuple([each for each in LANGUAGES if each == "en" or (each in foreign and weights[each] >= 0.9)])
    best = max(spoken, key=weights.__getitem__)
    # "no" denies in English and means "in the" in Portuguese: small words count in the language of the line.
    cued = frozenset([each for each in spoken if each == best or weights[each] >= 0.9 * weights[best]])
    return spoken, cued, best


@lru_cache(maxsize=1)
def telling_words() -> frozenset[str]:
    """The words of complaints and places; a slip points at one of these before it points at an idiom."""
    return frozenset().union(*(lexicon(language).telling for language in LANGUAGES))
