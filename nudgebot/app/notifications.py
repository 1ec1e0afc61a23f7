"""What goes to somebody unasked: a nudge that was decided, and a letter from or about others.

A nudge is settled once and for all as it is put on its way. A letter (a coach's word, news from others, what is about
to be deleted) waits for the end of quiet hours.
"""

from __future__ import annotations

import logging
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.app import health
from nudgebot.domain.messages.nudges import write_nudge
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import ANSWER, Say
from nudgebot.domain.nudging.nudges import NudgeVerdict
from nudgebot.domain.nudging.times import quiet_until, stale_at
from nudgebot.storage import book_repository, due_queue, outbox

_log = logging.getLogger(__name__)


def send_letter(
    conn: Connection,
    to: Book | int,
    say: Say,
    key: str,
    now: datetime,
    *,
    though_stopped: bool = False,
    until_back: bool = False,
) -> bool:
    """Puts a letter to somebody (by book or number) into the outbox; whether it waits for the end of quiet hours.

    Somebody who said stop gets none, but for what `though_stopped` marks; what is `until_back` waits until they write
    again, also where they have shut us out. `key` may name whoever caused the letter, and is kept as a digest.
    """
    to = book_repository.load(conn, to) if isinstance(to, int) else to
    silent = to.runner.stopped or (until_back and not to.runner.reachable)
    if silent and not though_stopped and not until_back:
        return False
    until = outbox.BACK if silent and until_back else quiet_until(to, now)
    kept_key = outbox.digested(key)
    outbox.put(conn, to.runner, say, key=kept_key, now=now, not_before=until, until_back=until_back)
    return until is not None and not silent


def send_nudge(
    conn: Connection, book: Book, verdict: NudgeVerdict, now: datetime, *, answers: str | None = None
) -> bool:
    """Settles a nudge and, if it is to be sent, puts it into the outbox; False if it was settled before.

    `answers` is the key of the runner's own line that it follows: then it is part of the answer, and sent until it is
    confirmed like one.
    """
    nudged = verdict.nudged
    if not due_queue.settle(conn, book.runner.id, nudged):
        return False
    named = (book.runner.id, nudged.kind, nudged.for_day, nudged.outcome, nudged.reason)
    _log.info("runner %d nudge:%s for %s: %s, %s", *named)
    health.count_nudge(nudged.kind, nudged.outcome, nudged.reason)
    if verdict.payload is None:
        return True
    say = write_nudge(book, verdict, now)
    key = f"nudge:{book.runner.id}:{nudged.kind}:{nudged.for_day}:{nudged.slot}"
    if answers is not None:
        return outbox.put(conn, book.runner, replace(say, kind=ANSWER), key=key, now=now, reply_to=answers)
    late = stale_at(nudged.kind, nudged.due_at)
    return outbox.put(conn, book.runner, say, key=key, now=now, stale_at=late, nudge=nudged)
