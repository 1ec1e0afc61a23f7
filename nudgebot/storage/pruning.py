"""For how long things stay on the disk: what has grown old goes, and whoever has been silent as long goes whole.

Nothing goes without a notice, thirty days before. Every function works on the caller's connection.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import ColumnElement, Connection, Select, Table, delete, exists, func, insert, or_, select

from nudgebot.domain.model.parameters import TOLD_BEFORE, Notice
from nudgebot.storage import schema

_RUNNER: Final = schema.runners.c
_NOTICE: Final = schema.notices.c

# Rows that grow old, by the column that says how old they are; what is left of a week goes with it.
_BY_DAY: Final = (
    (schema.log, schema.log.c.day),
    (schema.symptoms, schema.symptoms.c.day),
    (schema.nudges, schema.nudges.c.for_day),
    (schema.limits, schema.limits.c.day),
    (schema.plan, schema.plan.c.day),
    (schema.pauses, schema.pauses.c.last),
    (schema.recordings, schema.recordings.c.day),
    (schema.calendar_events, schema.calendar_events.c.day),
)
_BY_MOMENT: Final = (
    (schema.notes, schema.notes.c.at),
    (schema.changes, schema.changes.c.at),
    (schema.members, schema.members.c.left_at),
    (schema.readings, schema.readings.c.at),
)
_BY_WEEK: Final = ((schema.weeks, schema.weeks.c.start), (schema.layouts, schema.layouts.c.start))
_LOOKED_AT: Final = (_BY_DAY[0], _BY_DAY[1], _BY_WEEK[0])  # what a runner is told about


def voices(conn: Connection) -> tuple[str, ...]:
    """Every voice that has runners."""
    return tuple(conn.scalars(select(_RUNNER.voice).distinct()))


def to_tell_of_old(conn: Connection, voice: str, since: datetime) -> tuple[int, ...]:
    """Runners who have something that is older than `since` or will be in thirty days, and were not told."""
    soon = (since + TOLD_BEFORE).date()
    old = or_(*(exists().where(table.c.runner_id == _RUNNER.id, when < soon) for table, when in _LOOKED_AT))
    heard_of = _RUNNER.last_heard >= since + TOLD_BEFORE  # the others are told of their silence
    return tuple(conn.scalars(_of(voice).where(old, heard_of, ~_told(Notice.OLD))))


def to_tell_of_silence(conn: Connection, voice: str, since: datetime) -> tuple[int, ...]:
    """Runners unheard of since thirty days after `since` or longer who were not told; no coach, and not the host."""
    return tuple(
        conn.scalars(_of(voice).where(_RUNNER.last_heard < since + TOLD_BEFORE, *_expendable(), ~_told(Notice.SILENT)))
    )


def told(conn: Connection, runner_id: int, kind: Notice, now: datetime) -> None:
    """The runner is told from now on."""
    conn.execute(insert(schema.notices).values(runner_id=runner_id, kind=kind, told_at=now))


def heard_again(conn: Connection) -> None:
    """Whoever wrote after they were told of their silence is told again should they be silent again."""
    wrote = exists().where(_RUNNER.id == _NOTICE.runner_id, _RUNNER.last_heard >= _NOTICE.told_at)
    conn.execute(delete(schema.notices).where(_NOTICE.kind == Notice.SILENT.value, wrote))


def untold(conn: Connection, voice: str) -> None:
    """How long things are kept has changed: who has something older is told again before it goes."""
    of_voice = select(_RUNNER.id).where(_RUNNER.voice == voice)
    conn.execute(delete(schema.notices).where(_NOTICE.runner_id.in_(of_voice)))


def silent_for_good(conn: Connection, voice: str, since: datetime, now: datetime) -> tuple[int, ...]:
    """Runners who were told thirty days ago or more that their silence ends so, and are silent still."""
    long_told = exists().where(
        _NOTICE.runner_id == _RUNNER.id, _NOTICE.kind == Notice.SILENT.value, _NOTICE.told_at <= now - TOLD_BEFORE
    )
    return tuple(conn.scalars(_of(voice).where(_RUNNER.last_heard < since, *_expendable(), long_told)))


def trim(conn: Connection, voice: str, since: datetime, now: datetime) -> int:
    """Deletes what is older than `since` of those who were told thirty days ago or more; how many rows.

    The newest week of a book stays, since the next one builds on it.
    """
    told_ids = (
        select(_NOTICE.runner_id)
        .join(schema.runners, _RUNNER.id == _NOTICE.runner_id)
        .where(_RUNNER.voice == voice, _NOTICE.kind == Notice.OLD.value, _NOTICE.told_at <= now - TOLD_BEFORE)
    )
    gone = 0
    for table, when in _BY_DAY:
        gone += _delete(conn, table, told_ids, (when < since.date(),))
    for table, when in _BY_MOMENT:
        gone += _delete(conn, table, told_ids, (when < since,))
    for table, when in _BY_WEEK:
        mine = schema.weeks.alias("mine")
        newest = select(func.max(mine.c.start)).where(mine.c.runner_id == table.c.runner_id).scalar_subquery()
        gone += _delete(conn, table, told_ids, (when < since.date() - timedelta(days=6), when < newest))
    return gone


def _delete(conn: Connection, table: Table, ids: Select[tuple[int]], where: Iterable[ColumnElement[bool]]) -> int:
    return conn.execute(delete(table).where(table.c.runner_id.in_(ids), *where)).rowcount


def _of(voice: str) -> Select[tuple[int]]:
    return select(_RUNNER.id).where(_RUNNER.voice == voice).order_by(_RUNNER.id)


def _told(kind: Notice) -> ColumnElement[bool]:
    return exists().where(_NOTICE.runner_id == _RUNNER.id, _NOTICE.kind == kind.value)


def _expendable() -> tuple[ColumnElement[bool], ...]:
    """Neither a coach, on whom others hang, nor whoever hosts the bot."""
    coaches = exists().where(schema.coaches.c.runner_id == _RUNNER.id)
    hosts = exists().where(schema.hosting.c.runner_id == _RUNNER.id)
    return ~coaches, ~hosts
