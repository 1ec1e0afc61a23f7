"""Answers to ordinary questions: a reviewed page, each with the words that ask for it and its source.

A row answers a line that holds all of its ideas; the first such row is taken, the more special before the plainer.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

PRACTICE: Final = "common practice, no source"


@dataclass(frozen=True, slots=True)
class ReviewedAnswer:
    """One topic: the ideas that a line must all hold, as word stems, what is said, and where it comes from."""

    topic: str
    ideas: tuple[str, ...]
    text: str
    source: str = PRACTICE

    def fits(self, line: str) -> bool:
        """Whether the folded line holds every idea."""
        return all(re.search(rf"(?<![a-z])(?:{idea})", line) for idea in self.ideas)


@cache
def answers() -> tuple[ReviewedAnswer, ...]:
    """Every row, in the order of the file."""
    home = resources.files("nudgebot.domain.messages")
    raw = tomllib.loads(home.joinpath("reviewed_answers.toml").read_text("utf-8"))
    parts: dict[str, str] = raw["parts"]

    def whole(idea: str) -> str:
        return re.sub(r"<([a-z]+)>", lambda part: parts[part[1]], idea)

    return tuple(
        ReviewedAnswer(row["topic"], tuple(map(whole, row["ideas"])), row["text"], row.get("source", PRACTICE))
        for row in raw["answer"]
    )


# What makes a line a question or a worry, and no report.
ASKS: Final = re.compile(
    r"\?|^(?:what|why|when|how|which|can|may|should|is|are|do|does|am|could|would|will|was|wie|warum|wann|kann|soll|que|"
    r"por que|cuando|como|puedo|pourquoi|quand|comment|puis-je|posso|quando|devo|any)\b|"
    r"\b(?:scared|afraid|worried|nervous|ashamed|embarrass\w*|feel (?:bad|lazy|stupid|silly)|guilty|bor(?:ed|ing)|"
    r"laugh|judge|ok\s*$|okay\s*$|allowed|wonder\w*|too (?:old|slow))\b|\b(?:so|too) slow\b"
)
FEELINGS: Final = frozenset({"laughed at", "worth it", "guilt"})  # said of a run called off, too
LONGEST: Final = 24  # words; a longer line tells a story


def answer_to(line: str) -> ReviewedAnswer | None:
    """The reviewed answer to a folded line; None if it asks nothing that the page holds."""
    if len(line.split()) > LONGEST or ASKS.search(line) is None:
        return None
    return next((row for row in answers() if row.fits(line)), None)
