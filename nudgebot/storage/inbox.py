"""What the platform handed over: on the disk before it is confirmed, and acted on once.

The platform forgets an update as soon as the next one is asked for, so an update is stored first. The raw text is
dropped when the update is done; its key stays for eight days. The key holds a digest of the content beside the
platform's number, which may begin again (after a silent week, or on another server): a repetition is left out, another
update under a number that was used is not. Every function works inside the caller's transaction.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import ARRAY, BigInteger, Connection, any_, bindparam, case, delete, exists, func, select, update

from nudgebot.storage import schema
from nudgebot.storage.database import shared, upsert
from nudgebot.storage.statement import Statement

KEPT: Final = timedelta(days=8)
LOOKED_THROUGH: Final = 2_000  # waiting updates among which everybody has their turn
_INBOX: Final = schema.inbox.c
_UPDATE: Final = (_INBOX.key, _INBOX.voice, _INBOX.chat, _INBOX.user, _INBOX.raw)
_RECEIVING: Final = Statement(upsert(schema.inbox).on_conflict_do_nothing())
_oldest = (
    select(_INBOX.id, _INBOX.voice, _INBOX.user)
    .where(_INBOX.ended_at.is_(None), _INBOX.state == "waiting")
    .order_by(_INBOX.id)
    .limit(LOOKED_THROUGH)
    .subquery()
)
_turns = select(
    _oldest.c.id,
    func.row_number().over(partition_by=(_oldest.c.voice, _oldest.c.user), order_by=_oldest.c.id).label("turn"),
).subquery()
_OLDEST: Final = Statement(
    select(*_UPDATE)
    .where(_INBOX.ended_at.is_(None), _INBOX.state == "waiting")
    .order_by(_INBOX.id)
    .limit(bindparam("limit"))
)
_IN_TURN: Final = Statement(
    select(*_UPDATE).join(_turns, _turns.c.id == _INBOX.id).order_by(_turns.c.turn, _INBOX.id).limit(bindparam("limit"))
)
# Among several workers each takes up what no other has in hand, of each person the oldest line alone: those behind it
# would overtake one that somebody else is acting on. First the oldest lines are found, then those of them that still
# wait and are free are locked: in one statement, the planner may compare a person's thousand lines with each other.
_FIRSTS: Final = Statement(
    select(func.min(_oldest.c.id).label("first"))
    .group_by(_oldest.c.voice, _oldest.c.user)
    .order_by("first")
    .limit(bindparam("most"))
)
_CLAIMING: Final = Statement(
    select(*_UPDATE)
    .where(_INBOX.ended_at.is_(None), _INBOX.state == "waiting")
    .where(_INBOX.id == any_(bindparam("firsts", type_=ARRAY(BigInteger))))
    .order_by(_INBOX.id)
    .limit(bindparam("limit"))
    .with_for_update(skip_locked=True)
)
IN_OTHER_HANDS: Final = 64  # lines that other workers may have in hand at a time
_FETCHING: Final = Statement(
    select(*_UPDATE).where(_INBOX.ended_at.is_(None), _INBOX.state == "fetching").order_by(_INBOX.id).limit(100)
)
_ENDING: Final = update(schema.inbox).where(_INBOX.key == bindparam("of_key"))
_known = exists().where(schema.runners.c.voice == _INBOX.voice, schema.runners.c.user == _INBOX.user)
_DONE: Final = Statement(
    _ENDING.values(
        state="done",
        raw=None,
        ended_at=bindparam("now", type_=schema.Instant),
        user=case((_known, _INBOX.user), else_=""),
        chat=case((_known, _INBOX.chat), else_=""),
    )
)
_HEARING: Final = Statement(upsert(schema.heard).on_conflict_do_nothing())


@dataclass(frozen=True, slots=True)
class Update:
    """One thing that happened, as the platform said it: its key (`keyed`), whose it is if known, the raw text."""

    key: str
    voice: str
    chat: str
    user: str
    raw: str


def storable(text: str) -> str:
    """`text` as every database can keep it: without NUL, and with a sign for half of a pair of surrogates."""
    return text.replace("\0", "").encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")


def keyed(number: str, raw: str) -> str:
    """The key of an update: the platform's number for it, and a digest of what it holds."""
    return f"{number}#{hashlib.blake2b(raw.encode(), digest_size=8).hexdigest()}"


def used_before(conn: Connection, key: str) -> bool:
    """Whether the number in `key` belongs to an update with another content."""
    number = key.partition("#")[0]
    of_number = (_INBOX.key > f"{number}#", _INBOX.key < f"{number}$", _INBOX.key != key)
    return conn.scalar(select(_INBOX.id).where(*of_number).limit(1)) is not None


def receive(conn: Connection, updates: Iterable[Update], now: datetime) -> int:
    """Stores `updates` in their order, leaving out those known by their key; how many were new."""
    rows = [
        {
            "key": update.key,
            "voice": update.voice,
            "chat": update.chat,
            "user": update.user,
            "raw": update.raw,
            "state": "waiting",
            "why": "",
            "received_at": now,
        }
        for update in updates
    ]
    if not rows:
        return 0
    return _RECEIVING.run_each(conn, rows)


def waiting(conn: Connection, limit: int) -> list[Update]:
    """At most `limit` updates that nobody acted on yet: each person's in their order, and everybody in turn.

    So who sends a thousand lines makes nobody wait for more than one of them at a time. Where several workers share
    the database these are this transaction's own, and each person's next line is there after its commit.
    """
    if not shared(conn):
        found = _OLDEST.run(conn, {"limit": 2}).fetchall()
        # Two or more: whose turn it is costs more to find out than all else that is done with one line.
        return [Update(*row) for row in (found if len(found) <= 1 <= limit else _IN_TURN.run(conn, {"limit": limit}))]
    firsts = [first for (first,) in _FIRSTS.run(conn, {"most": limit + IN_OTHER_HANDS})]
    found = _CLAIMING.run(conn, {"firsts": firsts, "limit": limit}) if firsts else ()
    return [Update(*row) for row in found]


def to_fetch(conn: Connection, key: str) -> None:
    """The update names a file that has to be fetched: it is acted on when that has come, and waits for nobody else."""
    conn.execute(_ENDING, {"of_key": key, "state": "fetching"})


def fetching(conn: Connection) -> list[Update]:
    """The updates whose files are to be fetched, the oldest first."""
    return [Update(*row) for row in _FETCHING.run(conn)]


def done(conn: Connection, key: str, now: datetime) -> None:
    """The update was acted on: its text goes, its key and time stay; of whom, only where somebody is kept."""
    _DONE.run(conn, {"of_key": key, "now": now})


def dead(conn: Connection, key: str, why: str, now: datetime) -> None:
    """Nothing can be made of the update: it is put aside, text and all, until it is pruned."""
    conn.execute(_ENDING, {"of_key": key, "state": "dead", "why": why, "ended_at": now})


def put_aside(conn: Connection) -> list[tuple[str, str, datetime]]:
    """Key, reason and time of the updates of which nothing could be made, oldest first; never their text."""
    rows = select(_INBOX.key, _INBOX.why, _INBOX.ended_at).where(_INBOX.state == "dead").order_by(_INBOX.id)
    return [(row.key, row.why, row.ended_at) for row in conn.execute(rows)]


def waiting_since(conn: Connection) -> datetime | None:
    """When the oldest update that nobody acted on yet was received; None if none waits."""
    waiting = select(_INBOX.received_at).where(_INBOX.ended_at.is_(None)).order_by(_INBOX.received_at)
    return conn.scalar(waiting.limit(1))


def accept(conn: Connection, key: str, now: datetime) -> bool:
    """Whether the line `key` is heard for the first time; it is from then on heard, whatever voice it came by."""
    return bool(_HEARING.run(conn, {"digest": _digest(key), "at": now}).rowcount)


def prune(conn: Connection, now: datetime) -> None:
    """Removes what ended more than eight days ago. What still waits stays, however old."""
    conn.execute(delete(schema.inbox).where(_INBOX.ended_at.is_not(None), _INBOX.ended_at < now - KEPT))
    conn.execute(delete(schema.heard).where(schema.heard.c.at < now - KEPT))


def _digest(key: str) -> bytes:
    return hashlib.blake2b(key.encode(), digest_size=16).digest()
