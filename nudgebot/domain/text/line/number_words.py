"""Numbers said in words: every run of number words of a line becomes one number."""

from __future__ import annotations

from collections.abc import Sequence

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.tokens import Kind, Token
from nudgebot.domain.text.line.vocabulary import Lexicon

# Between which parts of a number each language says its "and".
_AFTER_HUNDREDS, _AFTER_TENS = "hundreds", "tens"
_JOINS: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {"and": (_AFTER_HUNDREDS,)},
    "es": {"y": (_AFTER_TENS,)},
    "de": {"und": (_AFTER_HUNDREDS,)},
    "fr": {"et": (_AFTER_TENS,)},
    "pt": {"e": (_AFTER_HUNDREDS, _AFTER_TENS)},
}
_PULSE = frozenset((Cue.HEART, Cue.AVERAGE, Cue.MAXIMUM))
_WHOLE = frozenset((Cue.DURATION, Cue.AFTER_HOURS, Cue.DAY))


def spoken(line: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The line with every run of number words made one NUMBER token marked `spoken`."""
    numbers = lexicon.numbers
    if not any(token.text in numbers for token in line):
        return line
    # a number word inside "trois quarts d'heure" or "e meia" belongs to the phrase
    phrases = {
        mark.first: mark.last for mark in lexicon.marks(line) if mark.last - mark.first > 1 and mark.cues & _WHOLE
    }
    heard: list[Token] = []
    place = 0
    while place < len(line):
        first = line[place]
        if place in phrases:
            heard.extend(line[place : phrases[place]])
            place = phrases[place]
        elif first.text not in numbers:
            heard.append(first)
            place += 1
        else:
            value, last = _number_at(line, place, phrases, lexicon)
            number = first._replace(kind=Kind.NUMBER, text=str(value), end=line[last - 1].end, value=float(value))
            heard.append(number._replace(spoken=True))
            place = last
    return heard


def _number_at(line: Sequence[Token], place: int, phrases: dict[int, int], lexicon: Lexicon) -> tuple[int, int]:
    """The number whose words begin at `place`, and the place after them."""
    numbers, joins = lexicon.numbers, _JOINS[lexicon.language]
    value, last = numbers[line[place].text], place + 1
    one_hundred = value == 1 and place > 0 and _tells_pulse(line[place - 1].text, lexicon)
    ahead = last
    while ahead < len(line) and ahead not in phrases:
        where = joins.get(line[ahead].text)
        if where is not None and ahead + 1 < len(line):
            if (_AFTER_HUNDREDS if value % 100 == 0 else _AFTER_TENS if value % 10 == 0 else "") not in where:
                break
            ahead += 1
        following = numbers.get(line[ahead].text)
        if following is None:
            break
        if one_hundred and value == 1 and 20 <= following < 100:
            grown: int | None = 100 + following  # "heart rate one twenty eight"
        else:
            grown = _takes(value, following, lexicon.language)
        if grown is None:
            break
        value, last = grown, ahead + 1
        ahead = last
    return value, last


def _takes(so_far: int, following: int, language: str) -> int | None:
    """The number `so_far` becomes when `following` is said after it; None where they are two numbers."""
    if following == 100:
        return so_far * 100 if 1 <= so_far <= 9 else None
    rest = so_far % 100
    if (so_far >= 100 and rest == 0 and following < 100) or (rest >= 20 and rest % 10 == 0 and following < 10):
        return so_far + following
    if language == "fr":
        if rest == 4 and following == 20:
            return so_far + 76
        if rest in {60, 80} and 10 <= following <= 19:
            return so_far + following
    return None


def _tells_pulse(word: str, lexicon: Lexicon) -> bool:
    """Whether a word may label a pulse, of which people say "one forty" for 140."""
    return word == "rate" or bool(lexicon.own(word) & _PULSE)
