"""What the picture of a letter shows, read right before it leaves, with the words that say the same."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import assert_never

from sqlalchemy import Connection

from nudgebot.app import coaching
from nudgebot.domain.messages.group import EMPTY
from nudgebot.domain.messages.group_report import sheet_caption
from nudgebot.domain.messages.progress import caption
from nudgebot.domain.model.speech import Picture
from nudgebot.domain.overview.group_report import sheet
from nudgebot.domain.overview.progress import progress
from nudgebot.domain.planning import planner
from nudgebot.rendering.pictures import Shown
from nudgebot.storage import book_repository, group_repository
from nudgebot.storage.outbox import Letter


@dataclass(frozen=True, slots=True)
class Pictured:
    """The words of a letter with what is drawn above them; None where there is nothing to draw."""

    text: str
    shown: Shown | None = None


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
            return _group(conn, letter, now)
        case _:
            assert_never(letter.picture)


def _progress(conn: Connection, letter: Letter, now: datetime) -> Pictured | None:
    book = book_repository.find(conn, letter.voice, letter.user)
    if book is None:
        return None
    today = book.today(now)
    shown = progress(planner.roll(book, today), today)
    return Pictured(caption(shown), None if shown.empty else shown)


def _group(conn: Connection, letter: Letter, now: datetime) -> Pictured | None:
    coach = book_repository.find(conn, letter.voice, letter.user)
    number = 0 if coach is None else group_repository.actor(conn, coach.runner.id, owner=False).coaches
    if coach is None or not number:
        return None
    group = coaching.seen(conn, number, now)
    if not group.members:
        return Pictured(EMPTY)
    shown = sheet(group, now, coach.today(now))
    return Pictured(sheet_caption(shown), shown)
