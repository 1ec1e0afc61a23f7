"""Words and shapes of phrases that are data: files of `words/`, read once and checked as they are read.

A file holds sections `[name]`. In a file of words a section is a set of folded words, parted by blanks. In a file of
patterns each line of a section is one way to say it, a regular expression over a folded line that stands for whole
words (in a `[name raw]` section for what it says); a line that opens with `|` goes on with the one before, `{name}`
stands for an earlier section. Lines with `#` in front are for whoever reads the file.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import resources

_HOME = "nudgebot.domain.text"
_NAME = re.compile(r"\[([a-z_]+(?: raw)?)\]")
_USED = re.compile(r"\{([a-z_]+)\}")


class Words:
    """The sets of a file of words, each an attribute."""

    def __init__(self, file: str) -> None:
        for name, lines in sections(file).items():
            found = " ".join(lines).split()
            if not found or len(set(found)) < len(found):
                raise ValueError(f"words/{file}.txt: [{name}] is empty or lists a word twice")
            setattr(self, name, frozenset(found))

    def __getattr__(self, name: str) -> frozenset[str]:
        raise AttributeError(f"no words are listed as {name}")


class Patterns:
    """The patterns of a file, each an attribute, compiled as it is first asked for: any of the ways to say it."""

    def __init__(self, file: str) -> None:
        plain: dict[str, str] = {}
        for title, lines in sections(file).items():
            ways = "|".join("\n".join(lines).replace("\n|", "|").split("\n"))
            name, _, raw = title.partition(" ")
            ways = _USED.sub(lambda used: plain[used[1]], ways)
            plain[name] = f"(?:{ways})" if raw else rf"\b(?:{ways})\b"
        self._plain = plain

    def __getattr__(self, name: str) -> re.Pattern[str]:
        if name not in self._plain:
            raise AttributeError(f"no pattern is listed as {name}")
        found = re.compile(self._plain[name])
        setattr(self, name, found)
        return found


def sections(file: str) -> dict[str, list[str]]:
    """The lines of each section of a file of `words/`, in order; a section that comes twice is a ValueError."""
    found: dict[str, list[str]] = {}
    text = resources.files(_HOME).joinpath("words", f"{file}.txt").read_text("utf-8")
    for line in text.split("\n"):
        if (opens := _NAME.fullmatch(line)) is not None:
            if opens[1] in found:
                raise ValueError(f"words/{file}.txt: [{opens[1]}] comes twice")
            found[opens[1]] = []
        elif line and not line.startswith("#"):
            found[next(reversed(found))].append(line)
    return found


@cache
def words(file: str) -> Words:
    """The sets of `words/FILE.txt`."""
    return Words(file)


@cache
def patterns(file: str) -> Patterns:
    """The patterns of `words/FILE.txt`."""
    return Patterns(file)
