"""What is said in a group chat, and which of it is for us.

The answer to a person goes to that person, in private. The group sees a sign under a report that was taken in, a
short line after a command, and the first line of an emergency answer. What the platform shows us of a group that is
neither addressed to us, nor a finished run, nor a warning sign, is none of our business.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access, coaching, ownership
from nudgebot.app.coaching import to_group
from nudgebot.domain.dialogue.answer import command_in
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor, Refusal, Where
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.model.speech import ANSWER, REACTION, SAFETY, Incoming, Say
from nudgebot.domain.overview.group import (
    Bound,
    BoundElsewhere,
    CoachesOnly,
    GroupHelp,
    GroupLine,
    NotBound,
    NotReached,
    PrivateFirst,
    StopAndCall,
    WrittenToYou,
    overview,
)
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, Verdict, triage
from nudgebot.storage import group_repository, outbox
from nudgebot.storage.outbox import Letter

TAKEN_IN: Final = "👍"
ALWAYS_PRIVATE: Final = frozenset({"start", "erase", "claim"})  # what the group need not see begin


def heeded(conn: Connection, book: Book | None, incoming: Incoming, now: datetime, *, owner: str) -> bool:
    """Whether a line said in a group goes on to be answered, in private; what the group is to see is put here.

    `book` is the writer's as it is on the disk, None for a stranger.
    """
    command, rest = command_in(incoming.text)
    verdict = Verdict() if incoming.about is not None else triage(rest if command else incoming.text)
    if command in coaching.ABOUT_OTHERS:
        verdict = Verdict()
    if book is None and verdict.level.rank >= Level.URGENT.rank:
        _warn(conn, incoming, verdict, now)
        return False
    if book is not None and verdict.level is Level.EMERGENCY:
        line = StopAndCall(book.profile.country, verdict.language, verdict.about_other, written=True)
        _answer(conn, book, incoming, line, now, SAFETY)
        return True
    if book is None:
        if incoming.addressed and access.first_today(conn, incoming, now):
            _answer(conn, None, incoming, PrivateFirst(), now)
        return False
    if command and verdict.level.rank >= Level.CLINICIAN.rank:
        _answer(conn, book, incoming, WrittenToYou(), now)
        return True
    if command:
        hosts = access.is_owner(book, incoming, ownership.owner(conn, incoming.voice, owner))
        who = group_repository.actor(conn, book.runner.id, owner=hosts)
        line_back = _commanded(conn, incoming, who, command, now)
        _answer(conn, book, incoming, line_back, now)
        return isinstance(line_back, WrittenToYou)
    if verdict.level is not Level.NONE or verdict.question:
        _answer(conn, book, incoming, WrittenToYou(), now)
        return True
    if not (incoming.addressed or _reports(book, incoming)):
        return False
    outbox.put(
        conn,
        book.runner,
        Say(TAKEN_IN, REACTION),
        key=f"{incoming.key}/group",
        now=now,
        reply_to=incoming.key,
        chat=incoming.chat,
    )
    return True


def unsigned(conn: Connection, incoming: Incoming, now: datetime) -> None:
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


def not_reached(conn: Connection, letter: Letter, chat: str, now: datetime) -> None:
    """The private answer to a line from group `chat` was refused: the group says so, and what to do if it was grave."""
    if letter.runner_id is None:
        return
    runner = coaching.runner_of(conn, letter.runner_id)
    grave = letter.kind == SAFETY
    key = f"{letter.key}/unreached"
    kind = SAFETY if grave else ANSWER
    to_group(conn, runner, chat, NotReached(grave), key=key, now=now, reply_to=letter.reply_to, kind=kind)


def _commanded(conn: Connection, incoming: Incoming, who: Actor, command: str, now: datetime) -> GroupLine:
    """What the group sees after a command; only after `WrittenToYou` it is followed in private."""
    refused = rights.refusal(who, command, in_group=True)
    if refused is Refusal.ROLE and rights.BY_COMMAND[command].where is Where.GROUP_CHAT:
        return CoachesOnly()
    if refused is not None or command in ALWAYS_PRIVATE:
        return PrivateFirst()
    bound = group_repository.bound_to(conn, incoming.voice, incoming.chat)
    match command:
        case "help":
            return GroupHelp()
        case "bind" if bound in {0, who.coaches}:
            group_repository.bind(conn, who.coaches, incoming.chat)
            return Bound(now=True)
        case "bind":
            return BoundElsewhere()
        case "unbind" | "overview" if bound != who.coaches:
            return NotBound()
        case "unbind":
            group_repository.bind(conn, who.coaches, "")
            return Bound(now=False)
        case "overview":
            return overview(coaching.seen(conn, who.coaches, now), now)
        case _:
            return WrittenToYou()


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
    sender = access.nobody(incoming) if book is None else book.runner
    key = f"{incoming.key}/group"
    to_group(conn, sender, incoming.chat, line, key=key, now=now, reply_to=incoming.key, kind=kind)
