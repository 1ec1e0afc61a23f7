"""Text as people send it, made plain: letters folded to a–z, and every piece traced back to its place.

Look-alike letters are folded by the confusables of Unicode Technical Standard 39 (`confusables.tsv`), wide
and fancy letters by the NFKC form, accents dropped, invisible characters removed.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources


def word_set(words: str) -> frozenset[str]:
    """The words of a line, parted by spaces."""
    return frozenset(words.split())


COUNT = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven"),
    *("eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen"),
)
MOST = 4096  # characters read; a longer message is read in its first and last half of this

_FOREIGN = {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
_LAUGHTER = frozenset("😂🤣😹😆😅😜😝🤪")
_QUOTES = frozenset("’‘ʼ´`′＇ʹ‛")
_STOPS = frozenset("。．｡؟۔")
_COMMAS = frozenset("、，､،")


@lru_cache(maxsize=1)
def _confusables() -> dict[str, str]:
    text = resources.files("nudgebot.domain.text.symptoms").joinpath("confusables.tsv").read_text("utf-8")
    rows = (line.split("\t") for line in text.splitlines() if line and not line.startswith("#"))
    return {chr(int(code, 16)): letter for code, letter in rows}


@lru_cache(maxsize=8192)
def fold_character(char: str) -> str:
    """The plain letters `char` stands for: '' for an invisible one, a space where it only parts words."""
    if char in _QUOTES:
        return "'"
    if char in _LAUGHTER:
        return " lol "
    if char in _STOPS:
        return "."
    if char in _COMMAS:
        return ","
    if char in "–—―−":
        return "-"
    if char == "…":
        return "..."
    category = unicodedata.category(char)
    if category in {"Cf", "Mn", "Me", "Cn", "Co", "Cs"}:
        return ""
    if category in {"Zl", "Zp"}:
        return "\n"
    if category in {"Zs", "Cc"}:
        return " "
    low = char.lower()
    if low in _FOREIGN:
        return _FOREIGN[low]
    plain = "".join(c for c in unicodedata.normalize("NFKD", char) if unicodedata.category(c) != "Mn").lower()
    table = _confusables()
    folded = "".join(_FOREIGN.get(c) or (c if c.isascii() else table.get(c, c)) for c in plain).lower()
    if folded.isascii():
        return folded
    return "".join(c if c.isascii() else str(unicodedata.digit(c, " ")) for c in folded)


def fold(text: str) -> tuple[str, list[int]]:
    """`text` in plain small letters, and for each of its characters the place in `text` it came from."""
    if text.isascii():
        return text.lower(), list(range(len(text)))
    out: list[str] = []
    places: list[int] = []
    for place, char in enumerate(text):
        plain = char.lower() if char.isascii() else fold_character(char)
        out.append(plain)
        places.extend([place] * len(plain))
    return "".join(out), places


@dataclass(frozen=True, slots=True)
class Token:
    """One word or number of a message."""

    word: str  # folded, without apostrophes
    start: int  # place in the message as sent
    end: int
    gap: int  # what parts it from the one before: 0 a space, 1 a comma or dash, 2 the end of a sentence
    asked: bool = False  # its sentence ends in a question mark


_PIECE = re.compile(
    r"\d+(?:[.,:/]\d+)*(?![a-z0-9@$])|[a-z0-9@$]+(?:[!|*][a-z0-9@$]+)*(?:'[a-z0-9]+)*|[.!?;\n]+|[,:()\[\]{}/&+=~\"<>-]+"
)
_ELISION = re.compile(r"(?:[cdjlmnst]|qu|jusqu|lorsqu|puisqu)'[aeiouhy]")
_CONTRACTED = frozenset(f"{word}'s" for word in ("he", "she", "it", "that", "what", "there", "let", "who", "here"))


def tokens(text: str) -> tuple[list[Token], str]:
    """The words of `text` in order, and the folded text they were read from."""
    if len(text) > MOST:
        half = MOST // 2
        head, tail = text[:half], text[-half:]
        text = head + "\n" + tail
    plain, places = fold(text)
    places.append(len(text))
    out: list[Token] = []
    gap = 2
    singles = 0
    for match in _PIECE.finditer(plain):
        piece = match.group()
        first = piece[0]
        start, end = match.span()
        if first in ".!?;\n":
            lone_dot = piece == "." and end < len(plain) and plain[end].isalnum()
            gap = max(gap, 1 if lone_dot or (piece.startswith("..") and "\n" not in piece) else 2)
            if "?" in piece and out and gap == 2:
                _mark_asked(out)
            continue
        if first in ',:()[]{}/&+=~"<>-':
            tight = start > 0 and plain[start - 1].isalnum() and end < len(plain) and plain[end].isalnum()
            gap = max(gap, 0 if tight and piece in {"-", "/", "+", "&"} else 1)
            continue
        at, last = places[start], places[end - 1] + 1
        if "'" in piece:
            if piece == "i'll":
                words = ["i", "will"]
            elif _ELISION.match(piece):
                words = piece.split("'")
            elif piece.endswith("'s") and piece not in _CONTRACTED:
                words = [piece[:-2].replace("'", "")]
            else:
                words = [piece.replace("'", "")]
        else:
            words = [piece]
        for word in words:
            out.append(Token(word, at, last, gap))
            gap = 0
        singles += len(piece) == 1
    if singles >= 4:
        out = _join_spelled_out(out)
    return out, plain


def _mark_asked(out: list[Token]) -> None:
    for i in range(len(out) - 1, -1, -1):
        old = out[i]
        out[i] = Token(old.word, old.start, old.end, old.gap, asked=True)
        if old.gap == 2:
            return


def _join_spelled_out(out: list[Token]) -> list[Token]:
    """Letters sent one by one ("c h e s t") made into words again."""
    joined: list[Token] = []
    run: list[Token] = []
    for token in [*out, Token("", 0, 0, 2)]:
        if len(token.word) == 1 and token.word.isalpha() and not (run and token.gap):
            run.append(token)
            continue
        if len(run) >= 4:
            joined.append(Token("".join(t.word for t in run), run[0].start, run[-1].end, run[0].gap, run[0].asked))
        else:
            joined.extend(run)
        run = []
        if len(token.word) == 1 and token.word.isalpha():
            run.append(token)
        elif token.word:
            joined.append(token)
    return joined
