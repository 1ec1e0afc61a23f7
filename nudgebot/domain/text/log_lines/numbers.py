"""Numbers in words, turned into the tokens that digits would have made."""

from collections.abc import Sequence

from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.lexicon import Lexicon
from nudgebot.domain.text.log_lines.tokens import Kind, LogToken

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
