"""`/calendar`: the plan as a file, and as a private feed that a calendar subscribes to.

The web listener answers a feed's address with `feed`; what a token is, and whose, is known here alone.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable
from datetime import datetime
from typing import Final

from sqlalchemy import Connection

from nudgebot.app.request import Request
from nudgebot.domain.calendar.feed import as_ics, published, sessions_ahead
from nudgebot.domain.dialogue.values import Answer, say
from nudgebot.domain.messages.plan import repeats as words
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import File, Say
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, calendar_repository

TOKEN_BYTES: Final = 24  # 192 bits: RFC 4086 asks for 128 where guesses are many
TOKEN: Final = re.compile(r"[0-9a-f]{48}")
PATH: Final = "/calendar/"  # before the token, after the listener's own address
ENDING: Final = ".ics"
ALARM: Final = re.compile(r"alarm\s+(\d{1,3})(?:\s*min\w*)?")


def calendar(request: Request, rest: str) -> Answer:
    """The next weeks as a file; or what the rest asks for: a feed, its end, or alarms."""
    conn, book, asked = request.conn, request.book, rest.casefold().strip()
    runner_id = book.runner.id
    if asked == "off":
        calendar_repository.close_feed(conn, runner_id)
        return say(book, words.CLOSED)
    if asked == "link":
        if not request.host.feeds:
            return say(book, words.NO_FEED)
        token = request.host.codes(TOKEN_BYTES).hex()
        calendar_repository.open_feed(conn, runner_id, token)
        return say(book, words.show_feed(f"{request.host.feeds}{PATH}{token}{ENDING}"))
    if asked == "alarm off":
        calendar_repository.set_alarm(conn, runner_id, None)
        return say(book, words.ALARM_OFF)
    if (alarm := ALARM.fullmatch(asked)) is not None:
        calendar_repository.set_alarm(conn, runner_id, int(alarm[1]))
        return say(book, words.confirm_alarm(int(alarm[1])))
    _publish(conn, book, request.now, lambda: request.host.codes(16).hex())
    is_open = calendar_repository.settings(conn, runner_id).is_open
    more = words.FEED_IS_OPEN if is_open else words.WITH_FEED if request.host.feeds else ""
    return Answer(book, (Say(" ".join(filter(None, (words.FILE, more))), file=File.CALENDAR),))


def feed(conn: Connection, token: str, now: datetime) -> bytes | None:
    """The calendar that a token reads, brought up to now; None for a token that is none, or is one no more.

    `conn` must be in a transaction that may write: what is published is kept, so that a session that moves is known
    again.
    """
    runner_id = calendar_repository.runner_of(conn, token) if TOKEN.fullmatch(token) else None
    if runner_id is None:
        return None
    book = book_repository.load(conn, runner_id)
    _publish(conn, book, now, lambda: secrets.token_hex(16))
    return content(conn, book)


def content(conn: Connection, book: Book) -> bytes:
    """What is published of a runner's plan, as a file."""
    events = calendar_repository.events(conn, book.runner.id)
    return as_ics(events, book.profile, calendar_repository.settings(conn, book.runner.id).alarm)


def _publish(conn: Connection, book: Book, now: datetime, new_uid: Callable[[], str]) -> None:
    today = book.today(now)
    before = calendar_repository.events(conn, book.runner.id)
    after = published(before, sessions_ahead(planner.roll(book, today), today), today, now, new_uid)
    if after != before:
        calendar_repository.publish(conn, book.runner.id, after)
