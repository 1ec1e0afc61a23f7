"""A runner in conversation with the pure core, for tests that compare two of them."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from nudgebot.app import decide
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.model.actions import Undo
from nudgebot.domain.model.runner import Book, Runner
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from tests.talking import MARTA

START = datetime(2027, 1, 3, 17, 0, tzinfo=UTC)


class Chat:
    """One runner's conversation with the pure core: the book, a clock that moves when told, and for each line a key.

    The same lines at the same times have the same keys, so two chats can be compared.
    """

    def __init__(self, book: Book, now: datetime) -> None:
        self.book, self.now, self._said = book, now, Counter[str]()

    def says(self, *lines: str) -> str:
        """Says the lines, one after the other; the first message of the last answer."""
        text = ""
        for line in lines:
            key = f"{self.now:%d%H%M} {line}"
            self._said[key] += 1
            text = self._heard(Heard(f"{key} {self._said[key]}", line, self.now, self.now))
        return text

    def presses(self, key: str) -> str:
        """Presses the button that takes the line of that key back."""
        return self._heard(Heard(f"{self.now:%d%H%M} press {key}", "", self.now, self.now, Undo(key)))

    def waits(self, days: int) -> None:
        """Days pass."""
        self.now += timedelta(days=days)
        self.book = planner.roll(self.book, self.book.today(self.now)) if self.book.weeks else self.book

    def _heard(self, heard: Heard) -> str:
        before = nudges.note_heard(self.book, heard.at)
        before = planner.roll(before, before.today(self.now)) if before.weeks else before
        said = journal.keep_change(before, decide.follow_alone(before, heard) or answer(before, heard), heard)
        self.book = said.book
        return said.says[0].text if said.says else ""


@cache
def _marta() -> Book:
    chat = Chat(Book(Runner(1, "talk", "marta", "Marta", START, START)), START)
    chat.says(*MARTA.splitlines()[1:])
    return chat.book


def marta(at: datetime = datetime(2027, 1, 5, 9, 0, tzinfo=UTC)) -> Chat:
    chat = Chat(_marta(), at)
    chat.waits(0)
    return chat


def standing(book: Book) -> dict[str, Any]:
    """What a line can change, without what is being asked and what was sent."""
    apart = {"runner", "nudges", "asked", "safety_question", "changes"}
    return {each.name: getattr(book, each.name) for each in fields(Book) if each.name not in apart}
