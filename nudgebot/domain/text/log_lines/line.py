"""A line with everything known about its words: what every later step reads."""

from dataclasses import dataclass

from nudgebot.domain.text.claims import Claim, claims
from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.lexicon import Lexicon, Mark, language_of, lexicon
from nudgebot.domain.text.log_lines.numbers import spoken
from nudgebot.domain.text.log_lines.tokens import Kind, LogToken, tokens

NOTHING: frozenset[Cue] = frozenset()
NUMERIC = frozenset((Kind.NUMBER, Kind.COLON, Kind.SLASH, Kind.DOTS, Kind.ISO))


@dataclass(frozen=True, slots=True)
class Line:
    """Tokens, the mark that covers each of them (None: a word nobody knows, or a number), and the claimed numbers."""

    language: str
    lexicon: Lexicon
    tokens: tuple[LogToken, ...]
    marks: tuple[Mark | None, ...]
    hints: tuple[frozenset[Cue], ...]  # of the mark at each place
    claims: tuple[Claim, ...]

    def cues(self, place: int) -> frozenset[Cue]:
        """The hints of the word or phrase at `place`; none outside the line."""
        return self.hints[place] if 0 <= place < len(self.hints) else NOTHING

    def own(self, place: int) -> frozenset[Cue]:
        """The hints of the single word at `place`, whatever phrase it stands in."""
        if not 0 <= place < len(self.tokens):
            return NOTHING
        node = self.lexicon.root.after.get(self.tokens[place].text)
        return node.entry.cues if node is not None and node.entry is not None else NOTHING

    def denies(self, place: int) -> bool:
        """Whether the word at `place` denies what follows; Portuguese "no" is "in the"."""
        return Cue.NOT in self.cues(place) and not (self.language == "pt" and self.tokens[place].text == "no")

    def known(self, place: int) -> bool:
        """Whether the token is a word of the lexicon, a number or a sign."""
        token = self.tokens[place]
        return token.kind is not Kind.WORD or self.marks[place] is not None or token.text in self.lexicon.words

    def past(self, place: int) -> int:
        """The first place after the word or phrase at `place`."""
        mark = self.marks[place]
        return place + 1 if mark is None else mark.last


def line_of(text: str) -> Line:
    """The line as tokens and marks, in the language its words belong to."""
    cut = tokens(text)
    words = lexicon(language_of(cut))
    heard = spoken(cut, words)
    marks: list[Mark | None] = [None] * len(heard)
    for mark in words.marks(heard):
        for place in range(mark.first, mark.last):
            marks[place] = mark
    hints = tuple([NOTHING if mark is None else mark.cues for mark in marks])
    return Line(words.language, words, tuple(heard), tuple(marks), hints, claims(text))
