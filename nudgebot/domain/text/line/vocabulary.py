"""The words of five languages, as data, and what each of them hints at.

A language is one file, `words/<code>.toml`: `[cues]` lists words and phrases by the hint they give,
`[numbers]` number words, `[durations]` times said in words, `[days]` days counted from today,
`[weekdays]` and `[months]`. Words of `words/any.toml` (units, signs) belong to every language.
Where phrases overlap the longest wins and hides what is inside it.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import Any, NamedTuple

from nudgebot.domain.text.line.cues import FORGIVEN, Cue
from nudgebot.domain.text.line.phrase_tree import Node, PhraseTree
from nudgebot.domain.text.line.spelling import Slips, is_one_slip
from nudgebot.domain.text.line.tokens import NUMBER, WORD, Token, tokens

LANGUAGES = ("en", "es", "de", "fr", "pt")
NOTHING: frozenset[Cue] = frozenset()
SHORTEST_FORGIVEN = 5  # letters; a shorter word with a slip in it could be anything
LONGEST_FORGIVEN = 20  # letters; no word of the files is longer
CLOSE_CALL = 0.3  # votes; nearer than this the phrases decide, not the words
_HOURS = frozenset((Cue.HOUR, Cue.DURATION))  # only behind one of these is "and a half" a part of a time
_AFTER_HOURS = Cue.AFTER_HOURS  # asked for at every word, and an enum takes its time
_CLASHES = frozenset(("i'll", "we'll", "she'll", "he'll", "we're", "she's"))  # without apostrophe: other words


class Entry(NamedTuple):
    """What a word or phrase says: its hints, and a value where it has one."""

    cues: frozenset[Cue]
    value: float | None = None


class Mark(NamedTuple):
    """An entry found in a line, from token `first` up to, not including, token `last`."""

    first: int
    last: int
    cues: frozenset[Cue]
    value: float | None


@dataclass(frozen=True, slots=True)
class Lexicon:
    """One language, ready to read with."""

    language: str
    root: Node[Entry]
    numbers: dict[str, int]
    words: frozenset[str]  # every word known to this language
    slips: Slips  # of the words whose slips are forgiven

    def entry(self, word: str) -> Entry | None:
        """What a single word says."""
        node = self.root.after.get(word)
        return node.said[0] if node is not None and node.said else None

    def own(self, word: str) -> frozenset[Cue]:
        """The hints of a single word."""
        entry = self.entry(word)
        return NOTHING if entry is None else entry.cues

    def forgive(self, word: str) -> str | None:
        """The known word that `word` is one slip away from (a letter more, less, other, or two swapped)."""
        return _forgiven(self.language, word) if SHORTEST_FORGIVEN <= len(word) <= LONGEST_FORGIVEN else None

    def marks(self, line: Sequence[Token]) -> list[Mark]:
        """The longest entries from left to right; none overlap. Words known to no entry get none."""
        found: list[Mark] = []
        place = 0
        opening = self.root.after
        while place < len(line):
            text = line[place].text
            if text not in opening and (text in self.words or line[place].kind is not WORD) and text[-2:] != "'s":
                place += 1  # a word that opens no phrase
                continue
            mark = self._longest(line, place, found[-1] if found else None)
            if mark is not None:
                found.append(mark)
            place = place + 1 if mark is None else mark.last
        return found

    def _longest(self, line: Sequence[Token], first: int, before: Mark | None) -> Mark | None:
        node = self.root
        best: Entry | None = None
        last = first  # where the best ends
        for place in range(first, len(line)):
            if not node.after:
                break
            text = line[place].text
            following = node.after.get(text)
            if following is None and line[place].kind is WORD:
                if text[-2:] == "'s":
                    following = node.after.get(text[:-2])  # Saturday's run
                if following is None and place == first and text not in self.words:
                    following = node.after.get(self.forgive(text) or "")
            if following is None:
                break
            node = following
            entry = node.said[0] if node.said else None
            if entry and (_AFTER_HOURS not in entry.cues or self._halves(line, first, place + 1, before)):
                best, last = entry, place + 1
        return None if best is None else Mark(first, last, best.cues, best.value)

    def _halves(self, line: Sequence[Token], first: int, after: int, before: Mark | None) -> bool:
        """Whether "and a half" stands behind hours, or between a number and its hours: "two and a half hours"."""
        if before is not None and before.last == first and before.cues & _HOURS:
            return True
        counted = first > 0 and (line[first - 1].kind is NUMBER or line[first - 1].text in self.numbers)
        return counted and after < len(line) and bool(self.own(line[after].text) & _HOURS)


@lru_cache(maxsize=4096)
def _forgiven(language: str, word: str) -> str | None:
    """The word of a lexicon that `word` is one slip away from."""
    near = [each for each in lexicon(language).slips.near(word) if each[0] == word[0] and is_one_slip(word, each)]
    return min(near, key=lambda each: (sorted(each) != sorted(word), each), default=None)


def _written(phrase: str) -> list[tuple[str, ...]]:
    """The ways a phrase of a word file may be typed, as folded words."""
    ways = [phrase]
    if any(c in phrase for c in "äöü"):
        ways.append(phrase.replace("ä", "ae").replace("ö", "oe").replace("ü", "ue"))
    if "'" in phrase and not any(word in _CLASHES for word in phrase.split()):
        ways.append(phrase.replace("'", ""))
    return list(dict.fromkeys(tuple(token.text for token in tokens(way)) for way in ways))


@cache
def _load(language: str) -> dict[str, Any]:
    source = resources.files("nudgebot.domain.text.line") / "words" / f"{language}.toml"
    return tomllib.loads(source.read_text(encoding="utf-8"))


def _entries(content: dict[str, Any]) -> dict[tuple[str, ...], Entry]:
    """Every way of writing every phrase of a word file, with all its hints together."""
    entries: dict[tuple[str, ...], Entry] = {}

    def add(phrase: str, cue: Cue, value: float | None) -> None:
        for way in _written(phrase):
            known = entries.get(way)
            cues = frozenset((cue,)) if known is None else known.cues | {cue}
            entries[way] = Entry(cues, value if known is None or known.value is None else known.value)

    for name, phrases in content.get("cues", {}).items():
        for phrase in phrases:
            add(phrase, Cue(name), None)
    tables = (
        ("durations", Cue.DURATION), ("after_hours", Cue.AFTER_HOURS), ("days", Cue.DAY),
        ("weekdays", Cue.WEEKDAY), ("months", Cue.MONTH), ("ordinals", Cue.ORDINAL),
    )  # fmt: skip
    for table, cue in tables:
        for phrase, value in content.get(table, {}).items():
            add(phrase, cue, value)
    return entries


@cache
def _in_any() -> dict[tuple[str, ...], Entry]:
    """The entries that every language has; not to be changed."""
    return _entries(_load("any"))


@cache
def said_in_any(table: str) -> dict[str, int]:
    """The words of a table, "numbers" or "months", of every language, and what each stands for; English comes first."""
    pairs = (pair for language in reversed(LANGUAGES) for pair in _load(language)[table].items())
    return {way[0]: value for phrase, value in pairs for way in _written(phrase)}


@cache
def lexicon(language: str) -> Lexicon:
    """The lexicon of a language of `LANGUAGES`, the words of every language included."""
    own = _load(language)
    entries = dict(_in_any())
    for phrase, entry in _entries(own).items():
        shared = entries.get(phrase)
        if shared is None:
            entries[phrase] = entry
        else:
            value = entry.value if entry.value is not None else shared.value
            entries[phrase] = Entry(entry.cues | shared.cues, value)
    tree: PhraseTree[Entry] = PhraseTree()
    for phrase, entry in entries.items():
        tree.add([[phrase]], entry)
    numbers = {way[0]: value for phrase, value in own["numbers"].items() for way in _written(phrase)}
    if language == "de":
        numbers |= _german_compounds(numbers)
    words = {word for phrase in entries for word in phrase} | numbers.keys()
    forgiven = (phrase[0] for phrase, entry in entries.items() if len(phrase) == 1 and entry.cues & FORGIVEN)
    slips = Slips(word for word in forgiven if len(word) >= SHORTEST_FORGIVEN)
    return Lexicon(language, tree.root, numbers, frozenset(words), slips)


def hinting(cue: Cue) -> frozenset[str]:
    """The single words of every language with a hint."""
    trees = (lexicon(language).root.after for language in LANGUAGES)
    return frozenset(word for tree in trees for word, node in tree.items() if node.said and cue in node.said[0].cues)


@cache
def number_words() -> frozenset[str]:
    """Every word that is a number in one of the languages."""
    return frozenset().union(*(lexicon(language).numbers for language in LANGUAGES))


def _german_compounds(numbers: dict[str, int]) -> dict[str, int]:
    """German says the ones first, in one word: zweiundvierzig is 42."""
    ones = {word: n for word, n in numbers.items() if n < 10 and word not in {"eins", "eine", "einen", "zwo"}}
    tens = {word: n for word, n in numbers.items() if n in range(20, 100, 10)}
    return {f"{one}und{ten}": ones[one] + tens[ten] for one in ones for ten in tens}


@cache
def _votes() -> dict[str, tuple[tuple[int, float], ...]]:
    """For each word that tells languages apart: (place in LANGUAGES, weight)."""
    homes: dict[str, list[int]] = {}
    shared = {word for phrase in _in_any() for word in phrase}
    for place, language in enumerate(LANGUAGES):
        for word in lexicon(language).words - shared:
            homes.setdefault(word, []).append(place)
    return {
        word: tuple((place, 1 / len(places)) for place in places)
        for word, places in homes.items()
        if len(places) < len(LANGUAGES)
    }


def language_of(line: Sequence[Token]) -> str:
    """The language most of the words belong to; English where nothing tells."""
    votes = _votes()
    tally = [0.25, 0.0, 0.0, 0.0, 0.0]  # English is where most lines come from
    for token in line:
        if token.kind is WORD:
            for place, weight in votes.get(token.text, ()):
                tally[place] += weight
    best = max(tally)
    near = [LANGUAGES[place] for place, votes_for in enumerate(tally) if best - votes_for < CLOSE_CALL]
    if len(near) == 1 or best < CLOSE_CALL:
        return LANGUAGES[tally.index(best)]
    return max(near, key=lambda language: _meaning(line, language))


def _meaning(line: Sequence[Token], language: str) -> int:
    """How much of the line says something in a language, phrases above all; ordinary words do not."""
    said = (mark for mark in lexicon(language).marks(line) if mark.cues - {Cue.KNOWN})
    return sum((mark.last - mark.first) ** 2 for mark in said)  # a phrase tells more than its words
