"""The one table of commands: a row has the name, who may say it and where, what handles it, its menus and its help.

Parsing, rights, `/help`, the platform's menus and the list in docs/commands.md come from it, so a new command is one
row here and one function. It lies in `app` and not in the pure core, since a row names its handler, and the handlers of
what touches several people need the store. Those that touch nobody but the writer are pure (`Alone`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Final, assert_never

from sqlalchemy import Connection

from nudgebot.app import access, calendar, coach_team, coaching, invitations, membership, ownership
from nudgebot.app.request import Alone, Handler, InGroup, Request, Together
from nudgebot.domain.dialogue import coach as desk
from nudgebot.domain.dialogue import (
    coach_letters,
    conditions,
    health,
    onboarding,
    own_commands,
    remembered,
    safety_question,
)
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.messages import coach as coach_words
from nudgebot.domain.messages import group as words
from nudgebot.domain.messages import host as host_words
from nudgebot.domain.messages import pages
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor, Refusal, Right, Where, Who, Whom
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.overview.chat_lines import GroupHelp, PrivateFirst
from nudgebot.domain.text.triage import Level, Verdict, triage
from nudgebot.storage import coach_repository, group_repository
from nudgebot.storage.group_repository import Opens


class Menu(StrEnum):
    """Where the platform shows a command behind its menu key."""

    PRIVATE = "private chats"
    GROUP = "group chats"
    ADMINISTRATOR = "group chats, for their administrators"
    MEMBER = "the private chat of a runner of a group"
    COACH = "a coach's private chat"
    LEAD = "the private chat of a coach who leads a group"
    OWNER = "the owner's private chat"


class Topic(StrEnum):
    """What commands are about: one line of `/help` each."""

    PLAN = "plan"
    CHANGES = "changes"
    OWN = "own"
    GROUP = "group"
    DESK = "desk"
    TEAM = "team"
    CHAT = "chat"
    HOUSE = "house"


@dataclass(frozen=True, slots=True)
class Use:
    """One use of a command, for the help page: what it is for, and an example of what may follow the name."""

    says: str
    example: str = ""


@dataclass(frozen=True, slots=True)
class Command:
    """One row. `help` are its uses on the help page, `menu` the line behind the menu key.

    `words` do the same without the slash, `at_once` even while a question is open. `needs_plan` is for what can only be
    told once the questions are answered. `in_group` is what it does in a group chat, where it is not simply answered in
    private.
    """

    name: str
    right: Right
    handler: Handler
    topic: Topic
    help: tuple[Use, ...]
    menu: str = ""
    menus: tuple[Menu, ...] = ()
    words: frozenset[str] = frozenset()
    at_once: bool = False
    needs_plan: bool = False
    in_group: InGroup | None = None


def help_page(request: Request, rest: str) -> Answer:
    """What can be written, and every command that the writer may use; "coach" shows a coach's to anybody."""
    if rest.casefold().startswith("coach"):
        return say(request.book, coach_page())
    return say(request.book, help_for(request.actor))


def help_for(actor: Actor) -> str:
    """The help page of somebody with these roles."""
    lines = [line for topic in Topic if (line := _help_line(topic, actor))]
    return pages.help_page([*lines, *([coach_words.HELP_LAST] if actor.coaches else [])])


_LEADING: Final = Actor(coaches=1, leads=True)


def coach_page(actor: Actor = _LEADING) -> str:
    """The commands of a coach with these roles, and what they bring."""
    lines = (_help_line(topic, actor) for topic in (Topic.DESK, Topic.TEAM, Topic.CHAT))
    return "\n".join([coach_words.HELP_FIRST, *lines, coach_words.HELP_LAST])


def _help_line(topic: Topic, actor: Actor) -> str:
    rows = [row for row in COMMANDS if row.topic is topic and any(actor.is_a(who) for who in row.right.who)]
    told = [f"{_usage(row, use)} {use.says}" for row in rows for use in row.help]
    lines = pages.in_lines(told)
    return f"In the group's chat: {lines}" if told and topic is Topic.CHAT else lines


def _usage(row: Command, use: Use) -> str:
    return f"/{row.name} {use.example}".rstrip()


_PRIVATE_FIRST: Final = InGroup(lambda _: PrivateFirst())
_EVERYWHERE: Final = (Menu.PRIVATE,)
_COACHS: Final = (Menu.COACH,)
_OWNERS: Final = (Menu.OWNER,)

COMMANDS: Final[tuple[Command, ...]] = (
    Command(
        "start", rights.OWN, Together(membership.start), Topic.OWN, (Use("the questions, or what is next"),),
        "begin, or begin again", _EVERYWHERE, in_group=_PRIVATE_FIRST,
    ),
    Command(
        "help", rights.OWN, Together(help_page), Topic.OWN, (Use("what a coach can do", "coach"),),
        "what you can say", (Menu.PRIVATE, Menu.GROUP, Menu.ADMINISTRATOR), frozenset({"help"}),
        in_group=InGroup(lambda _: GroupHelp()),
    ),
    Command(
        "week", rights.OWN, Alone(own_commands.week), Topic.PLAN, (Use("this week and the next"),),
        "this week's sessions", _EVERYWHERE, needs_plan=True,
    ),
    Command(
        "season", rights.OWN, Alone(own_commands.season), Topic.PLAN, (Use("the weeks to come"),),
        "the weeks to come", (), frozenset({"season"}), needs_plan=True,
    ),
    Command(
        "progress", rights.OWN, Alone(own_commands.progress), Topic.PLAN, (Use("the last 12 weeks"),),
        "the last 12 weeks in a picture", _EVERYWHERE, frozenset({"progress"}), needs_plan=True,
    ),
    Command(
        "pictures", rights.OWN, Alone(own_commands.pictures), Topic.OWN, (Use("on a light or a dark ground", "light"),),
    ),
    Command("why", rights.OWN, Alone(own_commands.why), Topic.PLAN, (Use("the reasons"),), needs_plan=True),
    Command("easy", rights.OWN, Alone(own_commands.easy), Topic.PLAN, (Use("how easy feels"),), needs_plan=True),
    Command(
        "undo", rights.OWN, Alone(own_commands.undo), Topic.CHANGES, (Use("take something back"),),
        "take back one of the last changes", _EVERYWHERE, needs_plan=True,
    ),
    Command(
        "away", rights.OWN, Alone(own_commands.away), Topic.CHANGES, (Use("days without running"),),
        "a pause: holidays, work, family", _EVERYWHERE, needs_plan=True,
    ),
    Command(
        "back", rights.OWN, Alone(own_commands.back), Topic.CHANGES, (Use("after a pause"),),
        "back from a pause", _EVERYWHERE,
    ),
    Command(
        "settings", rights.OWN, Alone(own_commands.settings), Topic.OWN, (Use("what I know"),),
        "what I know, and how to change it", _EVERYWHERE, frozenset({"settings"}), needs_plan=True,
    ),
    Command(
        "safety", rights.OWN, Alone(own_commands.safety_page), Topic.OWN, (Use("when to stop"),),
        "when not to run, and whom to call", _EVERYWHERE, frozenset({"safety"}),
    ),
    Command(
        "privacy", rights.OWN, Alone(own_commands.privacy), Topic.OWN, (Use("your data"),),
        "what is kept, and how to delete it", _EVERYWHERE, frozenset({"privacy"}),
    ),
    Command(
        "teach", rights.OWN, Alone(remembered.teaching), Topic.OWN,
        (Use("whether your lines may help the reading", "yes"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "export", rights.OWN_IN_PRIVATE, Together(membership.export), Topic.OWN, (Use("all I have of you"),),
        "everything that is kept of you", _EVERYWHERE,
    ),
    Command(
        "calendar", rights.OWN_IN_PRIVATE, Together(calendar.calendar), Topic.OWN,
        (Use("your sessions for it"), Use("an address that it follows", "link")),
        "your sessions for your calendar", _EVERYWHERE, frozenset({"calendar"}), needs_plan=True,
    ),
    Command(
        "erase", rights.OWN, Alone(own_commands.erase), Topic.OWN, (Use("delete all of it"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "stop", rights.OWN, Alone(own_commands.stop), Topic.OWN, (Use("I go silent"),),
        words=frozenset({"stop", "stop reminders", "stop nudging", "leave me alone", "unsubscribe"}), at_once=True,
    ),
    Command(
        "zone", rights.OWN_IN_PRIVATE, Together(membership.set_zone), Topic.OWN, (Use("sets your clock", "Lisbon"),),
    ),
    Command(
        "new_phone", rights.OWN_IN_PRIVATE, invitations.one(Opens.ACCOUNT), Topic.OWN,
        (Use("a code that brings all of it to another account"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "claim", rights.OWN_IN_PRIVATE, Together(lambda request, _: say(request.book, host_words.CLAIM_WANTED)),
        Topic.OWN, (Use("makes you the owner, with the code of nudgebot owner", "CODE"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "share", rights.AS_RUNNER, Together(membership.share), Topic.GROUP, (Use("what your coach sees"),),
        "what your coach sees", (Menu.MEMBER,),
    ),
    Command(
        "decline", rights.AS_RUNNER, Together(membership.decline), Topic.GROUP,
        (Use("what your coach set", "step"), Use("not again", "step for good")),
    ),
    Command(
        "leave", rights.AS_RUNNER, Together(membership.leave), Topic.GROUP, (Use("leave your coach's group", "group"),),
    ),
    Command(
        "roster", rights.AT_DESK, coaching.at_desk(desk.shown_roster), Topic.DESK,
        (Use("who needs a word, and why"), Use("the last 12 weeks", "picture")),
        "who needs a word first", _COACHS, frozenset({"roster"}),
    ),
    Command(
        "runner", rights.AT_DESK, coaching.at_desk(desk.shown_runner), Topic.DESK, (Use("her weeks and runs", "Ana"),),
        "one runner's weeks: write the name after it", _COACHS,
    ),
    Command(
        "note", rights.AT_DESK, coaching.at_desk(desk.note), Topic.DESK,
        (Use("a note of yours", "Ana prefers mornings"), Use("your notes, to change or delete", "Ana")),
        "a note about a runner: write name and note after it", _COACHS,
    ),
    Command(
        "set", rights.AT_DESK, coaching.at_desk(desk.change), Topic.DESK,
        (
            Use("(step, window, days, session, dose)", "Ana step 5"), Use("back again", "Ana step usual"),
        ),
        "change a runner's setting: write name, word and value after it", _COACHS,
    ),
    Command(
        "tell", rights.AT_DESK, coaching.at_desk(coach_letters.tell), Topic.DESK,
        (
            Use("shown first", "all Sunday"), Use("to some", "Ana, Ben: hi"),
            Use("by state", "silent: hi"),
        ),
        "a message to your runners, shown to you first", _COACHS,
    ),
    Command(
        "delivered", rights.AT_DESK, Together(coach_team.delivered), Topic.DESK,
        (Use("who got your last message"),), "who got your last message", _COACHS,
    ),
    Command(
        "digest", rights.AT_DESK, Together(coach_team.set_digest), Topic.DESK,
        (Use("when the week at a glance comes", "sun 18:00"),), "when your week at a glance comes", _COACHS,
    ),
    Command(
        "remove", rights.AT_DESK, coaching.at_desk(coach_letters.remove), Topic.DESK,
        (Use("takes her out of the group, after a question", "Ana"),),
    ),
    Command(
        "invite", rights.INVITING, Together(invitations.invite), Topic.DESK,
        (Use("a link for your runners or friends"), Use("a link for one", "1")),
        "a link for your runners, or for friends", (Menu.COACH, Menu.OWNER),
    ),
    Command(
        "invitations", rights.INVITING, Together(invitations.shown), Topic.DESK, (Use("what is open"),),
        "the links that still open", (Menu.COACH, Menu.OWNER),
    ),
    Command("revoke", rights.INVITING, Together(invitations.revoke), Topic.DESK, (Use("closes one of them", "3"),)),
    Command(
        "coaches", rights.INVITING, Together(coach_team.shown), Topic.TEAM, (Use("who coaches"),),
        "who coaches", (Menu.COACH, Menu.OWNER),
    ),
    Command(
        "group", rights.AT_DESK, Together(coach_team.choose), Topic.TEAM,
        (Use("another group that you look after", "Kim"),),
    ),
    Command(
        "second_coach", rights.LEADING, invitations.one(Opens.SECOND), Topic.TEAM,
        (Use("a link for somebody who coaches with you"),), "a link for a second coach", (Menu.LEAD,),
    ),
    Command(
        "stand_in", rights.LEADING, Together(invitations.stand_in), Topic.TEAM,
        (Use("a link for a stand-in", "12 jul to 26 jul"),), "a stand-in: write the days after it", (Menu.LEAD,),
    ),
    Command(
        "successor", rights.LEADING, invitations.one(Opens.SUCCESSOR), Topic.TEAM,
        (Use("a link for who leads the group in your place"),), "hand your group over", (Menu.LEAD,),
    ),
    Command(
        "dismiss", rights.INVITING, Together(coach_team.dismiss), Topic.TEAM,
        (Use("a coach who no longer is one", "Lou"), Use("yourself", "me")),
    ),
    Command("close", rights.LEADING, Together(membership.close), Topic.TEAM, (Use("ends your group", "group"),)),
    Command(
        "bind", rights.IN_THE_CHAT, InGroup(membership.bind), Topic.CHAT, (Use("makes it the group's"),),
        "make this chat the group's (coach)", (Menu.ADMINISTRATOR,),
    ),
    Command(
        "overview", rights.IN_THE_CHAT, InGroup(membership.overview), Topic.CHAT, (Use("names who agreed to it"),),
        "the week at a glance (coach)", (Menu.ADMINISTRATOR,),
    ),
    Command(
        "unbind", rights.IN_THE_CHAT, InGroup(membership.unbind), Topic.CHAT, (Use("ends it"),),
        "say nothing here any more (coach)", (Menu.ADMINISTRATOR,),
    ),
    Command(
        "coach", rights.NAMING_COACHES, Together(membership.begin_coaching), Topic.HOUSE, (Use("a group of your own"),),
        "begin a group of your own", _OWNERS,
    ),
    Command(
        "invite_coach", rights.NAMING_COACHES, invitations.one(Opens.COACH), Topic.HOUSE,
        (Use("a link for a coach"),), "a link that lets somebody begin a group", _OWNERS,
    ),
    Command(
        "retention", rights.HOSTING, Together(ownership.keep), Topic.HOUSE,
        (Use("how long things are kept", "18 months"),),
        "how long things are kept", _OWNERS,
    ),
    Command(
        "hand_over", rights.HOSTING, Together(ownership.hand_over), Topic.HOUSE,
        (Use("lets somebody else host the bot"),),
        "let somebody else host the bot", _OWNERS,
    ),
)  # fmt: skip
BY_NAME: Final[Mapping[str, Command]] = {row.name: row for row in COMMANDS}
BY_WORD: Final[Mapping[str, Command]] = {word: row for row in COMMANDS for word in row.words}
_SLASHED: Final = re.compile(r"\s*/([a-z_]{1,32})(?:@\w+)?(?:\s+(.*))?", re.IGNORECASE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Slashed:
    """A line that begins with a slash: the row of its command, None for one that is not ours, and what follows it."""

    row: Command | None
    rest: str

    @property
    def own(self) -> bool:
        """Whether what follows is about the writer, and not for or about somebody else."""
        return self.row is None or self.row.right.whom is Whom.SELF

    @property
    def signs(self) -> Verdict:
        """Warning signs in what follows: the writer's own alone."""
        return triage(self.rest) if self.own and self.rest else Verdict()

    def signs_of(self, book: Book, heard: Heard) -> Verdict:
        """The same, with what the writer told before."""
        return conditions.as_told(book, replace(heard, text=self.rest), self.signs) if self.own else Verdict()


def said(text: str) -> Slashed | None:
    """The command that a line begins with, None for a line without a slash."""
    found = _SLASHED.fullmatch(text)
    return None if found is None else Slashed(BY_NAME.get(found[1].casefold()), (found[2] or "").strip())


def said_by_word(text: str) -> Command | None:
    """The command that a whole line says without the slash; None for any other line."""
    return BY_WORD.get(text.strip(" .!?").casefold())


def opens(text: str, name: str) -> bool:
    """Whether a line says the command of that name, with its slash or by a word."""
    command = said(text)
    row = command.row if command is not None else said_by_word(text)
    return row is not None and row.name == name


def follow(request: Request, command: Slashed) -> Answer:
    """What becomes of a command: followed, refused in words, or not known."""
    book, heard = request.book, request.heard
    verdict = command.signs_of(book, heard)
    grave = verdict.level.rank >= Level.CLINICIAN.rank
    done = health.alarm(book, heard, verdict, None) if grave else _followed(request, command)
    return safety_question.asked_first(book, heard, verdict, None, done) if command.own else done


def _followed(request: Request, command: Slashed) -> Answer:
    row = command.row
    if row is None:
        if isinstance(request.book.standing, Joining):
            return before_the_plan(request)
        return safety_question.not_understood(request.book, request.heard, command.signs, None)
    if row.right != rights.OWN:
        actor = request.actor
        refused = rights.refusal(actor, row.right, in_group=bool(request.incoming.chat))
        if refused is not None:
            later = coach_team.not_yet(request) if refused is Refusal.ROLE else ""
            return say(request.book, later or refusal_words(row.right, refused, actor))
    if row.needs_plan and isinstance(request.book.standing, Joining):
        return before_the_plan(request)
    return run(row, request, command.rest)


def run(row: Command, request: Request, rest: str) -> Answer:
    """A command that the writer may say, carried out."""
    match row.handler:
        case Alone(handle):
            return handle(request.book, request.heard, rest)
        case Together(handle_together):
            return handle_together(request, rest)
        case InGroup():
            return say(request.book, words.IN_THE_GROUP)
        case _:
            assert_never(row.handler)


def alone(book: Book, heard: Heard) -> Answer | None:
    """A line that is a command which touches nobody but its writer, followed; None for any other line."""
    command = said(heard.text)
    if command is None or command.row is None or not isinstance(command.row.handler, Alone):
        return None
    verdict = command.signs_of(book, heard)
    if verdict.level.rank >= Level.CLINICIAN.rank:
        done = health.alarm(book, heard, verdict, None)
    elif command.row.needs_plan and isinstance(book.standing, Joining):
        return conditions.under_age(book, heard) if conditions.age_is_open(book) else onboarding.first_question(book)
    else:
        done = command.row.handler.run(book, heard, command.rest)
    return safety_question.asked_first(book, heard, verdict, None, done)


def before_the_plan(request: Request) -> Answer:
    """What somebody without a plan gets: the question where the intake stands, or the page of whoever needs none."""
    if conditions.age_is_open(request.book):
        return conditions.under_age(request.book, request.heard)
    return looks_after_others(request) or onboarding.first_question(request.book)


def looks_after_others(request: Request) -> Answer | None:
    """The help of a coach or owner who has not asked for a plan by /start; None for everybody else."""
    book = request.book
    if not isinstance(book.standing, Joining) or book.intake.adult is not None or book.intake.coach_runs:
        return None
    actor = request.actor
    if actor.coaches and not actor.owner:
        return say(book, coach_page(actor))
    return say(book, help_for(actor)) if actor.owner or actor.coaches else None


def refusal_words(right: Right, why: Refusal, actor: Actor) -> str:
    """Why a command is not followed, for the writer."""
    match why:
        case Refusal.PRIVATE:
            return words.IN_PRIVATE
        case Refusal.GROUP_CHAT:
            return words.IN_THE_GROUP
        case Refusal.ROLE:
            if Who.LEAD in right.who and actor.coaches:
                return words.LEAD_ONLY
            if {Who.COACH, Who.LEAD} & set(right.who):
                return words.BEGIN_A_GROUP if actor.owner else words.COACHES_ONLY
            return words.OWNER_ONLY if Who.OWNER in right.who else words.RUNNERS_ONLY
        case _:
            assert_never(why)


def menu(shown: Iterable[Menu]) -> tuple[tuple[str, str], ...]:
    """Names and lines of the commands that belong into any of these menus; those of fewer people first."""
    wanted = frozenset(shown)
    rows = [row for row in COMMANDS if wanted & set(row.menus)]
    return tuple((row.name, row.menu) for row in sorted(rows, key=lambda row: Menu.PRIVATE in row.menus))


def special_menus(conn: Connection, voice: str, named: str, now: datetime) -> dict[str, frozenset[Menu]]:
    """The menus of the users of `voice` who have more than everybody: runners of a group, coaches, and the owner."""
    found = {user: {Menu.PRIVATE, Menu.MEMBER} for user in group_repository.runners(conn, voice)}
    for user, leads in coach_repository.users(conn, voice, now).items():
        found.setdefault(user, {Menu.PRIVATE}).update({Menu.COACH, Menu.LEAD} if leads else {Menu.COACH})
    host = access.owner(conn, voice, named)
    if host:
        found.setdefault(host, {Menu.PRIVATE}).add(Menu.OWNER)
    return {user: frozenset(menus) for user, menus in found.items()}


def as_table() -> str:
    """The table of docs/commands.md."""
    roles = {
        Who.KNOWN: "everybody",
        Who.RUNNER: "runners of a group",
        Who.COACH: "coaches",
        Who.LEAD: "the leading coach",
        Who.OWNER: "the owner",
    }
    places = {Where.ANYWHERE: "anywhere", Where.PRIVATE: "in private", Where.GROUP_CHAT: "in the group's chat"}
    lines = ["| command | who | where | without the slash |", "| --- | --- | --- | --- |"]
    for row in COMMANDS:
        uses = "; ".join(f"`{_usage(row, use)}` {use.says}" for use in row.help) or f"`/{row.name}` {row.menu}"
        cells = (
            uses,
            ", ".join(roles[who] for who in row.right.who),
            places[row.right.where],
            ", ".join(sorted(row.words)),
        )
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"
