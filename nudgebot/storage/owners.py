"""Who hosts the bot, by a one-time code; and for how long things are kept.

Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from nudgebot.domain.model.parameters import DEFAULT_MONTHS_KEPT
from nudgebot.storage import schema
from nudgebot.storage.codec import fingerprint
from nudgebot.storage.database import upsert
from nudgebot.storage.statement import Statement

_HOSTING: Final = schema.hosting.c
_CODE: Final = schema.host_codes.c
_RUNNER: Final = schema.runners.c
_HOST: Final = Statement(
    select(_RUNNER.id, _RUNNER.user)
    .select_from(schema.hosting.join(schema.runners, _HOSTING.runner_id == _RUNNER.id))
    .where(_HOSTING.voice == bindparam("of_voice"))
)
_KEEPS: Final = Statement(select(_HOSTING.keep_months).where(_HOSTING.voice == bindparam("of_voice")))


def host(conn: Connection, voice: str) -> tuple[int, str] | None:
    """Number and user of whoever claimed the bot in that voice, None if nobody has, or they were erased."""
    found = _HOST.row(conn, {"of_voice": voice})
    return None if found is None else (found.id, found.user)


def claimed(conn: Connection, voice: str) -> bool:
    """Whether somebody ever claimed the bot: from then on one joins by invitation, also once they were erased."""
    return conn.scalar(select(_HOSTING.claimed_at).where(_HOSTING.voice == voice)) is not None


def new_code(conn: Connection, code: str, until: datetime) -> None:
    """Keeps a one-time code by its digest, until then; one made before no longer works."""
    conn.execute(delete(schema.host_codes))
    conn.execute(insert(schema.host_codes).values(digest=fingerprint(code), until=until))


def opens(conn: Connection, code: str, now: datetime) -> bool:
    """Whether the code makes whoever says it the host."""
    valid = select(_CODE.until).where(_CODE.digest == fingerprint(code), _CODE.until > now)
    return conn.scalar(valid.with_for_update()) is not None


def spoil(conn: Connection, code: str) -> None:
    """The code was said where others read it: it no longer works."""
    conn.execute(delete(schema.host_codes).where(_CODE.digest == fingerprint(code)))


def claim(conn: Connection, voice: str, runner_id: int, now: datetime) -> None:
    """That runner hosts the bot from now on; the code is used up, and what the former host invited coaches with."""
    conn.execute(delete(schema.host_codes))
    conn.execute(delete(schema.invitations).where(schema.invitations.c.group_id.is_(None)))
    _have(conn, voice)
    where = update(schema.hosting).where(_HOSTING.voice == voice)
    conn.execute(where.values(runner_id=runner_id, claimed_at=now))


def keep_months(conn: Connection, voice: str) -> int:
    """For how many months things are kept."""
    return _KEEPS.value(conn, {"of_voice": voice}) or DEFAULT_MONTHS_KEPT


def set_keep_months(conn: Connection, voice: str, months: int) -> None:
    """Things are kept for so many months from now on."""
    _have(conn, voice)
    conn.execute(update(schema.hosting).where(_HOSTING.voice == voice).values(keep_months=months))


def prune(conn: Connection, now: datetime) -> None:
    """Forgets a code that was not used in time."""
    conn.execute(delete(schema.host_codes).where(_CODE.until <= now))


def _have(conn: Connection, voice: str) -> None:
    new = upsert(schema.hosting).values(voice=voice, keep_months=DEFAULT_MONTHS_KEPT)
    conn.execute(new.on_conflict_do_nothing())
