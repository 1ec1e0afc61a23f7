"""What the picture of a letter shows, read right before it leaves, with the words that say the same."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import assert_never

from sqlalchemy import Connection

from nudgebot.store import books
from nudgebot.store.outbox import Letter
from nudgebot.training import planner
from nudgebot.training.progress import Progress, progress
from nudgebot.training.speech import Picture
from nudgebot.training.wording.progress import caption


@dataclass(frozen=True, slots=True)
class Pictured:
    """The words of a letter with what is drawn above them; None where there is nothing to draw."""

    text: str
    shown: Progress | None = None


def pictured(conn: Connection, letter: Letter, now: datetime) -> Pictured | None:
    """`letter` as it stands at `now`, whatever was true when it was put; None where there is nobody to show any more.

    Words and picture come from one reading, so that they cannot differ.
    """
    match letter.picture:
        case None:
            return Pictured(letter.text)
        case Picture.PROGRESS:
            return _progress(conn, letter, now)
        case Picture.GROUP:
            return None
        case _:
            assert_never(letter.picture)


def _progress(conn: Connection, letter: Letter, now: datetime) -> Pictured | None:
    book = books.find(conn, letter.voice, letter.user)
    if book is None:
        return None
    today = book.today(now)
    shown = progress(planner.roll(book, today), today)
    return Pictured(caption(shown), None if shown.empty else shown)
