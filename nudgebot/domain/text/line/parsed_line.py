"""A line with everything known about its words, numbers in words among them: what every reader of it starts from."""

from __future__ import annotations

from bisect import bisect_left
from functools import lru_cache
from typing import NamedTuple

from nudgebot.domain.text.claims import Claim, claims
from nudgebot.domain.text.folding import KEPT
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.number_words import spoken
from nudgebot.domain.text.line.tokens import LONGEST_LINE, NUMERIC, WORD, Token, ends_of, tokens
from nudgebot.domain.text.line.vocabulary import NOTHING, Lexicon, Mark, language_of, lexicon


class ParsedLine(NamedTuple):
    """Tokens, the mark that covers each of them (None: a word nobody knows, or a number), and the claimed numbers."""

    language: str
    lexicon: Lexicon
    tokens: tuple[Token, ...]
    texts: tuple[str, ...]  # of the tokens
    marks: tuple[Mark | None, ...]
    hints: tuple[frozenset[Cue], ...]  # of the mark at each place
    claims: tuple[Claim, ...]
    said: frozenset[Cue]  # every hint of the line
    words: tuple[int, ...]  # places of the words
    unknown: frozenset[int]  # places of the words that nobody knows
    numerals: tuple[int, ...]  # places of the numbers, times and dates

    def cues(self, place: int) -> frozenset[Cue]:
        """The hints of the word or phrase at `place`; none outside the line."""
        return self.hints[place] if 0 <= place < len(self.hints) else NOTHING

    def text(self, place: int) -> str:
        """The token at `place`, folded; "" outside the line."""
        return self.texts[place] if 0 <= place < len(self.texts) else ""

    def own(self, place: int) -> frozenset[Cue]:
        """The hints of the single word at `place`, whatever phrase it stands in."""
        return self.lexicon.own(self.texts[place]) if 0 <= place < len(self.texts) else NOTHING

    def denies(self, place: int) -> bool:
        """Whether the word at `place` denies what follows; Portuguese "no" is "in the"."""
        return Cue.NOT in self.cues(place) and not (self.language == "pt" and self.texts[place] == "no")

    def known(self, place: int) -> bool:
        """Whether the token is a word of the lexicon, a number or a sign."""
        return place not in self.unknown

    def numerals_in(self, first: int, last: int) -> tuple[int, ...]:
        """The places of the numbers from `first` up to, not including, `last`."""
        return self.numerals[bisect_left(self.numerals, first) : bisect_left(self.numerals, last)]

    def past(self, place: int) -> int:
        """The first place after the word or phrase at `place`."""
        mark = self.marks[place]
        return place + 1 if mark is None else mark.last


@lru_cache(maxsize=KEPT)
def line_of(text: str) -> ParsedLine:
    """The line as tokens and marks, in the language its words belong to; one that is too long to be read is empty.

    Of a very long one it has the ends alone.
    """
    text = ends_of(text) if len(text) <= LONGEST_LINE else ""
    cut = tokens(text)
    words = lexicon(language_of(cut))
    heard = spoken(cut, words)
    marks: list[Mark | None] = [None] * len(heard)
    for mark in words.marks(heard):
        marks[mark.first : mark.last] = [mark] * (mark.last - mark.first)
    hints = tuple([NOTHING if mark is None else mark.cues for mark in marks])
    texts = tuple([token.text for token in heard])
    places = tuple([place for place, token in enumerate(heard) if token.kind is WORD])
    numerals = tuple([place for place, token in enumerate(heard) if token.kind in NUMERIC])
    said = NOTHING.union(*hints)
    unknown = frozenset([place for place in places if marks[place] is None and texts[place] not in words.words])
    return ParsedLine(
        words.language, words, tuple(heard), texts, tuple(marks), hints, claims(text), said, places, unknown, numerals
    )
