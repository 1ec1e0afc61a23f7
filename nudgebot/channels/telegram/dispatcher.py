"""Acts on what the inbox holds, line by line, in the order in which they came.

The handler's changes, what is to be said, and the mark that the line is done are committed together, so a kill at
any moment leaves a line either untouched or fully acted on. Lines that came together share the commit, each behind a
savepoint of its own. The store takes one writer, so the lines of all chats pass one by one; none waits for the network.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TypeAlias, assert_never

from sqlalchemy import Connection

from nudgebot.app import group_chat, health
from nudgebot.app.incoming_files import LARGEST, address_in
from nudgebot.channels.telegram.logs import place
from nudgebot.channels.telegram.raw_fields import Raw
from nudgebot.channels.telegram.updates import (
    VOICE,
    BotName,
    ChatMoved,
    NotForUs,
    Press,
    Reach,
    SentFile,
    ShutOut,
    TextLine,
    Unreadable,
    Unsigned,
    hear,
)
from nudgebot.domain.model.logbook import FileFault
from nudgebot.domain.model.runner import Runner
from nudgebot.domain.model.speech import SAFETY, Incoming, Say
from nudgebot.storage import book_repository, group_repository, inbox, outbox
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.statement import apart

Take: TypeAlias = Callable[[Connection, Incoming, datetime], None]

TROUBLE = Say(
    "I could not take that line in: something went wrong on my side, and nothing was changed. "
    "Please say it again in other words.\n"
    "If it is about pain or how you feel, do not wait for me: call your doctor or your local emergency number.",
    SAFETY,
)
GONE = Say("That button is too old for me to read. Please type your answer.")

_log = logging.getLogger(__name__)


def attend(conn: Connection, bot: BotName, take: Take, clock: Callable[[], datetime], limit: int) -> tuple[int, bool]:
    """Act on the oldest waiting updates, at most `limit`; how many there were, and whether one named a file to fetch.

    An update that cannot be acted on is put aside with the reason, and its writer is told. Raises StoreFault where
    the store itself cannot be used: then the update waits.
    """
    waiting = inbox.waiting(conn, limit)
    fetched = [_attend_one(conn, update, bot, take, clock()) for update in waiting]
    return len(waiting), any(fetched)


def _attend_one(conn: Connection, update: inbox.Update, bot: BotName, take: Take, now: datetime) -> bool:
    """Whether it names a file to fetch."""
    try:
        with apart(conn):
            return _act(conn, update, bot, take, now)
    except StoreFault:
        raise
    except Exception as error:
        put_aside(conn, update, error, now)
    return False


def put_aside(conn: Connection, update: inbox.Update, error: Exception, now: datetime) -> None:
    """A bug met by one line must not stop the lines behind it: it is kept for whoever mends it, its writer is told."""
    _log.error("update %s put aside: %s", update.key, place(error))
    inbox.dead(conn, update.key, place(error), now)
    health.LINES.labels("put aside").inc()
    if update.user:
        _say(conn, update.user, "", TROUBLE, f"trouble:{update.key}", now)


def _act(conn: Connection, update: inbox.Update, bot: BotName, take: Take, now: datetime) -> bool:
    heard = hear(_raw(update), bot, now)
    health.LINES.labels(type(heard).__name__).inc()
    match heard:
        case TextLine(incoming) if not incoming.chat and not incoming.edits and address_in(incoming.text) is not None:
            inbox.to_fetch(conn, update.key)  # the lines behind it do not wait for it
            return True
        case TextLine(incoming):
            take(conn, incoming, now)
        case SentFile(incoming, _, size) if size > LARGEST:
            take(conn, replace(incoming, file=FileFault.TOO_LARGE), now)
        case SentFile():
            inbox.to_fetch(conn, update.key)
            return True
        case Press(incoming, _, ref):
            press = incoming if ref is None else _looked_up(conn, incoming, ref.letter, ref.number)
            if press is None or press.action is None:
                _say(conn, incoming.user, incoming.name, GONE, f"gone:{update.key}", now)
            else:
                take(conn, press, now)
        case Unsigned(incoming):
            group_chat.search_unsigned(conn, incoming, now)
        case Reach(user, reachable):
            _reach(conn, user, reachable=reachable)
        case ChatMoved(old, new):
            group_repository.moved(conn, VOICE, old, new)
        case ShutOut(chat):
            group_repository.shut_out(conn, VOICE, chat)
        case NotForUs():
            pass
        case Unreadable(where):
            _log.error("update %s put aside: unreadable %s", update.key, where)
            inbox.dead(conn, update.key, f"unreadable {where}", now)
            return False
        case _:
            assert_never(heard)
    inbox.done(conn, update.key, now)
    return False


def _raw(update: inbox.Update) -> Raw:
    raw = json.loads(update.raw)
    return raw if isinstance(raw, dict) else {}


def _looked_up(conn: Connection, incoming: Incoming, letter_id: int, number: int) -> Incoming | None:
    """`incoming` with the action of the pressed button, None if its letter is no longer kept."""
    letter = outbox.find(conn, letter_id)
    if letter is None or letter.user != incoming.user or number >= len(letter.buttons):
        return None
    return replace(incoming, action=letter.buttons[number].action)


def _reach(conn: Connection, user: str, *, reachable: bool) -> None:
    book = book_repository.find(conn, VOICE, user)
    if book is not None:
        book_repository.save(conn, book, replace(book, runner=replace(book.runner, reachable=reachable)))


def _say(conn: Connection, user: str, name: str, say: Say, key: str, now: datetime) -> None:
    """Put `say` into the box for somebody, whether or not we keep anything of them."""
    book = book_repository.find(conn, VOICE, user)
    runner = book.runner if book else Runner(0, VOICE, user, name, joined_at=now, last_heard=now)
    outbox.put(conn, runner, say, key=key, now=now)
