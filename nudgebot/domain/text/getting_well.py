"""Whether somebody who is or was ill says that they are better, or that they are not."""

from __future__ import annotations

from nudgebot.domain.text.folding import fold
from nudgebot.domain.text.line.regional import as_standard
from nudgebot.domain.text.word_files import patterns

P = patterns("illness")


def says_well(text: str) -> bool:
    """Whether somebody who was ill says that it is over."""
    line = plain(text)
    return (P.well.search(line) is not None and not P.not_well.search(line)) or says_lifted(text)


def denies_better(text: str) -> bool:
    """Whether a line denies that its writer is better."""
    return P.denied_better.search(plain(text)) is not None


def says_lifted(text: str) -> bool:
    """Whether a line says of an illness by name that it has gone, and of nothing that it goes on."""
    line = plain(text)
    return P.lifted.search(line) is not None and not P.not_lifted.search(line) and not P.not_well.search(line)


def plain(text: str) -> str:
    """A line folded, regional spellings as the words of the dictionary."""
    return as_standard(fold(text)[0])
