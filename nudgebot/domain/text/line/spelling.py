"""Words spelt otherwise, for every reader alike: one slip of the thumb away, regional ("heid"), or thumbed ("hj")."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from functools import cache

from nudgebot.domain.text.word_files import sections

LONG = 8  # letters from which two slips in a word still point at one word
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")
# Words that nobody writes for anything else; of those that are another word elsewhere, which go only beside one of
# these; and which also beside a small word of their language alone. Sections of `words/regional.txt`.
_KINDS = (
    ("en", "alone", "beside", "in_english", "english"),
    ("de", "german", "", "in_german", "german_small"),
    ("fr", "french", "", "in_french", "french_small"),
    ("es", "spanish", "", "in_spanish", "spanish_small"),
    ("pt", "portuguese", "", "in_portuguese", "portuguese_small"),
)


def shortened(word: str) -> list[str]:
    """The word less each of its letters."""
    return [word[:place] + word[place + 1 :] for place in range(len(word))]


def is_one_slip(a: str, b: str) -> bool:
    """Whether one letter added, dropped, changed or swapped with its neighbour turns `a` into `b`."""
    if len(a) > len(b):
        a, b = b, a
    at = next((n for n, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), len(a))
    if len(a) < len(b):
        return len(b) - len(a) == 1 and a[at:] == b[at + 1 :]
    return a[at + 1 :] == b[at + 1 :] or (a[at : at + 2] == b[at : at + 2][::-1] and a[at + 2 :] == b[at + 2 :])


class Slips:
    """Words by themselves less one letter: whatever is one slip away shares such a key."""

    def __init__(self, words: Iterable[str]) -> None:
        self._by_key: dict[str, str] = {}  # words parted by blanks: a list for each key would take most of the time
        for word in sorted(words):
            for key in {word, *shortened(word)}:
                held = self._by_key.get(key)
                self._by_key[key] = word if held is None else f"{held} {word}"

    def near(self, word: str) -> set[str]:
        """Every word one slip away; of a long word also those two slips away."""
        keys = {word, *shortened(word)}
        found = {near for key in keys & self._by_key.keys() for near in self._by_key[key].split()}
        return {
            near
            for near in found
            if is_one_slip(word, near) or (len(word) >= LONG and len(near) >= LONG and abs(len(near) - len(word)) <= 1)
        }


@cache
def _table(name: str) -> dict[str, str]:
    """Each spelling of a section, with the word that it stands for."""
    rows = (line.partition(":") for line in sections("regional")[name]) if name else ()
    return {spelling: word for word, _, spellings in rows for spelling in spellings.split()}


@cache
def _small(name: str) -> frozenset[str]:
    return frozenset(" ".join(sections("regional")[name]).split())


@cache
def spellings(language: str = "") -> frozenset[str]:
    """Every such spelling; of a line of one `language` those that count there."""
    kinds = ((kind[1:4] if language in {"", kind[0]} else kind[1:2]) for kind in _KINDS)
    return frozenset(spelling for names in kinds for name in names for spelling in _table(name))


def standard(words: Collection[str], language: str = "") -> dict[str, str]:
    """Which of the folded words of one line are such spellings, each with its word of the dictionary.

    An owner's "'s" stays: "airm's" is "arm's". Words of one `language` that is known are read by all its spellings.
    """
    stems = {word: word.removesuffix("'s") for word in words}
    said = stems.values()
    if spellings().isdisjoint(said):
        return {}
    known: dict[str, str] = {}
    for of, alone, beside, in_language, small in _KINDS:
        if of == language or not _table(alone).keys().isdisjoint(said):
            known |= _table(in_language) | _table(beside) | _table(alone)
        elif not _small(small).isdisjoint(said):
            known |= _table(in_language)
    return {word: known[stem] + word[len(stem) :] for word, stem in stems.items() if stem in known}


def as_standard(line: str) -> str:
    """A folded line with each such spelling as its word of the dictionary: "nae better" is "no better"."""
    meant = standard(_WORD.findall(line))
    return _WORD.sub(lambda word: meant.get(word[0], word[0]), line) if meant else line
