"""The features of a line for the second reader of signs and for its language: letter groups, words and pairs of words.

Nothing of the lexicons is among them, so that the faults of that reader are its own.
"""

import re
from array import array
from collections.abc import Sequence
from functools import lru_cache
from zlib import crc32

from nudgebot.domain.text.learned.features import WORDS_KEPT, begun, encoded, hashed, places_in
from nudgebot.domain.text.line.tokens import ends_of

GROUPS, WORDS = 2**15, 2**14  # places of letter groups and of words
LANGUAGE_PLACES = 2**12
SIZES = (3, 4, 5)  # letters in a group
LANGUAGES = ("en", "es", "de", "fr", "pt")
_WORD = re.compile(r"[^\W_]+|[?!]")
_DIGIT = re.compile(r"\d")


def words_of(text: str) -> list[str]:
    """The words of a line in small letters, every digit a 0; of a very long line its beginning and its end."""
    return _WORD.findall(_DIGIT.sub("0", ends_of(text).lower().replace("\u2019", "'").replace("'", "")))


def _groups(word: str) -> list[str]:
    """Every group of 3 to 5 letters of a word, the space before and after it counted as one."""
    spaced = f" {word} "
    return [spaced[at : at + size] for size in SIZES for at in range(len(spaced) - size + 1)]


@lru_cache(maxsize=WORDS_KEPT)
def _of_letters(word: str) -> Sequence[int]:
    return array("L", begun("g", encoded(_groups(word))))


def blocks_of(text: str) -> tuple[list[int], list[int]]:
    """The places of a line's features: letter groups, and words and pairs of words."""
    words = words_of(text)
    plain = encoded(words)
    singles = list(begun("w", plain))
    pairs = map(crc32, [b" " + word for word in plain[1:]], singles)
    letters = places_in(GROUPS, *map(_of_letters, {*words}))
    return letters, [GROUPS + place for place in places_in(WORDS, singles, pairs)]


def language_places(text: str) -> list[int]:
    """The places of the letter groups by which the language is heard."""
    return hashed((group for word in {*words_of(text)} for group in _groups(word)), LANGUAGE_PLACES)
