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
from nudgebot.app.request import OnStore, Request
from nudgebot.domain.dialogue.coach import coach_desk as desk
from nudgebot.domain.dialogue.coach import coach_letters
from nudgebot.domain.dialogue.coach.coach_desk import Desk, Done
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.messages.group import team as team_words
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor
from nudgebot.domain.model.runner import Book, Runner
from nudgebot.domain.model.speech import ANSWER, Say
from nudgebot.domain.nudging import nudges
from nudgebot.domain.overview import chat_lines
from nudgebot.domain.overview.chat_lines import GroupLine
from nudgebot.domain.overview.group import Group, Member, Share
from nudgebot.domain.overview.names import labels, shown_name
from nudgebot.domain.planning import planner
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import triage
from nudgebot.storage import book_repository, coach_repository, due_queue, group_repository, outbox


def at_desk(work: Callable[[Desk, Heard, str], Done]) -> OnStore:
    """A handler for what a coach does at the desk; the caller has asked whether the writer is a coach."""

    def run(request: Request, rest: str) -> Answer:
        who = request.actor
        return _carried_out(request, work(_desk(request, who), request.heard, rest), who)

    return OnStore(run)


def answer_coach(request: Request) -> Answer | None:
    """A coach's word on what was shown first; None if the line is about something else."""
    asked = request.book.asked
    if asked is None or asked.what not in coach_letters.ASKED_AT_DESK:
        return None
    who = request.actor
    done = coach_letters.answer_at_desk(_desk(request, who), request.heard) if who.coaches else None
    return None if done is None else _carried_out(request, done, who)


def answer_about_a_runner(request: Request) -> Answer | None:
    """That runner's page, to a coach's question that names one; None for any other line.

    What a coach with a plan asks beside a name may be about their own runs: of them only "how is Ana doing" counts.
    """
    book, heard = request.book, request.heard
    if request.incoming.chat or heard.action is not None:
        return None
    asks = {Intent.STATUS} if book.weeks else {Intent.STATUS, Intent.ASK}
    if read(heard.text, book.today(heard.now)).intent not in asks or not triage(heard.text).is_silent:
        return None
    who = request.actor
    if not who.coaches:
        return None
    about = desk.named_in(_desk(request, who), heard.text)
    return at_desk(desk.show_runner).run(request, f"#{about.id}") if about is not None else None


def prepare_erasure(conn: Connection, book: Book, heard: Heard) -> None:
    """Before a person is erased: what waits for others and names them goes; a group they led is led on, or ends."""
    group_repository.forget(conn, book)
    for number in coach_repository.groups_of(conn, book.runner.id):
        step_down(conn, book, number, heard, named=False)


def step_down(conn: Connection, book: Book, number: int, heard: Heard, *, named: bool = True) -> None:
    """Somebody coaches group `number` no more. Who led it is followed by a second coach; without one the group ends.

    Not `named` is somebody who is erased: no letter that may wait says who it was.
    """
    leads = coach_repository.led_by(conn, book.runner.id) == number
    second = successor_of(conn, number)
    if leads and second is None:
        end_group(conn, group_repository.load(conn, number), heard, named=named)
        return
    coach_repository.dismiss(conn, book.runner.id, number)
    if leads and second is not None:
        coach_repository.appoint(conn, second.id, number, heard.now, None, leads=True)
        name = shown_name(second)
        tell_group(
            conn, number, words.say_leads_now(name, second=True), team_words.say_leads(name), heard, about=second
        )


def successor_of(conn: Connection, number: int) -> Runner | None:
    """Who would lead a group if its lead went: a second coach who leads no other; None if there is none."""
    seconds = (each.runner for each in coach_repository.of_group(conn, number) if not each.leads and each.ends is None)
    return next((each for each in seconds if not coach_repository.led_by(conn, each.id)), None)


def end_stand_ins(conn: Connection, now: datetime) -> None:
    """Stand-ins whose days are over look after the group no more, and are told so."""
    for coach, number in coach_repository.over(conn, now):
        lead = coach_repository.lead_of(conn, number)
        coach_repository.dismiss(conn, coach, number)
        say = Say(team_words.thank_stand_in(shown_name(lead)), about=(lead.id,))
        notifications.send_letter(conn, coach, say, f"over:{number}:{coach}:{now.date()}", now)


def tell_group(conn: Connection, number: int, to_runners: str, to_coaches: str, heard: Heard, *, about: Runner) -> None:
    """Tells the runners and coaches of a group something about `about`, a coach of theirs; it may name who leads it."""
    group = group_repository.load(conn, number)
    coaches = {each.runner.id for each in group.coaches if each.ends is None or heard.now < each.ends}
    runners = {member.id for member in group.members}
    for place, each in enumerate(sorted((coaches | runners) - {about.id})):
        say = Say(to_runners if each in runners else to_coaches, about=(about.id, group.coach.id))
        notifications.send_letter(conn, each, say, f"{heard.key}/team{place}", heard.now, until_back=True)


def tell_coaches(conn: Connection, number: int, text: str, heard: Heard, *, about: Runner) -> None:
    """Tells whoever coaches a group now something about `about`."""
    for each in coach_repository.of_group(conn, number):
        if each.works(heard.now) and each.runner.id != about.id:
            say = Say(text, about=(about.id,))
            notifications.send_letter(conn, each.runner.id, say, f"{heard.key}/coach{each.runner.id}", heard.now)


def welcome_in_group(conn: Connection, before: Book, after: Book, now: datetime) -> None:
    """Says in the group chat that somebody runs again, once a day at most, where they agreed to be named."""
    if len(after.log) <= len(before.log):
        return
    number = coach_repository.group_of(conn, after.runner.id)
    shares = group_repository.shares(conn, after.runner.id) if number else frozenset()
    if Share.NAMED not in shares:
        return
    note = chat_lines.came_back(Member(before, shares), after, now)
    group = group_repository.load(conn, number)
    if note is not None and group.chat:
        key = f"back:{after.runner.id}:{after.today(now)}"
        to_group(conn, group.coach, group.chat, note, key=key, now=now, about=(after.runner.id,))


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
    about: tuple[int, ...] = (),
) -> None:
    """Puts one of the lines that may be said in a group chat into the box; `sender` is who it follows from.

    `about` are the runners whom it names.
    """
    text = Say(words.group_line(line), kind, about=about)
    outbox.put(conn, sender, text, key=key, now=now, reply_to=reply_to, chat=chat, stale_at=stale)


def coaches_now(conn: Connection, coach_id: int, number: int, now: datetime) -> bool:
    """Whether somebody coaches group `number` at `now`."""
    return coach_repository.actor(conn, coach_id, now, owner=False, here=number).coaches == number


def view_group(conn: Connection, number: int, now: datetime, viewer: int) -> Group:
    """A group as that coach sees it, with its runners' books brought up to `now`; nothing of it is saved.

    It has a title for a coach of several.
    """
    group = group_repository.load(conn, number, viewer)
    rolled = (replace(m, book=planner.roll(m.book, m.book.today(now))) for m in group.members)
    groups = titles(conn, viewer)
    return replace(group, members=tuple(rolled), title=groups[number] if len(groups) > 1 else "")


def titles(conn: Connection, coach_id: int) -> dict[int, str]:
    """What a coach of several groups calls each, by number; their own first."""
    leads = {number: coach_repository.lead_of(conn, number) for number in coach_repository.groups_of(conn, coach_id)}
    names = labels(list(leads.values()))
    return {number: team_words.title(names[lead.id], own=lead.id == coach_id) for number, lead in leads.items()}


def _desk(request: Request, who: Actor) -> Desk:
    return Desk(request.book, view_group(request.conn, who.coaches, request.now, request.book.runner.id))


def _carried_out(request: Request, done: Done, who: Actor) -> Answer:
    """A coach's line carried out: books saved, notes kept, letters put; what the coach's own book becomes.

    Raises PermissionError, and so undoes the line, where it would touch somebody outside the coach's group: a bug.
    """
    conn, heard, me = request.conn, request.heard, done.me.runner
    touched = {
        *(book.runner.id for book in done.changed),
        *(one.to.runner.id for one in done.posts),
        done.removed,
        done.note.about if done.note is not None else 0,
    }
    for each in touched:
        if each and not rights.may_touch(who, rights.AT_DESK, coach_repository.group_of(conn, each)):
            raise PermissionError(each)
    for book in done.changed:
        if book.runner.id == me.id:
            done = replace(done, me=replace(book, asked=done.me.asked))
            continue
        _save(conn, book, heard.now)
    if done.note is not None:
        group_repository.note(conn, done.note.about, me.id, heard.at, done.note.text, done.note.place)
    if done.removed:
        take_out(conn, done.removed, heard, removed=True)
    later = 0
    for place, letter in enumerate(done.posts):
        key = f"{outbox.TOLD}{me.id}:{heard.key}/{place}" if done.sent is not None else f"{heard.key}/post{place}"
        say = replace(letter.say, about=(me.id,))
        later += notifications.send_letter(conn, letter.to, say, key, heard.now, until_back=letter.until_back)
    says = done.says
    if done.sent is not None:
        says = (Say(words.say_sent(len(done.posts), later, done.sent)), *says)
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


def end_group(conn: Connection, group: Group, heard: Heard, *, named: bool = True) -> None:
    """Takes everybody out of a group, tells them, and closes it."""
    say = Say(words.say_closed(shown_name(group.coach)), about=(group.coach.id,))
    say = say if named else Say(words.say_closed(""))
    others = {member.id: member.book for member in group.members}
    for place, (number, book) in enumerate(others.items()):
        if number == group.coach.id:
            continue
        take_out(conn, number, heard, removed=False)
        notifications.send_letter(conn, book, say, f"{heard.key}/closed{place}", heard.now, until_back=True)
    for each in group.coaches:
        if not each.leads and each.runner.id not in others:
            notifications.send_letter(conn, each.runner.id, say, f"{heard.key}/closed_for{each.runner.id}", heard.now)
    group_repository.close(conn, group.id)
