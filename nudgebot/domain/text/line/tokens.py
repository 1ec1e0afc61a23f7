"""A line cut into tokens that know where in the line they stand.

The line is folded first, so that the many ways to write one character are alike.
"""

import re
import unicodedata
from collections.abc import Sequence
from enum import IntEnum
from functools import lru_cache
from typing import NamedTuple

from nudgebot.domain.text.folding import KEPT, fold
from nudgebot.domain.text.line.spelling import standard

LONGEST_LINE = 4096  # characters; a longer line is not read at all
MOST_TOKENS = 1000  # of a message, half of them from each end: in prose the longest message has fewer (house)
LONGEST_END = 350  # characters at the beginning and at the end of a very long line that tell what it is for
MOST_AT_END = 70  # tokens of each of them: so many characters of prose have fewer (house)


class Kind(IntEnum):
    """What a token is made of."""

    WORD = 0  # letters, one apostrophe inside at most
    NUMBER = 1  # value
    COLON = 2  # parts: 1:05, 45:30, 1:05:20
    SLASH = 3  # parts: 3/10, 3/4/27
    DOTS = 4  # parts: 3.4., 3.4.27
    ISO = 5  # parts: year, month, day
    MARK = 6  # any other single character


WORD, NUMBER, MARK = Kind.WORD, Kind.NUMBER, Kind.MARK  # asked for at every token, and an enum takes its time
SENTENCE_ENDS = frozenset(".!?;\n\u2026")
_PARTING, _TIGHT = frozenset(',:()[]{}|/&+=~"<>-'), frozenset("-/+&")
_ABBREVIATED = frozenset(("ca", "approx", "env", "aprox"))  # a point behind one of these ends no sentence
NUMERIC = frozenset((Kind.NUMBER, Kind.COLON, Kind.SLASH, Kind.DOTS, Kind.ISO))


class Token(NamedTuple):
    """One token: `text` is folded and in the spelling of the dictionary.

    `start` and `end` are places in the line as the runner wrote it.
    """

    kind: Kind
    text: str
    start: int
    end: int
    glued: bool  # nothing stands between this token and the one before
    dash: bool  # a dash joins this token to the one before
    value: float = 0.0
    parts: tuple[int, ...] = ()
    spoken: bool = False  # a number written in words


# Every alternative is a plain run of one class or a fixed shape, so matching is linear in the line. The blanks behind a
# token are taken with it: else every alternative is tried at each of them.
_TOKEN = re.compile(
    r"(?:(?P<mark>[\u00bc-\u00be\u2150-\u215e])"  # letters to the words that follow, so they come first
    r"|(?P<word>[^\W\d]+(?:'[^\W\d]+)*)"
    r"|(?P<iso>\d{4}-\d{1,2}-\d{1,2}(?!\d))"
    r"|(?P<colon>\d{1,3}:\d{2}(?::\d{2})?(?![\d:]))"
    r"|(?P<slash>\d{1,2}/\d{1,2}(?:/\d{2,4})?(?!\d))"
    r"|(?P<dots>\d{1,2}\.\d{1,2}\.(?:20\d\d|\d\d)?(?!\d))"
    r"|(?P<number>\d{1,15}(?:[.,]\d{1,6})?(?!\d))"
    r"|(?P<long>\d+)"
    r"|(?P<sign>\S|\n))[^\S\n]*"
)
# The kind of each of its groups, in order; no group has the place 0.
_KINDS = (MARK, MARK, WORD, Kind.ISO, Kind.COLON, Kind.SLASH, Kind.DOTS, NUMBER, NUMBER, MARK)


@lru_cache(maxsize=KEPT)
def ends_of(text: str) -> str:
    """A line; of a very long one its beginning and its end. For signs all of it is searched."""
    if len(text) <= 2 * MOST_AT_END:
        return text
    text = text if len(text) <= 2 * LONGEST_END else f"{text[:LONGEST_END]}\n{text[-LONGEST_END:]}"
    starts = [match.start() for match in _TOKEN.finditer(text)]
    return text if len(starts) <= 2 * MOST_AT_END else f"{text[: starts[MOST_AT_END]]}\n{text[starts[-MOST_AT_END] :]}"


_ELIDED = frozenset(("j", "l", "d", "m", "t", "s", "n", "c", "qu", "jusqu", "aujourd", "presqu", "lorsqu"))
_CONTRACTED = frozenset(("m", "ll", "ve", "d", "s", "re", "t"))
_DIGITS = re.compile(r"\d+")
_THOUSANDS = re.compile(r"\d{1,3}[.,]000\Z")


def number_of(written: str) -> float:
    """The value of digits with at most one mark: a decimal comma or point, or thousands (10,000)."""
    if len(written) > 15:
        return 1e15
    if written.isdecimal():
        return float(written)
    if _THOUSANDS.match(written):
        return float(written.replace(",", "").replace(".", ""))
    return float(written.replace(",", "."))


@lru_cache(maxsize=KEPT)
def tokens(text: str) -> tuple[Token, ...]:
    """The tokens of a line in order. Dashes between two tokens become the `dash` of the second.

    Of more than `MOST_TOKENS` those at both ends, the end of a line between them.
    """
    folded, places = fold(text)
    matches = list(_TOKEN.finditer(folded))
    if len(matches) <= MOST_TOKENS:
        found = _cut(matches, folded, places)
    else:
        half = MOST_TOKENS // 2
        left_out = places[matches[half].start()]
        seam = Token(MARK, "\n", left_out, left_out + 1, False, False)
        found = [*_cut(matches[:half], folded, places), seam, *_cut(matches[-half:], folded, places)]
    meant = standard({token.text for token in found if token.kind is WORD})
    return tuple([t._replace(text=meant[t.text]) if t.text in meant else t for t in found] if meant else found)


def _cut(matches: Sequence[re.Match[str]], folded: str, places: Sequence[int]) -> list[Token]:
    """The tokens that were found in a folded text, `places` those of its characters in the line as it was sent."""
    found: list[Token] = []
    new = tuple.__new__  # a token in a third of the time
    before = -1  # where the last token ended, in the folded text
    dash_at = -2  # where the last dash ended
    for match in matches:
        group = match.lastindex or 0
        first, last = match.span(group)
        written, kind = match[group], _KINDS[group]
        start, end = places[first], places[last - 1] + 1
        glued = first == before
        dash = dash_at == first and found != [] and found[-1].kind is not MARK
        before = last
        if kind is WORD:
            if "'" in written:
                head, _, tail = written.partition("'")
                if head in _ELIDED and tail not in _CONTRACTED:
                    cut = start + len(head)
                    found.append(Token(kind, head, start, cut, glued, dash))
                    written, start, glued, dash = tail, cut + 1, True, False
            found.append(new(Token, (kind, written, start, end, glued, dash, 0.0, (), False)))
        elif kind is NUMBER:
            found.append(new(Token, (kind, written, start, end, glued, dash, number_of(written), (), False)))
        elif kind is not MARK:
            parts = tuple(int(part) for part in _DIGITS.findall(written))
            found.append(Token(kind, written, start, end, glued, dash, parts=parts))
        elif written == "-" and glued and last < len(folded) and folded[last].isalnum():
            dash_at = last
        elif not written.isascii() and unicodedata.category(written) == "No":
            _fraction(found, written, start, end, glued)
        else:
            found.append(new(Token, (kind, written, start, end, glued, False, 0.0, (), False)))
    return found


def parting(line: Sequence[Token], at: int) -> int:
    """What the sign at `at` parts: 2 where a sentence ends, 1 a comma, a dash or the like, 0 nothing."""
    token = line[at]
    mark, before = token.text, line[at - 1].text if at else ""
    tight = token.glued and at + 1 < len(line) and line[at + 1].glued
    if mark == "." and before in _ABBREVIATED:
        return 0
    if mark in SENTENCE_ENDS:
        return 1 if mark == "\u2026" or (mark == "." and (before in {".", "\u2026"} or tight)) else 2
    return 0 if mark not in _PARTING or (tight and mark in _TIGHT) else 1


def asked(line: Sequence[Token]) -> list[bool]:
    """For each token, and for the end, whether its sentence ends in a question mark."""
    flags = [False] * (len(line) + 1)
    current = False
    for at in range(len(line) - 1, -1, -1) if "?" in [token.text for token in line] else ():
        if line[at].kind is MARK and parting(line, at) == 2:
            current = line[at].text == "?"
        flags[at] = current
    return flags


def _fraction(found: list[Token], written: str, start: int, end: int, glued: bool) -> None:
    """Add a vulgar fraction to `found`, onto the whole number right before it if there is one."""
    value = unicodedata.numeric(written, 0.0)
    whole = found[-1] if found else None
    if whole and whole.kind is NUMBER and whole.value == int(whole.value) and value < 1:
        found[-1] = whole._replace(value=whole.value + value, end=end, text=whole.text + written)
    else:
        found.append(Token(NUMBER, written, start, end, glued, False, value=value))
