"""Several people at once: the lines that touch more than the writer's own book, and the coach's Monday digest.

Everything happens in the caller's transaction. Who may do what is `rights`' to say, what a coach may see is
`group`'s; what goes to a group chat goes through `to_group`, which takes its closed set of lines and no text.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access, notifications, ownership
from nudgebot.app.access import Codes, Tried
from nudgebot.domain.dialogue import coach as coaching
from nudgebot.domain.dialogue import onboarding
from nudgebot.domain.dialogue.answer import STOP, Answer, Heard, answer, command_in
from nudgebot.domain.dialogue.coach import Desk, Done
from nudgebot.domain.dialogue.values import say
from nudgebot.domain.messages import coach as pages
from nudgebot.domain.messages import group as words
from nudgebot.domain.messages import host as host_words
from nudgebot.domain.messages.pages import EXPORTED
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor, Refusal
from nudgebot.domain.model.runner import Ask, Book, Joining, Nudged, NudgeKind, Outcome, Runner
from nudgebot.domain.model.speech import ANSWER, NUDGE, Button, File, Incoming, Say
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.domain.nudging.times import quiet_until, stale_at
from nudgebot.domain.overview import group as sight
from nudgebot.domain.overview.group import Group, GroupLine, Member, Share, shown_name
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.triage import Level, Verdict, triage
from nudgebot.storage import book_repository, due_queue, group_repository, outbox

MOST_USES: Final = 100
NUMBER: Final = re.compile(r"[0-9]{1,9}")
ABOUT_OTHERS: Final = frozenset({"note", "tell", "runner", "set", "remove", "roster"})  # commands about somebody else
COACH_RUNS: Final = "coach_runs"  # kept beside the answers: a coach wants a plan too, and is asked the questions


def acted(conn: Connection, book: Book, heard: Heard, incoming: Incoming, *, named: str, codes: Codes) -> Answer | None:
    """What becomes of a command, or of a coach's word on a message; None where the line is the writer's own affair.

    `book` is the writer's, brought up to today; the caller saves what comes back. `named` is who hosts the bot by its
    settings, "" for nobody.
    """
    command, rest = command_in(heard.text)
    if command and says_a_sign(command, rest):
        return None  # the sign is answered before the command
    asked = book.asked is not None and book.asked.what is Ask.TELL
    unasked = isinstance(book.standing, Joining) and "adult" not in book.answers
    if not (command or asked or unasked):
        return None
    owner = ownership.owner(conn, book.runner.voice, named)
    who = group_repository.actor(conn, book.runner.id, owner=access.is_owner(book, incoming, owner))
    if not command:
        if not who.coaches:
            return None
        if not asked:
            return _coach_alone(book, heard)
        return _carried_out(conn, coaching.told(_desk(conn, book, who, heard.now), heard), heard, who, "tell")
    refused = rights.refusal(who, command, in_group=bool(incoming.chat))
    if refused is not None:
        return say(book, _refused(command, refused))
    match command:
        case "start" if unasked and who.coaches:
            return answer(replace(book, answers={**book.answers, COACH_RUNS: "yes"}), heard)
        case "share":
            return _share(conn, book, rest)
        case "leave":
            return _leave(conn, book, heard, who)
        case "decline":
            return _decline(conn, book, heard, who, rest)
        case "zone":
            return _zone(book, heard, rest)
        case "export":
            return Answer(book, (Say(EXPORTED, file=File.EXPORT),))
        case "help" if rest.casefold().startswith("coach"):
            return say(book, pages.COACH_HELP)
        case "claim":
            return say(book, host_words.CLAIM_WANTED)
        case "hand_over":
            return ownership.hand_over(conn, book, heard, incoming, named, codes)
        case "retention":
            return ownership.keep(conn, book, rest)
        case "coach":
            return _begins_coaching(conn, book, heard.now)
        case "invite" | "invite_coach":
            group = who.coaches if command == "invite" else 0
            return _invite(conn, book, heard, incoming, group, rest, codes)
        case "invitations":
            return _invitations(conn, book, heard.now)
        case "revoke":
            gone = NUMBER.fullmatch(rest) is not None and group_repository.revoke(conn, int(rest), book.runner.id)
            return say(book, words.REVOKED if gone else words.NO_INVITATIONS)
        case "close":
            return _close(conn, book, heard, who, rest)
        case _ if who.coaches:
            desk = _desk(conn, book, who, heard.now)
            return _carried_out(conn, coaching.commanded(desk, heard, command, rest), heard, who, command)
        case _:
            return None


def says_a_sign(command: str, rest: str) -> bool:
    """Whether the words after a command tell a warning sign; what a coach writes about or to others does not count."""
    return command not in ABOUT_OTHERS and triage(rest).level.rank >= Level.CLINICIAN.rank


def _coach_alone(book: Book, heard: Heard) -> Answer | None:
    """A line of a coach who has no plan here: the coach's page, until `/start` asks for one."""
    if book.asked is not None or heard.text.strip().casefold() in STOP or triage(heard.text) != Verdict():
        return None
    if COACH_RUNS not in book.answers:
        return say(book, pages.COACH_HELP) if heard.about is None else None
    if read_yes_no(heard.text) is not False:
        return None
    # To anybody else a no to the first question means that nothing is kept; a coach has a group to keep.
    answers = {key: value for key, value in book.answers.items() if key != COACH_RUNS}
    return say(replace(book, answers=answers), words.NO_PLAN)


def by_code(conn: Connection, book: Book, heard: Heard, tried: Tried, *, named: str) -> Answer:
    """Somebody said a code, or tried to: into a group, host of the bot, or a word on why not; then as after /start."""
    if tried.hosts:
        return ownership.claimed(conn, book, heard, named)
    if heard.text.lstrip().startswith("/claim") and not tried.opens:
        return say(book, words.TOO_MANY_CODES if tried.too_often else host_words.CLAIM_NOTHING)
    started = answer(book, replace(heard, text="/start"))
    invitation = tried.invitation
    if invitation is None:
        return _before(started, words.TOO_MANY_CODES if tried.too_often else words.NOT_A_CODE)
    if invitation.group == 0:
        group_repository.use(conn, invitation)
        return _begins_coaching(conn, book, heard.now)
    current = group_repository.group_of(conn, book.runner.id)
    if current == invitation.group:
        return _before(started, words.ALREADY_IN)
    if current:
        return say(book, words.moving(shown_name(group_repository.coach_of(conn, current))), Button("Leave", "/leave"))
    removed = group_repository.removed_at(conn, book.runner.id, invitation.group)
    if removed is not None and removed >= invitation.made_at:
        return _before(started, words.REMOVED_BEFORE)
    group_repository.use(conn, invitation)
    group_repository.join(conn, book.runner.id, invitation.group, heard.now)
    coach = group_repository.coach_of(conn, invitation.group)
    if coach.id != book.runner.id:
        notifications.send_letter(
            conn,
            book_repository.load(conn, coach.id),
            Say(words.has_joined(shown_name(book.runner))),
            f"{heard.key}/coach",
            heard.now,
        )
    return _before(started, words.welcome(shown_name(coach)))


def farewell(conn: Connection, book: Book, heard: Heard) -> None:
    """Before a person is erased: what waits for others and names them goes, and a coach's runners are told."""
    coaches = group_repository.actor(conn, book.runner.id, owner=False).coaches
    group_repository.forget(conn, book, coaches, (book.runner.name, shown_name(book.runner)))
    if coaches:
        _end_group(conn, group_repository.load(conn, coaches), heard)


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


def digest_still_true(conn: Connection, coach: Book, now: datetime) -> bool:
    """Whether the digest may leave: there is still a group, and the coach is not to be left alone."""
    if coach.runner.stopped or quiet_until(coach, now) is not None:
        return False
    return group_repository.actor(conn, coach.runner.id, owner=False).coaches != 0


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


def _desk(conn: Connection, book: Book, who: Actor, now: datetime) -> Desk:
    return Desk(book, seen(conn, who.coaches, now))


def _carried_out(conn: Connection, done: Done | None, heard: Heard, who: Actor, command: str) -> Answer | None:
    """A coach's line carried out: books saved, notes kept, letters put; what the coach's own book becomes.

    Raises PermissionError, and so undoes the line, where it would touch somebody outside the coach's group: a bug.
    """
    if done is None:
        return None
    touched = {
        *(book.runner.id for book in done.changed),
        *(one.to.runner.id for one in done.posts),
        done.removed,
    }
    for each in touched | {done.note[0] if done.note is not None else 0}:
        if each and not rights.may_touch(who, command, group_repository.group_of(conn, each)):
            raise PermissionError(command, each)
    for book in done.changed:
        if book.runner.id == done.me.runner.id:
            done = replace(done, me=replace(book, asked=done.me.asked))
            continue
        _save(conn, book, heard.now)
    if done.note is not None:
        group_repository.note(conn, done.note[0], done.me.runner.id, heard.at, done.note[1])
    if done.removed:
        _out(conn, done.removed, heard, removed=True)
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


def _out(conn: Connection, runner_id: int, heard: Heard, *, removed: bool) -> None:
    """Takes a runner out of their group, and with it what the coach had set."""
    group_repository.leave(conn, runner_id, heard.now, removed=removed)
    before = book_repository.load(conn, runner_id)
    after = coaching.without_coach(planner.roll(before, before.today(heard.now)), heard)
    _save(conn, after, heard.now)


def _begins_coaching(conn: Connection, book: Book, now: datetime) -> Answer:
    new = not group_repository.actor(conn, book.runner.id, owner=False).coaches
    group_repository.found(conn, book.runner, now, sight.next_digest(book, now))
    return say(book, words.coaching(new=new))


def _invite(
    conn: Connection, book: Book, heard: Heard, incoming: Incoming, group: int, rest: str, codes: Codes
) -> Answer:
    asked = int(rest) if NUMBER.fullmatch(rest) else 0
    uses = 1 if group == 0 else min(asked, MOST_USES) or access.USES
    code, until = access.new_code(codes), heard.now + access.LASTS
    number = group_repository.invite(conn, code, book.runner.id, group, now=heard.now, until=until, uses=uses)
    return say(book, words.invitation(code, incoming.door, uses, until, number, coach=group == 0))


def _invitations(conn: Connection, book: Book, now: datetime) -> Answer:
    open_ones = group_repository.open_invitations(conn, book.runner.id, now)
    rows = [(each.id, each.uses_left, each.until, each.group == 0) for each in open_ones]
    return say(book, words.invitations(rows) if rows else words.NO_INVITATIONS)


def _share(conn: Connection, book: Book, rest: str) -> Answer:
    kind, _, word = rest.casefold().strip().rpartition(" ")
    wanted = next((share for share in Share if share.value == kind.strip()), None)
    if wanted is not None and word in {"on", "off"}:
        group_repository.share(conn, book.runner.id, wanted, on=word == "on")
    elif rest:
        return say(book, words.SHARE_WANTED)
    shares = group_repository.shares(conn, book.runner.id)
    return say(book, words.shown_shares(shares), *words.share_buttons(shares))


def _leave(conn: Connection, book: Book, heard: Heard, who: Actor) -> Answer:
    coach = group_repository.coach_of(conn, who.runs_in)
    group_repository.leave(conn, book.runner.id, heard.now, removed=False)
    if coach.id != book.runner.id:
        text = Say(words.has_left(shown_name(book.runner)))
        notifications.send_letter(conn, book_repository.load(conn, coach.id), text, f"{heard.key}/coach", heard.now)
    return say(coaching.without_coach(book, heard), words.LEFT)


def _decline(conn: Connection, book: Book, heard: Heard, who: Actor, rest: str) -> Answer:
    taken = coaching.decline(book, heard, rest)
    if taken is None:
        return say(book, pages.NOTHING_TO_DECLINE)
    after, row = taken
    coach = group_repository.coach_of(conn, who.runs_in)
    if coach.id != book.runner.id:
        text = Say(pages.declined(shown_name(book.runner), row))
        notifications.send_letter(conn, book_repository.load(conn, coach.id), text, f"{heard.key}/coach", heard.now)
    return say(after, pages.has_declined(row))


def _zone(book: Book, heard: Heard, rest: str) -> Answer:
    """The clock of somebody who answers no questions; for a runner it is a setting like any other."""
    if not isinstance(book.standing, Joining):
        return onboarding.setting_asked(book, heard, "zone", rest)
    zone = intake.read_answer("zone", rest, book.answers) if rest else None
    if zone is None:
        return say(book, words.ZONE_WANTED)
    answers = {**book.answers, "zone": zone}
    return say(replace(book, answers=answers, profile=intake.profile(answers)), f"Time zone: {zone}.")


def _close(conn: Connection, book: Book, heard: Heard, who: Actor, rest: str) -> Answer:
    if rest.casefold() != "group":
        return say(book, words.CLOSE_ASK)
    _end_group(conn, group_repository.load(conn, who.coaches), heard)
    return say(book, words.CLOSED)


def _end_group(conn: Connection, group: Group, heard: Heard) -> None:
    for place, member in enumerate(group.members):
        if member.id == group.coach.id:
            continue
        _out(conn, member.id, heard, removed=False)
        text = Say(words.group_closed(shown_name(group.coach)))
        notifications.send_letter(conn, member.book, text, f"{heard.key}/closed{place}", heard.now)
    group_repository.close(conn, group.id)


def _refused(command: str, why: Refusal) -> str:
    if why is Refusal.PRIVATE:
        return words.IN_PRIVATE
    if why is Refusal.GROUP_CHAT:
        return words.IN_THE_GROUP
    who = rights.BY_COMMAND[command].who
    return {rights.Who.OWNER: words.OWNER_ONLY, rights.Who.RUNNER: words.RUNNERS_ONLY}.get(who, words.COACHES_ONLY)


def _before(said: Answer, *texts: str) -> Answer:
    return replace(said, says=(*(Say(text) for text in texts), *said.says))
