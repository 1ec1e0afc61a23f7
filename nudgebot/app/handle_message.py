"""One line or press in, one transaction, what to say out: accept, authorise, decide, persist, notify.

Everything that a line changes, and every message it causes, is written in the caller's transaction; only after its
commit is anything said, by the outbox's worker. A message key counts once, so a line that is handed over again changes
nothing.
"""

from __future__ import annotations

import gc
from dataclasses import dataclass, replace
from datetime import date, datetime
from time import perf_counter
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access, coaching, digest, group_chat, health, invitations
from nudgebot.app.access import Host, Tried
from nudgebot.app.decide import decide, opens
from nudgebot.app.notifications import send_nudge
from nudgebot.app.request import Request
from nudgebot.domain.dialogue.health import safety_question
from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.model.speech import Incoming
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.domain.profile.places import zone_of
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, triage
from nudgebot.storage import book_repository, inbox, outbox, owners

OPEN_TO_ALL: Final = Host()


def take(conn: Connection, incoming: Incoming, now: datetime, host: Host = OPEN_TO_ALL) -> None:
    """Takes one line: the books and the letters to send are written on `conn`; nothing else happens.

    `now` is when it is read, `incoming.at` when it was said: a line that waited is read with its own time.
    """
    if not inbox.accept(conn, incoming.key, now):  # from now on its key is known
        return
    admitted = authorise(conn, incoming, now, host)
    if admitted is None:
        return
    said = journal.keep_change(admitted.request.book, _said(admitted, incoming), admitted.request.heard)
    said = journal.count_runs(admitted.before, said)
    persist(conn, admitted.before, said, admitted.request.heard)
    if admitted.worth_an_answer:
        notify(conn, said, incoming, now)


def _said(admitted: Admitted, incoming: Incoming) -> Answer:
    """The answer to a line; of one that a group was told, and not we, no more than a doubt about a sign is asked."""
    request = admitted.request
    if not admitted.worth_an_answer:
        return Answer(request.book, ())
    if incoming.chat and admitted.tried is None and group_chat.overhears_a_doubt(admitted.before, incoming):
        return safety_question.ask_about(request.book, request.heard)
    return _decided(admitted)


def _decided(admitted: Admitted) -> Answer:
    """The answer, with its time and what it found counted."""
    before, began = admitted.request.book, perf_counter()
    said = decide(admitted.request, admitted.tried)
    replanned = "yes" if said.book.plan != before.plan else "no"
    health.DECISIONS.labels(replanned).observe(perf_counter() - began)
    for symptom in set(said.book.symptoms) - set(before.symptoms):
        health.TRIAGE.labels(symptom.level).inc()
    return said


@dataclass(frozen=True, slots=True)
class Admitted:
    """A line that is answered: the writer's book as it is on the disk, the request, and the code that was tried.

    Not `worth_an_answer` is a corrected slip that neither reports nor complains.
    """

    before: Book
    request: Request
    tried: Tried | None
    worth_an_answer: bool = True


def authorise(conn: Connection, incoming: Incoming, now: datetime, host: Host) -> Admitted | None:
    """Who says it, where, and whether they may; None if it goes no further, and is answered already if at all."""
    before = book_repository.find(conn, incoming.voice, incoming.user)
    tried = access.try_code(conn, incoming, now)
    heard = Heard(incoming.key, incoming.text, incoming.at, now, incoming.action)
    if incoming.chat:
        as_it_was = None if before is None else Request(conn, before, heard, incoming, host)
        if not group_chat.goes_on(as_it_was, incoming, conn, now):
            return None
    invited = tried is not None and tried.opens
    if tried is not None and tried.invitation is not None:
        before = invitations.move_account(conn, incoming, tried.invitation, before, now)
    if before is None and not (invited or _is_open(conn, incoming, host)):
        access.turn_away(conn, incoming, now)
        return None
    if before is None:
        before = book_repository.create(conn, incoming.voice, incoming.user, incoming.name, incoming.at)
    book = nudges.note_heard(before, now if incoming.edits else incoming.at)
    if incoming.name not in {"", book.runner.name}:
        book = replace(book, runner=replace(book.runner, name=incoming.name))
    if not isinstance(book.standing, Joining):
        book = planner.roll(book, book.today(now))
    if opens(incoming.text, "privacy"):  # the one page that says for how long
        heard = replace(heard, keeps=owners.keep_months(conn, incoming.voice))
    if not incoming.edits:
        return Admitted(before, Request(conn, book, heard, incoming, host), tried)
    heard = replace(heard, key=incoming.edits)
    book, worth = _without_first_version(book, heard)
    return Admitted(before, Request(conn, book, heard, incoming, host), tried, worth)


def persist(conn: Connection, before: Book, said: Answer, heard: Heard) -> None:
    """The book as it is now, and when it must be looked at again; or, where the writer wants it, nothing of them."""
    runner = said.book.runner
    if said.erase:
        coaching.prepare_erasure(conn, said.book, heard)
        book_repository.erase(conn, runner.id)
        return
    book_repository.save(conn, before, said.book, next_due=nudges.next_look(said.book, heard.now))
    if runner.stopped:
        outbox.call_off(conn, runner.id, heard.now)
    elif before.runner.stopped or not before.runner.reachable:
        outbox.welcome_back(conn, runner.id, heard.now)
    digest.follow_clock(conn, before, said.book, heard.now)
    coaching.welcome_in_group(conn, before, said.book, heard.now)


def notify(conn: Connection, said: Answer, incoming: Incoming, now: datetime) -> None:
    """What is to be said, put into the outbox: it leaves after the commit. A week that is answered for is reviewed."""
    runner = replace(said.book.runner, id=access.NOBODY) if said.erase else said.book.runner
    for place, say in enumerate(said.says):
        outbox.put(conn, runner, say, key=f"{incoming.key}/{place}", now=now, reply_to=incoming.key)
    review = None if said.erase else nudges.review_with_answer(said.book, now)
    if review is not None:
        # The week's last session is answered for: the review follows at once.
        send_nudge(conn, said.book, review, now, answers=incoming.key)


def _is_open(conn: Connection, incoming: Incoming, host: Host) -> bool:
    """Whether somebody of whom nothing is kept may begin here."""
    is_open = host.open_door
    if is_open is None:
        is_open = not (host.named or owners.claimed(conn, incoming.voice))
    return is_open or access.is_owner(None, incoming, access.owner(conn, incoming.voice, host.named))


def _without_first_version(book: Book, heard: Heard) -> tuple[Book, bool]:
    """An edited message: what its first version did is taken back, and whether the new version is worth an answer.

    A correction of small talk is not answered; one that asks for something, reports a run or a complaint is.
    """
    book, changed = journal.forget_first_version(book, heard)
    talk = read(heard.text, book.today(heard.at)).intent in {Intent.HELLO, Intent.UNKNOWN}
    return book, changed or not talk or triage(heard.text).level is not Level.NONE


_A_LINE = "ran 20 min easy, left knee a bit sore"
_A_DAY = date(2027, 3, 8)


def warm_up() -> None:
    """Loads the tables of words in every language, of signs, and of places; about a third of a second of CPU time."""
    collects = gc.isenabled()
    gc.disable()  # all that is made here stays, and looking through it again and again takes as long as making it
    try:
        read(_A_LINE, _A_DAY)
        triage(_A_LINE)
        zone_of("Lisbon")
    finally:
        if collects:
            gc.enable()
