"""A decided nudge, settled once and for all and put on its way."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection

from nudgebot.store import due, outbox
from nudgebot.training.nudge_times import stale_at
from nudgebot.training.nudges import Verdict
from nudgebot.training.runner import Book
from nudgebot.training.wording import nudge as sentence


def settle_and_put(conn: Connection, book: Book, verdict: Verdict, now: datetime) -> bool:
    """Settles the nudge and, where it is sent, puts its letter in the box; False where it was settled before."""
    nudged = verdict.nudged
    if not due.settle(conn, book.runner.id, nudged):
        return False
    if verdict.news is not None:
        outbox.put(
            conn,
            book.runner,
            sentence(book, verdict, now),
            key=f"nudge:{book.runner.id}:{nudged.kind}:{nudged.for_day}:{nudged.slot}",
            now=now,
            stale_at=stale_at(nudged.kind, nudged.due_at),
            nudge=nudged,
        )
    return True
