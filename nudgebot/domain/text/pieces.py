"""The words and numbers of a line as triage hears them, for what has to find the words beside a number."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cached_property, lru_cache
from typing import NamedTuple

from nudgebot.domain.text.folding import KEPT
from nudgebot.domain.text.line.tokens import number_of, tokens
from nudgebot.domain.text.symptoms.heard_words import heard
from nudgebot.domain.text.symptoms.lay_words import SignWord

REACH = 6  # words between a number and the word that names it
SENTENCE = 60  # words of a sentence that are looked through on one side of a number
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


class Piece(NamedTuple):
    word: str
    start: int
    end: int
    value: float | None  # of a number
    apart: int  # as `SignWord.gap`


class Pieces:
    """The words and numbers of a line as they were heard, each part of "120/80" by itself."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.words = frozenset([*[each.word for each in heard(text)], *[token.text for token in tokens(text)]])
        self.numbers = sum([len(_numbers_in(each.word)) for each in heard(text) if each.word[0].isdigit()])

    @cached_property
    def all(self) -> list[Piece]:
        """Every piece in order; many a line is told by its words alone."""
        return [piece for word in heard(self.text) for piece in _of_word(word)]

    def word(self, place: int) -> str:
        """The word at `place`; "" outside the line."""
        return self.all[place].word if 0 <= place < len(self.all) else ""

    def joined(self, place: int) -> str:
        """The word at `place` where nothing but a blank parts it from the one before; else ""."""
        return self.word(place) if 0 < place < len(self.all) and self.all[place].apart == 0 else ""

    def before(self, place: int, reach: int) -> Iterator[tuple[int, Piece]]:
        """The pieces before `place` in its sentence, the nearest first, at most `reach`."""
        for back in range(place - 1, max(-1, place - 1 - reach), -1):
            if self.all[back + 1].apart == 2:
                return
            yield back, self.all[back]


def _numbers_in(word: str) -> list[str]:
    """The numbers in a word that begins with a digit."""
    return [word] if word.isdigit() else _NUMBER.findall(word)


def _of_word(heard_word: SignWord) -> Iterable[Piece]:
    word, start, end, gap = heard_word[:4]
    if not word[0].isdigit():
        return (Piece(word, start, end, None, gap),)
    numbers = _numbers_in(word)
    if len(numbers) == 1:
        return (Piece(word, start, end, number_of(numbers[0]), gap),)
    return [
        Piece(part[0], start + part.start(), start + part.end(), number_of(part[0]), 0 if part.start() else gap)
        for part in _NUMBER.finditer(word)
    ]


@lru_cache(maxsize=KEPT)
def pieces_of(text: str) -> Pieces:
    """The words and numbers of a line, kept for the readers of one message."""
    return Pieces(text)
