"""What the picture of a letter shows, read right before it leaves, with the words that say the same."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import assert_never

from sqlalchemy import Connection

from nudgebot import company
from nudgebot.exchange.pictures import Shown
from nudgebot.store import books, groups
from nudgebot.store.outbox import Letter
from nudgebot.training import planner
from nudgebot.training.progress import progress
from nudgebot.training.sheet import sheet
from nudgebot.training.speech import Picture
from nudgebot.training.wording.group import EMPTY
from nudgebot.training.wording.progress import caption
from nudgebot.training.wording.sheet import sheet_caption


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
    book = books.find(conn, letter.voice, letter.user)
    if book is None:
        return None
    today = book.today(now)
    shown = progress(planner.roll(book, today), today)
    return Pictured(caption(shown), None if shown.empty else shown)


def _group(conn: Connection, letter: Letter, now: datetime) -> Pictured | None:
    coach = books.find(conn, letter.voice, letter.user)
    number = 0 if coach is None else groups.actor(conn, coach.runner.id, owner=False).coaches
    if coach is None or not number:
        return None
    group = company.seen(conn, number, now)
    if not group.members:
        return Pictured(EMPTY)
    shown = sheet(group, now, coach.today(now))
    return Pictured(sheet_caption(shown), shown)
