"""A coach's desk carried out, the coach's Monday digest, and what a group hears of its runners.

Everything happens in the caller's transaction. Who may do what is `rights`' to say, what a coach may see is
`group`'s; what goes to a group chat goes through `to_group`, which takes its closed set of lines and no text.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.app import notifications
from nudgebot.app.request import Request, Together
from nudgebot.domain.dialogue import coach as desk
from nudgebot.domain.dialogue.coach import Desk, Done
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.messages import group as words
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor
from nudgebot.domain.model.runner import Ask, Book, Nudged, NudgeKind, Outcome, Runner
from nudgebot.domain.model.speech import ANSWER, NUDGE, Say
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.domain.nudging.times import quiet_until, stale_at
from nudgebot.domain.overview import group as sight
from nudgebot.domain.overview.group import Group, GroupLine, Member, Share, shown_name
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, due_queue, group_repository, outbox


def at_desk(work: Callable[[Desk, Heard, str], Done]) -> Together:
    """A handler for what a coach does at the desk; the caller has asked whether the writer is a coach."""

    def run(request: Request, rest: str) -> Answer:
        who = request.actor
        return _carried_out(request, work(_desk(request, who), request.heard, rest), who)

    return Together(run)


def told(request: Request) -> Answer | None:
    """A coach's word on a message that was shown first; None where the line is about something else."""
    asked = request.book.asked
    if asked is None or asked.what is not Ask.TELL:
        return None
    who = request.actor
    done = desk.told(_desk(request, who), request.heard) if who.coaches else None
    return None if done is None else _carried_out(request, done, who)


def farewell(conn: Connection, book: Book, heard: Heard) -> None:
    """Before a person is erased: what waits for others and names them goes, and a coach's runners are told."""
    coaches = group_repository.actor(conn, book.runner.id, owner=False).coaches
    group_repository.forget(conn, book, coaches, (book.runner.name, shown_name(book.runner)))
    if coaches:
        end_group(conn, group_repository.load(conn, coaches), heard)


def came_back(conn: Connection, before: Book, after: Book, now: datetime) -> None:
    """Says in the group chat that somebody runs again, once a day at most, where they agreed to be named."""
    if len(after.log) <= len(before.log):
        return
    number = group_repository.group_of(conn, after.runner.id)
    shares = group_repository.shares(conn, after.runner.id) if number else frozenset()
    if Share.NAMED not in shares:
        return
    note = sight.came_back(Member(before, shares), after, now)
    group = group_repository.load(conn, number)
    if note is not None and group.chat:
        to_group(conn, group.coach, group.chat, note, key=f"back:{after.runner.id}:{after.today(now)}", now=now)


def to_group(
    conn: Connection,
    sender: Runner,
    chat: str,
    line: GroupLine,
    *,
    key: str,
    now: datetime,
    reply_to: str | None = None,
    kind: str = ANSWER,
    stale: datetime | None = None,
) -> None:
    """Puts one of the lines that may be said in a group chat into the box; `sender` is who it follows from."""
    text = Say(words.group_line(line), kind)
    outbox.put(conn, sender, text, key=key, now=now, reply_to=reply_to, chat=chat, stale_at=stale)


def digest(conn: Connection, number: int, now: datetime) -> None:
    """The coach's Monday digest, and the overview in the group chat: each once, and dropped when it comes too late."""
    at = group_repository.digest_at(conn, number)
    if at is None or at > now:
        return
    group = seen(conn, number, now)
    coach = book_repository.load(conn, group.coach.id)
    group_repository.set_digest(conn, number, sight.next_digest(coach, now))
    stale = stale_at(NudgeKind.COACH_DIGEST, at)
    monday = coach.local(at).date()
    muted = coach.runner.stopped or not coach.runner.reachable or not group.members
    if muted or now > stale:
        return
    nudged = Nudged(NudgeKind.COACH_DIGEST, monday, "", at, now, Outcome.SENT, Reason.DUE)
    if not due_queue.settle(conn, coach.runner.id, nudged):
        return
    kind = f"{NUDGE}{NudgeKind.COACH_DIGEST}"
    text = words.roster(sight.roster(group, now), monday)
    key = f"digest:{number}:{monday}"
    outbox.put(conn, coach.runner, Say(text, kind, (words.PICTURE,)), key=key, now=now, stale_at=stale, nudge=nudged)
    if group.chat:
        line = sight.overview(group, now)
        to_group(conn, coach.runner, group.chat, line, key=f"{key}/chat", now=now, kind=kind, stale=stale)


def digest_withdrawn(conn: Connection, coach: Book, now: datetime) -> Reason | None:
    """Why the digest may not leave: the coach is to be left alone, or there is no group any more."""
    if coach.runner.stopped:
        return Reason.SILENCED
    if quiet_until(coach, now) is not None:
        return Reason.QUIET
    return None if group_repository.actor(conn, coach.runner.id, owner=False).coaches else Reason.CHANGED


def clock_changed(conn: Connection, before: Book, after: Book, now: datetime) -> None:
    """A coach's clock was set: the next digest follows it."""
    if before.profile == after.profile:
        return
    coaches = group_repository.actor(conn, after.runner.id, owner=False).coaches
    at = group_repository.digest_at(conn, coaches) if coaches else None
    if at is not None and at > now:
        group_repository.set_digest(conn, coaches, sight.next_digest(after, now))


def runner_of(conn: Connection, runner_id: int) -> Runner:
    """Who has that number; LookupError where nobody has."""
    return book_repository.load(conn, runner_id).runner


def seen(conn: Connection, number: int, now: datetime) -> Group:
    """A group with its runners' books brought up to `now`; nothing of it is saved."""
    group = group_repository.load(conn, number)
    rolled = (replace(m, book=planner.roll(m.book, m.book.today(now))) for m in group.members)
    return replace(group, members=tuple(rolled))


def _desk(request: Request, who: Actor) -> Desk:
    return Desk(request.book, seen(request.conn, who.coaches, request.now))


def _carried_out(request: Request, done: Done, who: Actor) -> Answer:
    """A coach's line carried out: books saved, notes kept, letters put; what the coach's own book becomes.

    Raises PermissionError, and so undoes the line, where it would touch somebody outside the coach's group: a bug.
    """
    conn, heard = request.conn, request.heard
    touched = {
        *(book.runner.id for book in done.changed),
        *(one.to.runner.id for one in done.posts),
        done.removed,
    }
    for each in touched | {done.note[0] if done.note is not None else 0}:
        if each and not rights.may_touch(who, rights.AT_DESK, group_repository.group_of(conn, each)):
            raise PermissionError(each)
    for book in done.changed:
        if book.runner.id == done.me.runner.id:
            done = replace(done, me=replace(book, asked=done.me.asked))
            continue
        _save(conn, book, heard.now)
    if done.note is not None:
        group_repository.note(conn, done.note[0], done.me.runner.id, heard.at, done.note[1])
    if done.removed:
        take_out(conn, done.removed, heard, removed=True)
    later = 0
    for place, letter in enumerate(done.posts):
        later += notifications.send_letter(conn, letter.to, letter.say, f"{heard.key}/post{place}", heard.now)
    says = done.says
    if done.sent or not says:
        says = (Say(words.tell_done(len(done.posts), later)), *says)
    return Answer(done.me, says)


def _save(conn: Connection, after: Book, now: datetime) -> None:
    book_repository.save(conn, book_repository.load(conn, after.runner.id), after)
    due_queue.set_next(conn, after.runner.id, nudges.next_look(after, now))


def take_out(conn: Connection, runner_id: int, heard: Heard, *, removed: bool) -> None:
    """Takes a runner out of their group, and with it what the coach had set."""
    group_repository.leave(conn, runner_id, heard.now, removed=removed)
    before = book_repository.load(conn, runner_id)
    after = desk.without_coach(planner.roll(before, before.today(heard.now)), heard)
    _save(conn, after, heard.now)


def end_group(conn: Connection, group: Group, heard: Heard) -> None:
    """Takes everybody out of a group, tells them, and closes it."""
    for place, member in enumerate(group.members):
        if member.id == group.coach.id:
            continue
        take_out(conn, member.id, heard, removed=False)
        text = Say(words.group_closed(shown_name(group.coach)))
        notifications.send_letter(conn, member.book, text, f"{heard.key}/closed{place}", heard.now)
    group_repository.close(conn, group.id)
