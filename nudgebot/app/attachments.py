"""What goes with a letter, read right before it leaves: the picture it shows with its words, the file it hands over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, assert_never

from sqlalchemy import Connection

from nudgebot.app import calendar, coaching
from nudgebot.domain.messages.group.group import EMPTY
from nudgebot.domain.messages.group.roster import sheet_caption
from nudgebot.domain.messages.plan.plan_pages import progress_caption
from nudgebot.domain.model.logbook import ShownRun
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import File, Picture
from nudgebot.domain.overview.group_report import sheet
from nudgebot.domain.overview.progress import progress
from nudgebot.domain.planning import planner
from nudgebot.rendering.pictures import Shown
from nudgebot.storage import book_repository, coach_repository, export
from nudgebot.storage.letter import Letter


@dataclass(frozen=True, slots=True)
class PictureNow:
    """The words of a letter with what is drawn above them; `shown` is None if there is nothing to draw."""

    text: str
    shown: Shown | None = None


@dataclass(frozen=True, slots=True)
class CalendarNow:
    """Somebody's sessions as a calendar."""

    file: bytes
    name: str = "running-plan.ics"

    @property
    def texts(self) -> tuple[str, ...]:
        """The same as text, for a channel that takes no files."""
        return (self.file.decode().replace("\r\n", "\n").rstrip(),)


@dataclass(frozen=True, slots=True)
class ExportNow:
    """Everything of one person, as `storage.export` reads it."""

    found: dict[str, Any]
    name: str = "nudgebot-export.zip"

    @property
    def texts(self) -> tuple[str, str]:
        """The log as CSV, and all of it as JSON: for a channel that takes no files."""
        return export.log_csv(self.found).rstrip(), export.as_json(self.found)

    @property
    def file(self) -> bytes:
        """A zip of one JSON file, and a CSV file a table."""
        return export.as_zip(self.found)


def read_attached(conn: Connection, letter: Letter) -> ExportNow | CalendarNow | None:
    """What the letter's person is handed; None if nothing is kept of them any more."""
    book = book_repository.find(conn, letter.voice, letter.user)
    if book is None:
        return None
    if letter.file is File.CALENDAR:
        return CalendarNow(calendar.content(conn, book))
    return ExportNow(export.everything(conn, book.runner.id))


def read_picture(conn: Connection, letter: Letter, now: datetime) -> PictureNow | None:
    """`letter` as it stands at `now`, whatever was true when it was put; None if there is nobody to show any more.

    Words and picture come from one reading, so that they cannot differ.
    """
    if letter.picture is None:
        return PictureNow(letter.text)
    book = book_repository.find(conn, letter.voice, letter.user)
    if book is None:
        return None
    match letter.picture:
        case Picture.PROGRESS:
            today = book.today(now)
            weeks = progress(planner.roll(book, today), today)
            return PictureNow(progress_caption(weeks), None if weeks.empty else weeks)
        case Picture.GROUP:
            return _group(conn, book, letter, now)
        case Picture.RUN:
            found = next((each for each in book.recordings if each.sent_as == letter.reply_to), None)
            shown = None if found is None else ShownRun(found, light=bool(book.intake.light_pictures))
            return PictureNow(letter.text, shown)
        case _:
            assert_never(letter.picture)


def _group(conn: Connection, coach: Book, letter: Letter, now: datetime) -> PictureNow | None:
    number = coach_repository.actor(conn, coach.runner.id, now, owner=False).coaches
    if not number:
        return None
    group = coaching.view_group(conn, number, now, coach.runner.id)
    if not group.members:
        return PictureNow(EMPTY)
    shown = sheet(group, now, coach.today(now), letter.page, light=bool(coach.intake.light_pictures))
    return PictureNow(sheet_caption(shown), shown)
