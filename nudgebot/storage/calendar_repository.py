"""What was published of a runner's plan, and the key of their private feed.

Kept apart from the book: only who asks for the calendar needs it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass

from sqlalchemy import Connection, delete, insert, select

from nudgebot.domain.calendar.feed import CalendarEvent
from nudgebot.domain.model.week import SessionKind
from nudgebot.storage import schema
from nudgebot.storage.codec import fingerprint
from nudgebot.storage.database import upsert

_EVENT = schema.calendar_events.c
_FEED = schema.feeds.c


@dataclass(frozen=True, slots=True)
class FeedSettings:
    """Whether a feed is open, and how many minutes before a session its alarm rings (None: none does)."""

    is_open: bool = False
    alarm: int | None = None


def events(conn: Connection, runner_id: int) -> tuple[CalendarEvent, ...]:
    """What was published, in the order of days."""
    columns = [_EVENT[name] for name in CalendarEvent.__slots__]
    rows = conn.execute(select(*columns).where(_EVENT.runner_id == runner_id).order_by(_EVENT.day, _EVENT.uid))
    return tuple(CalendarEvent(**{**row._mapping, "kind": SessionKind(row.kind)}) for row in rows)  # noqa: SLF001 - the library's public name for it


def publish(conn: Connection, runner_id: int, published: Iterable[CalendarEvent]) -> None:
    """What is published from now on, in place of what was."""
    conn.execute(delete(schema.calendar_events).where(_EVENT.runner_id == runner_id))
    rows = [{"runner_id": runner_id, **asdict(event)} for event in published]
    if rows:
        conn.execute(insert(schema.calendar_events), rows)


def settings(conn: Connection, runner_id: int) -> FeedSettings:
    """How the runner has the feed."""
    row = conn.execute(select(_FEED.digest, _FEED.alarm).where(_FEED.runner_id == runner_id)).one_or_none()
    return FeedSettings() if row is None else FeedSettings(row.digest is not None, row.alarm)


def open_feed(conn: Connection, runner_id: int, token: str) -> None:
    """The feed is read with `token` from now on, and with no other; of the token only a digest is kept."""
    _set(conn, runner_id, digest=fingerprint(token))


def close_feed(conn: Connection, runner_id: int) -> None:
    """No token reads the feed any more."""
    _set(conn, runner_id, digest=None)


def set_alarm(conn: Connection, runner_id: int, minutes: int | None) -> None:
    """Alarms so many minutes before each session; None for none."""
    _set(conn, runner_id, alarm=minutes)


def runner_of(conn: Connection, token: str) -> int | None:
    """Whose feed a token reads, None for one that reads none."""
    return conn.scalar(select(_FEED.runner_id).where(_FEED.digest == fingerprint(token)))


def _set(conn: Connection, runner_id: int, **values: object) -> None:
    once = upsert(schema.feeds).values(runner_id=runner_id, **values)
    conn.execute(once.on_conflict_do_update(index_elements=["runner_id"], set_=values))
