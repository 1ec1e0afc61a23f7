"""Text as people send it, made plain: the one place where letters, digits and signs are made alike.

Small letters without accents, wide and fancy forms by the NFKC form, digits of any script as 0-9, look-alike letters
by the confusables of Unicode Technical Standard 39 (`confusables.tsv`), curly quotes, primes and dashes as the plain
ones; what is invisible is dropped. It works one character at a time, so every piece of a line keeps its place in the
runner's own text.
"""

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources

KEPT = 32  # lines whose folded form is kept: the readers of one message ask for the same few
_INVISIBLE = frozenset(("Cf", "Mn", "Me", "Sk", "Cn", "Co", "Cs"))  # marks that only decorate, and no characters
_ALIKE = {
    **dict.fromkeys("\u2018\u2019\u201b\u00b4`\u2032\u02b9\u02bc\uff07", "'"),
    **dict.fromkeys("\u201c\u201d\u201e\u2033\u02ba\u00ab\u00bb", '"'),
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212", "-"),
    **dict.fromkeys("\u3002\uff0e\uff61\u06d4\u066b", "."), **dict.fromkeys("\u3001\uff0c\uff64\u060c\u066c", ","),
    **dict.fromkeys("\u00ba\u00b0\u02da", "\u00b0"), **dict.fromkeys("\u00d7\u2715\u2716", "x"),
    **dict.fromkeys("\x85\u2028\u2029", "\n"), **dict.fromkeys("_\u00bf\u00a1", " "),
    "\u061f": "?", "\u2044": "/", "\u2236": ":", "\u2795": "+", "\u2192": ">", "\u2026": "\u2026",
}  # fmt: skip
# Letters that Unicode does not take apart into plain ones.
_LETTERS = {"ß": "ss", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "ø": "ø"}
_O_IN_WORD = re.compile(r"(?<=[a-z])ø|ø(?=[a-z])")  # by itself it is the sign of an average: "Ø 138"


@lru_cache(maxsize=1)
def _confusables() -> dict[str, str]:
    text = resources.files("nudgebot.domain.text").joinpath("confusables.tsv").read_text("utf-8")
    rows = (line.split("\t") for line in text.splitlines() if line and not line.startswith("#"))
    return {chr(int(code, 16)): letter for code, letter in rows} | _LETTERS


@lru_cache(maxsize=8192)
def _folded(char: str) -> str:
    """The plain form of one character, often one character: '' for an invisible one, a space where it parts words."""
    if char in _ALIKE:
        return _ALIKE[char]
    if char.isascii():
        return char.lower()
    category = unicodedata.category(char)
    if category == "Nd":
        return str(unicodedata.decimal(char))
    if category in _INVISIBLE:
        return ""
    if category[0] == "Z" or category == "Cc":
        return " "
    apart = unicodedata.normalize("NFKD", char).partition(" ")[0]  # of a ligature of several words the first
    if category == "No" and "\u2044" in apart:
        return char  # a vulgar fraction stays one character: 1½ is not 11/2
    letters = "".join(c for c in apart if not unicodedata.combining(c)).lower()
    return "".join(c if c.isascii() else _confusables().get(c, c) for c in letters).lower()


@lru_cache(maxsize=KEPT)
def fold(text: str) -> tuple[str, Sequence[int]]:
    """`text` made plain, and for each character of that the place in `text` it came from."""
    if text.isascii():
        return text.lower().replace("_", " ").replace("`", "'"), range(len(text))
    parts = list(map(_folded, text))
    return _O_IN_WORD.sub("o", "".join(parts)), [place for place, part in enumerate(parts) for _ in part]


def squeezed(text: str) -> str:
    """`text` made plain, single spaces between its words and none at its ends."""
    return " ".join(fold(text)[0].split())
