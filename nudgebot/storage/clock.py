"""Where the time of a voice stands: the terminal's, which moves only when told, or the last round of `serve`."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, select

from nudgebot.storage import schema
from nudgebot.storage.database import upsert


def read(conn: Connection, voice: str) -> datetime | None:
    """The time at which `voice` last stood, None if it never spoke."""
    return conn.scalar(select(schema.clock.c.at).where(schema.clock.c.voice == voice))


def keep(conn: Connection, voice: str, at: datetime) -> None:
    """Keeps `at` as the time of `voice`."""
    row = upsert(schema.clock).values(voice=voice, at=at)
    conn.execute(row.on_conflict_do_update(index_elements=["voice"], set_={"at": at}))
