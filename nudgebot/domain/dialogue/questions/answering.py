"""What was heard while a question is open, and what is done about an answer by its kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Final, TypeVar

from nudgebot.domain.dialogue.values import Answer, Heard, today_of
from nudgebot.domain.model.actions import Agreed, Chosen
from nudgebot.domain.model.questions import Asked
from nudgebot.domain.model.runner import Book
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.triage import Verdict

LONGEST_ANSWER: Final = 5  # words; a longer line says more than minutes


@dataclass(frozen=True, slots=True)
class Answering:
    """What was heard while a question is open; `verdict` is triage's, of nothing for a pressed button."""

    book: Book
    heard: Heard
    asked: Asked
    verdict: Verdict

    @property
    def closed(self) -> Book:
        """The book with the question answered."""
        return replace(self.book, asked=None)

    @property
    def line(self) -> str:
        """What was typed."""
        return self.heard.text.strip()

    @property
    def today(self) -> date:
        """The runner's day on which it was said."""
        return today_of(self.book, self.heard)

    @property
    def day(self) -> date:
        """The day that the question is about."""
        return self.asked.day or self.today


Read = Callable[[Answering], Chosen | None]
Handle = Callable[[Answering, Chosen], Answer | None]
C = TypeVar("C")
V = TypeVar("V")


def on_kind(kind: type[C], act: Callable[[Answering, C], Answer | None]) -> Handle:
    """What is done about an answer of that kind; one of any other kind is none."""
    return lambda turn, chosen: act(turn, chosen) if isinstance(chosen, kind) else None


def one_of(*acts: tuple[Chosen, Callable[[Answering], Answer | None]]) -> Handle:
    """What is done about each of these answers; any other is none."""
    by_answer = dict(acts)
    return lambda turn, chosen: by_answer[chosen](turn) if chosen in by_answer else None


def as_chosen(kind: Callable[[V], Chosen], value: V | None) -> Chosen | None:
    """The answer of that kind for a value that was read; None for none."""
    return None if value is None else kind(value)


def read_yes_or_no(turn: Answering) -> Chosen | None:
    """Reads a yes or a no."""
    return as_chosen(Agreed, read_yes_no(turn.line))
