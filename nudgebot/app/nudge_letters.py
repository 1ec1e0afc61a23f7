"""A decided nudge, settled once and for all and put on its way."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.domain.messages import nudge as sentence
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import ANSWER
from nudgebot.domain.nudging.nudges import Verdict
from nudgebot.domain.nudging.times import stale_at
from nudgebot.storage import due_queue, outbox


def settle_and_put(
    conn: Connection, book: Book, verdict: Verdict, now: datetime, *, answers: str | None = None
) -> bool:
    """Settles the nudge and, where it is sent, puts its letter in the box; False where it was settled before.

    `answers` is the key of the runner's own line that it follows: then it is part of the answer, and sent until it is
    confirmed like one.
    """
    nudged = verdict.nudged
    if not due_queue.settle(conn, book.runner.id, nudged):
        return False
    if verdict.news is None:
        return True
    say = sentence(book, verdict, now)
    key = f"nudge:{book.runner.id}:{nudged.kind}:{nudged.for_day}:{nudged.slot}"
    if answers is not None:
        return outbox.put(conn, book.runner, replace(say, kind=ANSWER), key=key, now=now, reply_to=answers)
    late = stale_at(nudged.kind, nudged.due_at)
    return outbox.put(conn, book.runner, say, key=key, now=now, stale_at=late, nudge=nudged)
