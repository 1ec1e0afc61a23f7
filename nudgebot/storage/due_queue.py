"""When to look at a runner again, what was settled, and where the time of a voice stands.

There is no job a runner: one indexed column says who is due, whatever happened in between; and the database's own
constraint settles a nudge at most once. Every function works on the caller's connection, inside the caller's
transaction.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Final

from sqlalchemy import Connection, bindparam, select, update

from nudgebot.domain.model.nudged import Nudged, NudgeKind, Outcome
from nudgebot.storage import book_tables, schema
from nudgebot.storage.database import upsert
from nudgebot.storage.statement import Statement

_RUNNER: Final = schema.runners.c
_NUDGE: Final = schema.nudges.c
_DUE: Final = Statement(
    select(_RUNNER.id)
    .where(_RUNNER.voice == bindparam("voice"), _RUNNER.next_due.is_not(None), _RUNNER.next_due <= bindparam("now"))
    .order_by(_RUNNER.next_due)
    .limit(bindparam("limit"))
)
_NEXT: Final = Statement(update(schema.runners).where(_RUNNER.id == bindparam("runner")))
# A runner whom another worker has in hand is not there; it sees to them.
_WHEN: Final = Statement(
    select(_RUNNER.next_due).where(_RUNNER.id == bindparam("runner")).with_for_update(key_share=True, skip_locked=True)
)
_SETTLING: Final = Statement(upsert(schema.nudges).on_conflict_do_nothing())


def set_next(conn: Connection, runner_id: int, at: datetime | None) -> None:
    """Looks at the runner again at `at`; None: not before something changes."""
    _NEXT.run(conn, {"runner": runner_id, "next_due": at})


def take_due(conn: Connection, now: datetime, limit: int, voice: str) -> list[int]:
    """Numbers of at most `limit` runners of `voice` to look at by `now`, the longest due first.

    Nothing is marked: who takes a runner up asks `is_due` again in the transaction that settles it.
    """
    return [row.id for row in _DUE.rows(conn, {"voice": voice, "now": now, "limit": limit})]


def is_due(conn: Connection, runner_id: int, now: datetime) -> bool:
    """Whether the runner is still there, still due at `now`, and this transaction's alone."""
    due = _WHEN.value(conn, {"runner": runner_id})
    return due is not None and due <= now


def next_due(conn: Connection, voice: str) -> datetime | None:
    """When the first runner of `voice` is due, None if nobody is."""
    first = select(_RUNNER.next_due).where(_RUNNER.voice == voice, _RUNNER.next_due.is_not(None))
    return conn.scalar(first.order_by(_RUNNER.next_due).limit(1))


def settle(conn: Connection, runner_id: int, nudged: Nudged) -> bool:
    """Writes what became of a nudge; False, and nothing written, where (kind, day, slot) was settled before."""
    row = {"runner_id": runner_id, **book_tables.NUDGES.codec.row(nudged)}
    return bool(_SETTLING.run(conn, row).rowcount)


def unsettle(conn: Connection, runner_id: int, kind: NudgeKind, for_day: date, slot: str, *, why: str) -> None:
    """A nudge settled as sent was not sent after all: its outcome becomes dropped, with the reason `why`."""
    conn.execute(
        update(schema.nudges)
        .where(
            _NUDGE.runner_id == runner_id,
            _NUDGE.kind == kind,
            _NUDGE.for_day == for_day,
            _NUDGE.slot == slot,
            _NUDGE.outcome == Outcome.SENT,
        )
        .values(outcome=Outcome.DROPPED, reason=why)
    )


def time_of(conn: Connection, voice: str) -> datetime | None:
    """The time at which `voice` last stood, None if it never spoke."""
    return conn.scalar(select(schema.clock.c.at).where(schema.clock.c.voice == voice))


def keep_time(conn: Connection, voice: str, at: datetime) -> None:
    """Keeps `at` as the time of `voice`."""
    row = upsert(schema.clock).values(voice=voice, at=at)
    conn.execute(row.on_conflict_do_update(index_elements=["voice"], set_={"at": at}))
