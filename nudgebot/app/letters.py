"""Letters to somebody who did not ask for one now: a coach's word, news from others, what is about to be deleted."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection

from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import Say
from nudgebot.domain.nudging.times import quiet_until
from nudgebot.storage import outbox


def write(conn: Connection, to: Book, text: Say, key: str, now: datetime, *, though_stopped: bool = False) -> bool:
    """Puts a letter into the box; whether it waits for the end of their quiet hours.

    Who said stop gets none, but for what `though_stopped` marks.
    """
    if to.runner.stopped and not though_stopped:
        return False
    until = quiet_until(to, now)
    outbox.put(conn, to.runner, text, key=key, now=now, not_before=until)
    return until is not None
