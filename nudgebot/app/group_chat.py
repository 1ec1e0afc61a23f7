"""What is said in a group chat, and which of it is for us.

The answer to a person goes to that person, in private. The group sees a sign under a report that was taken in, a
short line after a command, and the first line of an emergency answer. What the platform shows us of a group that is
neither addressed to us, nor a finished run, nor a warning sign or a doubt about one, is none of our business.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access, decide
from nudgebot.app.coaching import to_group
from nudgebot.app.request import Command, InGroup, Request
from nudgebot.domain.dialogue.health import safety_question
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Refusal, Where
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.model.speech import ANSWER, REACTION, SAFETY, Incoming, Say
from nudgebot.domain.overview.chat_lines import FixedLine, GroupLine, NotReached, StopAndCall
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, Verdict, triage
from nudgebot.storage import book_repository, outbox
from nudgebot.storage.letter import Letter

TAKEN_IN: Final = "👍"


def goes_on(request: Request | None, incoming: Incoming, conn: Connection, now: datetime) -> bool:
    """Whether a line said in a group goes on to be answered, in private; what the group is to see is put here.

    `request` is the line with its writer's book as it is on the disk, None for a stranger's.
    """
    command = decide.command_in(incoming.text)
    verdict = triage(incoming.text) if command is None else command.signs
    if request is None:
        return _from_a_stranger(conn, incoming, verdict, now)
    book = request.book
    if verdict.level is Level.EMERGENCY:
        line = StopAndCall(book.profile.country, verdict.language, verdict.about_other, written=True)
        _answer(conn, book, incoming, line, now, SAFETY)
        return True
    if command is not None and verdict.level.rank >= Level.CLINICIAN.rank:
        _answer(conn, book, incoming, FixedLine.WRITTEN_TO_YOU, now)
        return True
    if command is not None:
        line_back = _commanded(request, command.row)
        _answer(conn, book, incoming, line_back, now)
        return line_back is FixedLine.WRITTEN_TO_YOU
    if verdict.level is not Level.NONE or verdict.question:
        _answer(conn, book, incoming, FixedLine.WRITTEN_TO_YOU, now)
        return True
    if not (incoming.addressed or _reports(book, incoming)):
        if not overhears_a_doubt(book, incoming):
            return False
        _answer(conn, book, incoming, FixedLine.WRITTEN_TO_YOU, now)
        return True
    sign, key = Say(TAKEN_IN, REACTION), f"{incoming.key}/group"
    outbox.put(conn, book.runner, sign, key=key, now=now, reply_to=incoming.key, chat=incoming.chat)
    return True


def overhears_a_doubt(book: Book, incoming: Incoming) -> bool:
    """Whether a line said to everybody leaves a doubt about a sign, and no more: then that is asked, in private.

    Nothing else of such a line is followed. A question that is open already is not asked again.
    """
    if not incoming.chat or incoming.addressed or decide.command_in(incoming.text) is not None:
        return False
    today = book.today(incoming.at)
    verdict, reading = triage(incoming.text), read(incoming.text, today)
    if verdict.level is not Level.NONE or _reports(book, incoming):
        return False
    return not safety_question.is_open(book, incoming.at) and safety_question.is_worth_asking(
        incoming.text, today, verdict, reading
    )


def _from_a_stranger(conn: Connection, incoming: Incoming, verdict: Verdict, now: datetime) -> bool:
    """A stranger's line in a group goes no further; a grave sign is answered there, and a call once a day."""
    if verdict.level.rank >= Level.URGENT.rank:
        _warn(conn, incoming, verdict, now)
    elif incoming.addressed and access.first_today(conn, incoming, now):
        _answer(conn, None, incoming, FixedLine.PRIVATE_FIRST, now)
    return False


def search_unsigned(conn: Connection, incoming: Incoming, now: datetime) -> None:
    """A line said in a group in the name of a chat: nobody's report and nobody's command, but searched for signs."""
    verdict = triage(incoming.text)
    if verdict.level.rank >= Level.URGENT.rank:
        _warn(conn, incoming, verdict, now)


def _warn(conn: Connection, incoming: Incoming, verdict: Verdict, now: datetime) -> None:
    """The first line of a grave answer to somebody who cannot be written to in private; it names no sign."""
    line: GroupLine = NotReached(grave=True)
    if verdict.level is Level.EMERGENCY:
        line = StopAndCall("", verdict.language, verdict.about_other, written=False)
    _answer(conn, None, incoming, line, now, SAFETY)


def say_not_reached(conn: Connection, letter: Letter, chat: str, now: datetime) -> None:
    """The private answer to a line from group `chat` was refused: the group says so, and what to do if it was grave."""
    if letter.runner_id is None:
        return
    runner = book_repository.person(conn, letter.runner_id)
    grave = letter.kind == SAFETY
    key = f"{letter.key}/unreached"
    kind = SAFETY if grave else ANSWER
    to_group(conn, runner, chat, NotReached(grave), key=key, now=now, reply_to=letter.reply_to, kind=kind)


def _commanded(request: Request, row: Command | None) -> GroupLine:
    """What the group sees after a command; only after `WRITTEN_TO_YOU` it is followed in private."""
    if row is None:
        return FixedLine.WRITTEN_TO_YOU
    refused = rights.refusal(request.actor, row.right, in_group=True)
    if refused is Refusal.ROLE and row.right.where is Where.GROUP_CHAT:
        return FixedLine.COACHES_ONLY
    if refused is not None:
        return FixedLine.PRIVATE_FIRST
    here = row.handler if isinstance(row.handler, InGroup) else row.in_group
    return here.run(request) if here is not None else FixedLine.WRITTEN_TO_YOU


def _reports(book: Book, incoming: Incoming) -> bool:
    """Whether a line that was said to everybody reports a finished run, or corrects one that did."""
    if isinstance(book.standing, Joining):
        return False
    if incoming.edits and any(entry.key == incoming.edits for entry in book.log):
        return True
    reading = read(incoming.text, book.today(incoming.at))
    sure = not reading.ask_back and (reading.minutes is not None or bool(reading.logs))
    return reading.intent is Intent.LOG and sure


def _answer(
    conn: Connection, book: Book | None, incoming: Incoming, line: GroupLine, now: datetime, kind: str = ANSWER
) -> None:
    sender = access.stranger(incoming) if book is None else book.runner
    key = f"{incoming.key}/group"
    to_group(conn, sender, incoming.chat, line, key=key, now=now, reply_to=incoming.key, kind=kind)
