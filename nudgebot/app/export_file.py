"""What /export hands over, read right before its letter leaves: a file, and the same as text where none can go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from nudgebot.storage import book_repository, export
from nudgebot.storage.outbox import Letter

FILE_NAME = "nudgebot-export.zip"


@dataclass(frozen=True, slots=True)
class Exported:
    """Everything of one person, as `store.export` reads it."""

    found: dict[str, Any]

    @property
    def texts(self) -> tuple[str, str]:
        """The log as CSV, and all of it as JSON."""
        return export.log_csv(self.found).rstrip(), export.as_json(self.found)

    @property
    def file(self) -> bytes:
        """A zip of one JSON file, and a CSV file a table."""
        return export.as_zip(self.found)


def exported(conn: Connection, letter: Letter) -> Exported | None:
    """What the letter's person is handed; None where nothing is kept of them any more."""
    book = book_repository.find(conn, letter.voice, letter.user)
    return None if book is None else Exported(export.everything(conn, book.runner.id))
