"""A line with everything known about its words, numbers in words among them: what every later step reads."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from nudgebot.domain.text.claims import Claim, claims
from nudgebot.domain.text.folding import KEPT
from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.lexicon import Lexicon, Mark, language_of, lexicon
from nudgebot.domain.text.log_lines.tokens import Kind, LogToken, tokens

NOTHING: frozenset[Cue] = frozenset()


@dataclass(frozen=True, slots=True)
class Line:
    """Tokens, the mark that covers each of them (None: a word nobody knows, or a number), and the claimed numbers."""

    language: str
    lexicon: Lexicon
    tokens: tuple[LogToken, ...]
    texts: tuple[str, ...]  # of the tokens
    marks: tuple[Mark | None, ...]
    hints: tuple[frozenset[Cue], ...]  # of the mark at each place
    claims: tuple[Claim, ...]

    def cues(self, place: int) -> frozenset[Cue]:
        """The hints of the word or phrase at `place`; none outside the line."""
        return self.hints[place] if 0 <= place < len(self.hints) else NOTHING

    def text(self, place: int) -> str:
        """The token at `place`, folded; "" outside the line."""
        return self.texts[place] if 0 <= place < len(self.texts) else ""

    def own(self, place: int) -> frozenset[Cue]:
        """The hints of the single word at `place`, whatever phrase it stands in."""
        if not 0 <= place < len(self.tokens):
            return NOTHING
        node = self.lexicon.root.after.get(self.texts[place])
        return node.entry.cues if node is not None and node.entry is not None else NOTHING

    def denies(self, place: int) -> bool:
        """Whether the word at `place` denies what follows; Portuguese "no" is "in the"."""
        return Cue.NOT in self.cues(place) and not (self.language == "pt" and self.texts[place] == "no")

    def known(self, place: int) -> bool:
        """Whether the token is a word of the lexicon, a number or a sign."""
        token = self.tokens[place]
        return token.kind is not Kind.WORD or self.marks[place] is not None or token.text in self.lexicon.words

    def past(self, place: int) -> int:
        """The first place after the word or phrase at `place`."""
        mark = self.marks[place]
        return place + 1 if mark is None else mark.last


@lru_cache(maxsize=KEPT)
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
    texts = tuple([token.text for token in heard])
    return Line(words.language, words, tuple(heard), texts, tuple(marks), hints, claims(text))


# ------------------------------------------------------------------ numbers in words

# Between which parts of a number each language says its "and".
_AFTER_HUNDREDS = "hundreds"
_AFTER_TENS = "tens"
_JOINS: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {"and": (_AFTER_HUNDREDS,)},
    "es": {"y": (_AFTER_TENS,)},
    "de": {"und": (_AFTER_HUNDREDS,)},
    "fr": {"et": (_AFTER_TENS,)},
    "pt": {"e": (_AFTER_HUNDREDS, _AFTER_TENS)},
}


_PULSE = frozenset((Cue.HEART, Cue.AVERAGE, Cue.MAXIMUM))
_WHOLE = frozenset((Cue.DURATION, Cue.AFTER_HOURS, Cue.DAY))


def _takes(so_far: int, following: int, language: str) -> int | None:
    """The number `so_far` becomes when `following` is said after it; None where they are two numbers."""
    if following == 100:
        return so_far * 100 if 1 <= so_far <= 9 else None
    rest = so_far % 100
    if so_far >= 100 and rest == 0 and following < 100:
        return so_far + following
    if rest >= 20 and rest % 10 == 0 and following < 10:
        return so_far + following
    if language == "fr":
        if rest == 4 and following == 20:
            return so_far + 76
        if rest in {60, 80} and 10 <= following <= 19:
            return so_far + following
    return None


def _tells_pulse(word: str, lexicon: Lexicon) -> bool:
    """Whether a word may label a pulse, of which people say "one forty" for 140."""
    node = lexicon.root.after.get(word)
    return word == "rate" or (node is not None and node.entry is not None and bool(node.entry.cues & _PULSE))


def spoken(line: Sequence[LogToken], lexicon: Lexicon) -> Sequence[LogToken]:
    """The line with every run of number words made one NUMBER token marked `spoken`."""
    numbers = lexicon.numbers
    if not any(token.kind is Kind.WORD and token.text in numbers for token in line):
        return line
    joins: dict[str, tuple[str, ...]] = _JOINS[lexicon.language]
    # a number word inside "trois quarts d'heure" or "e meia" belongs to the phrase
    phrases = {
        mark.first: mark.last for mark in lexicon.marks(line) if mark.last - mark.first > 1 and mark.cues & _WHOLE
    }
    heard: list[LogToken] = []
    place = 0
    while place < len(line):
        first = line[place]
        if place in phrases:
            heard.extend(line[place : phrases[place]])
            place = phrases[place]
            continue
        if first.kind is not Kind.WORD or first.text not in numbers:
            heard.append(first)
            place += 1
            continue
        value = numbers[first.text]
        last = place
        ahead = place + 1
        while ahead < len(line) and ahead not in phrases:
            where = joins.get(line[ahead].text)
            if where and ahead + 1 < len(line):
                part = _AFTER_HUNDREDS if value % 100 == 0 else _AFTER_TENS if value % 10 == 0 else ""
                if part not in where:
                    break
                ahead += 1
            token = line[ahead]
            pulse = value == 1 and place > 0 and _tells_pulse(line[place - 1].text, lexicon)
            if pulse and token.text in numbers and 20 <= numbers[token.text] < 100:
                value, last = 100 + numbers[token.text], ahead  # "heart rate one twenty eight"
                ahead += 1
                continue
            grown = (
                _takes(value, numbers[token.text], lexicon.language)
                if token.kind is Kind.WORD and token.text in numbers
                else None
            )
            if grown is None:
                break
            value, last = grown, ahead
            ahead += 1
        heard.append(
            LogToken(
                Kind.NUMBER,
                str(value),
                first.start,
                line[last].end,
                first.glued,
                first.dash,
                value=float(value),
                spoken=True,
            )
        )
        place = last + 1
    return heard
