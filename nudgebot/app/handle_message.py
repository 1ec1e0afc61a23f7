"""One line in, one transaction, what to say out.

Everything that a line changes, and every message it causes, is written in the caller's transaction; only after its
commit is anything said. A message key counts once, so a line that is handed over again changes nothing.
"""

from __future__ import annotations

import secrets
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.app import access, coaching, group_chat, ownership
from nudgebot.app.access import Codes
from nudgebot.app.notifications import send_nudge
from nudgebot.domain.dialogue.answer import Heard, answer, command_in
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.model.speech import Incoming
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, triage
from nudgebot.storage import book_repository, due_queue, inbox, outbox, owners


def take(
    conn: Connection,
    incoming: Incoming,
    now: datetime,
    *,
    open_door: bool | None = True,
    owner: str = "",
    codes: Codes = secrets.token_bytes,
) -> None:
    """Takes one line: the books and the letters to send are written on `conn`; nothing else happens.

    `now` is when it is read, `incoming.at` when it was said: a line that waited is read with its own time.
    Where the door is not open, a stranger without an invitation gets one polite line (and the answer to a warning
    sign), and nothing is kept of them. `owner` is the user who hosts the bot by its settings, "" for whoever claimed
    it with a code; an `open_door` of None is open until somebody has.
    """
    if not inbox.accept(conn, incoming.key, now):
        return
    before = book_repository.find(conn, incoming.voice, incoming.user)
    tried = access.tried(conn, incoming, now)
    if incoming.chat and not group_chat.heeded(conn, before, incoming, now, owner=owner):
        return
    invited = tried is not None and tried.opens
    if before is None and not (invited or _is_open(conn, incoming, open_door, owner)):
        access.turn_away(conn, incoming, now)
        return
    if before is None:
        before = book_repository.create(conn, incoming.voice, incoming.user, incoming.name, incoming.at)
    book = nudges.heard(before, incoming.at)
    book = replace(book, runner=replace(book.runner, name=incoming.name or book.runner.name))
    if not isinstance(book.standing, Joining):
        book = planner.roll(book, book.today(now))
    heard = Heard(incoming.key, incoming.text, incoming.at, now, incoming.about)
    if command_in(incoming.text)[0] == "privacy":  # the one page that says for how long
        heard = replace(heard, keeps=owners.keep_months(conn, incoming.voice))
    if incoming.edits:
        book, goes_on = _without_first_version(book, incoming)
        if not goes_on:
            book_repository.save(conn, before, book)
            return
        heard = replace(heard, key=incoming.edits)
    if tried is not None:
        said = coaching.by_code(conn, book, heard, tried, named=owner)
    else:
        said = coaching.acted(conn, book, heard, incoming, named=owner, codes=codes) or answer(book, heard)
    runner = said.book.runner
    if said.erase:
        coaching.farewell(conn, book, heard)
        book_repository.erase(conn, runner.id)
        runner = replace(runner, id=access.NOBODY)
    else:
        book_repository.save(conn, before, said.book)
        due_queue.set_next(conn, runner.id, nudges.next_look(said.book, now))
        if runner.stopped:
            outbox.call_off(conn, runner.id, now)
        coaching.clock_changed(conn, before, said.book, now)
        coaching.came_back(conn, before, said.book, now)
    for place, say in enumerate(said.says):
        outbox.put(conn, runner, say, key=f"{incoming.key}/{place}", now=now, reply_to=incoming.key)
    review = None if said.erase else nudges.review_with_answer(said.book, now)
    if review is not None:
        # The week's last session is answered for: the review follows at once.
        send_nudge(conn, said.book, review, now, answers=incoming.key)


def _is_open(conn: Connection, incoming: Incoming, open_door: bool | None, named: str) -> bool:
    """Whether somebody of whom nothing is kept may begin here."""
    if open_door is None:
        open_door = not (named or owners.claimed(conn, incoming.voice))
    return open_door or access.is_owner(None, incoming, ownership.owner(conn, incoming.voice, named))


def _without_first_version(book: Book, incoming: Incoming) -> tuple[Book, bool]:
    """An edited message: what its first version logged is taken back, and whether the new version is worth reading.

    A correction of small talk is not answered; one that reports a run or a complaint is.
    """
    kept = tuple(entry for entry in book.log if entry.key != incoming.edits)
    logged = len(kept) < len(book.log)
    today = book.today(incoming.at)
    worth = read(incoming.text, today).intent is Intent.LOG or triage(incoming.text).level is not Level.NONE
    return replace(book, log=kept), logged or worth
