"""The features by which the language of a line is heard: groups of letters."""

import re

from nudgebot.domain.text.learned.features import hashed
from nudgebot.domain.text.line.tokens import ends_of

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


def language_places(text: str) -> set[int]:
    """The places of the letter groups by which the language is heard."""
    return hashed((group for word in {*words_of(text)} for group in _groups(word)), LANGUAGE_PLACES)
