"""The one table of commands: a row has the name, who may say it and where, what handles it, its menus and its help.

Parsing, rights, `/help`, the platform's menus and the list in docs/commands.md come from it, so a new command is one
row here and one function. It lies in `app` and not in the pure core, since a row names its handler, and the handlers of
what touches several people need the store. Those that touch nobody but the writer are pure (`OnBook`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access, calendar, coach_team, coaching, digest, invitations, membership, ownership
from nudgebot.app.request import Command, InGroup, Menu, OnBook, OnStore, Request, Topic, Use
from nudgebot.domain.dialogue import own_commands, remembered_readings
from nudgebot.domain.dialogue.coach import coach_desk as desk
from nudgebot.domain.dialogue.coach import coach_letters
from nudgebot.domain.dialogue.undo import taking_back
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.dialogue.week import queries
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.group import coach as coach_words
from nudgebot.domain.messages.group import host as host_words
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor
from nudgebot.domain.model.runner import Book
from nudgebot.domain.overview.chat_lines import FixedLine
from nudgebot.storage import coach_repository, group_repository
from nudgebot.storage.invitation_repository import Opens


def help_page(request: Request, rest: str) -> Answer:
    """What can be written, and every command that the writer may use; "coach" shows a coach's to anybody."""
    if rest.casefold().startswith("coach"):
        lines = [_help_line(topic, _LEADING) for topic in (Topic.DESK, Topic.TEAM, Topic.CHAT)]
        return say(request.book, "\n".join([coach_words.HELP_FIRST, *lines, coach_words.HELP_LAST]))
    actor = request.actor
    lines = [line for topic in Topic if (line := _help_line(topic, actor))]
    return say(request.book, small_talk.help_page([*lines, *([coach_words.HELP_LAST] if actor.coaches else [])]))


_LEADING: Final = Actor(coaches=1, leads=True)


def _help_line(topic: Topic, actor: Actor) -> str:
    rows = [row for row in COMMANDS if row.topic is topic and any(actor.is_a(who) for who in row.right.who)]
    told = [f"{row.usage(use)} {use.says}" for row in rows for use in row.help]
    lines = small_talk.in_lines(told)
    return f"In the group's chat: {lines}" if told and topic is Topic.CHAT else lines


def _shown(page: Callable[[Book, Heard], Answer]) -> OnBook:
    """A command that shows a page, whatever follows its name."""
    return OnBook(lambda book, heard, _: page(book, heard))


_PRIVATE_FIRST: Final = InGroup(lambda _: FixedLine.PRIVATE_FIRST)
_EVERYWHERE: Final = (Menu.PRIVATE,)
_COACHS: Final = (Menu.COACH,)
_OWNERS: Final = (Menu.OWNER,)

COMMANDS: Final[tuple[Command, ...]] = (
    Command(
        "start", rights.OWN, OnStore(membership.start), Topic.OWN, (Use("the questions, or what is next"),),
        "begin, or begin again", _EVERYWHERE, in_group=_PRIVATE_FIRST,
    ),
    Command(
        "help", rights.OWN, OnStore(help_page), Topic.OWN, (Use("what a coach can do", "coach"),),
        "what you can say", (Menu.PRIVATE, Menu.GROUP, Menu.ADMINISTRATOR), frozenset({"help"}),
        in_group=InGroup(lambda _: FixedLine.GROUP_HELP),
    ),
    Command(
        "week", rights.OWN, _shown(queries.show_week), Topic.PLAN, (Use("this week and the next"),),
        "this week's sessions", _EVERYWHERE, needs_plan=True,
    ),
    Command(
        "season", rights.OWN, _shown(queries.show_season), Topic.PLAN, (Use("the weeks to come"),),
        "the weeks to come", (), frozenset({"season"}), needs_plan=True,
    ),
    Command(
        "progress", rights.OWN, _shown(queries.show_progress), Topic.PLAN, (Use("the last 12 weeks"),),
        "the last 12 weeks in a picture", _EVERYWHERE, frozenset({"progress"}), needs_plan=True,
    ),
    Command(
        "pictures", rights.OWN, OnBook(own_commands.pictures), Topic.OWN,
        (Use("on a light or a dark ground", "light"),),
    ),
    Command("why", rights.OWN, _shown(queries.show_why), Topic.PLAN, (Use("the reasons"),), needs_plan=True),
    Command("easy", rights.OWN, _shown(queries.show_easy), Topic.PLAN, (Use("how easy feels"),), needs_plan=True),
    Command(
        "undo", rights.OWN, _shown(taking_back.list_changes), Topic.CHANGES, (Use("take something back"),),
        "take back one of the last changes", _EVERYWHERE, needs_plan=True,
    ),
    Command(
        "away", rights.OWN, OnBook(own_commands.away), Topic.CHANGES, (Use("days without running"),),
        "a pause: holidays, work, family", _EVERYWHERE, needs_plan=True,
    ),
    Command(
        "back", rights.OWN, OnBook(own_commands.back), Topic.CHANGES, (Use("after a pause"),),
        "back from a pause", _EVERYWHERE,
    ),
    Command(
        "settings", rights.OWN, OnBook(own_commands.settings), Topic.OWN, (Use("what I know"),),
        "what I know, and how to change it", _EVERYWHERE, frozenset({"settings"}), needs_plan=True,
    ),
    Command(
        "safety", rights.OWN, OnBook(own_commands.safety_page), Topic.OWN, (Use("when to stop"),),
        "when not to run, and whom to call", _EVERYWHERE, frozenset({"safety"}),
    ),
    Command(
        "privacy", rights.OWN, OnBook(own_commands.privacy), Topic.OWN, (Use("your data"),),
        "what is kept, and how to delete it", _EVERYWHERE, frozenset({"privacy"}),
    ),
    Command(
        "teach", rights.OWN, OnBook(remembered_readings.set_teaching), Topic.OWN,
        (Use("whether your lines may help the reading", "yes"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "export", rights.OWN_IN_PRIVATE, OnStore(membership.export), Topic.OWN, (Use("all I have of you"),),
        "everything that is kept of you", _EVERYWHERE,
    ),
    Command(
        "calendar", rights.OWN_IN_PRIVATE, OnStore(calendar.calendar), Topic.OWN,
        (Use("your sessions for it"), Use("an address that it follows", "link")),
        "your sessions for your calendar", _EVERYWHERE, frozenset({"calendar"}), needs_plan=True,
    ),
    Command(
        "erase", rights.OWN, OnBook(own_commands.erase), Topic.OWN, (Use("delete all of it"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "stop", rights.OWN, OnBook(own_commands.stop), Topic.OWN, (Use("I go silent"),),
        words=frozenset({"stop", "stop reminders", "stop nudging", "leave me alone", "unsubscribe"}), at_once=True,
    ),
    Command(
        "zone", rights.OWN_IN_PRIVATE, OnStore(membership.set_zone), Topic.OWN, (Use("sets your clock", "Lisbon"),),
    ),
    Command(
        "new_phone", rights.OWN_IN_PRIVATE, invitations.invite_one(Opens.ACCOUNT), Topic.OWN,
        (Use("a code that brings all of it to another account"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "claim", rights.OWN_IN_PRIVATE, OnStore(lambda request, _: say(request.book, host_words.CLAIM_WANTED)),
        Topic.OWN, (Use("makes you the owner, with the code of nudgebot owner", "CODE"),), in_group=_PRIVATE_FIRST,
    ),
    Command(
        "share", rights.RUNS_IN_A_GROUP, OnStore(membership.share), Topic.GROUP, (Use("what your coach sees"),),
        "what your coach sees", (Menu.MEMBER,),
    ),
    Command(
        "decline", rights.RUNS_IN_A_GROUP, OnStore(membership.decline), Topic.GROUP,
        (Use("what your coach set", "step"), Use("not again", "step for good")),
    ),
    Command(
        "leave", rights.RUNS_IN_A_GROUP, OnStore(membership.leave), Topic.GROUP,
        (Use("leave your coach's group", "group"),),
    ),
    Command(
        "roster", rights.AT_DESK, coaching.at_desk(desk.show_roster), Topic.DESK,
        (Use("who needs a word"), Use("the last 12 weeks", "picture")),
        "who needs a word first", _COACHS,
        frozenset({"roster", "who needs a word"}),
    ),
    Command(
        "runner", rights.AT_DESK, coaching.at_desk(desk.show_runner), Topic.DESK, (Use("her weeks and runs", "Ana"),),
        "one runner's weeks: write the name after it", _COACHS,
    ),
    Command(
        "note", rights.AT_DESK, coaching.at_desk(desk.write_note), Topic.DESK,
        (Use("a note of yours", "Ana prefers mornings"), Use("your notes, to change or delete", "Ana")),
        "a note about a runner: write name and note after it", _COACHS,
    ),
    Command(
        "set", rights.AT_DESK, coaching.at_desk(desk.change_setting), Topic.DESK,
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
        "delivered", rights.AT_DESK, OnStore(coach_team.show_delivered), Topic.DESK,
        (Use("who got your last message"),), "who got your last message", _COACHS,
    ),
    Command(
        "digest", rights.AT_DESK, OnStore(digest.set_digest), Topic.DESK,
        (Use("when the week at a glance comes", "sun 18:00"),), "when your week at a glance comes", _COACHS,
    ),
    Command(
        "remove", rights.AT_DESK, coaching.at_desk(coach_letters.remove), Topic.DESK,
        (Use("takes her out of the group, after a question", "Ana"),),
    ),
    Command(
        "invite", rights.INVITING, OnStore(invitations.invite), Topic.DESK,
        (Use("a link for your runners or friends"), Use("a link for one", "1")),
        "a link for your runners, or for friends", (Menu.COACH, Menu.OWNER),
    ),
    Command(
        "invitations", rights.INVITING, OnStore(invitations.list_invitations), Topic.DESK, (Use("what is open"),),
        "the links that still open", (Menu.COACH, Menu.OWNER),
    ),
    Command("revoke", rights.INVITING, OnStore(invitations.revoke), Topic.DESK, (Use("closes one of them", "3"),)),
    Command(
        "coaches", rights.INVITING, OnStore(coach_team.list_coaches), Topic.TEAM, (Use("who coaches"),),
        "who coaches", (Menu.COACH, Menu.OWNER),
    ),
    Command(
        "group", rights.AT_DESK, OnStore(coach_team.choose), Topic.TEAM,
        (Use("another group that you look after", "Kim"),),
    ),
    Command(
        "second_coach", rights.LEADING, invitations.invite_one(Opens.SECOND), Topic.TEAM,
        (Use("a link for somebody who coaches with you"),), "a link for a second coach", (Menu.LEAD,),
    ),
    Command(
        "stand_in", rights.LEADING, OnStore(invitations.stand_in), Topic.TEAM,
        (Use("a link for a stand-in", "12 jul to 26 jul"),), "a stand-in: write the days after it", (Menu.LEAD,),
    ),
    Command(
        "successor", rights.LEADING, invitations.invite_one(Opens.SUCCESSOR), Topic.TEAM,
        (Use("a link for who leads the group in your place"),), "hand your group over", (Menu.LEAD,),
    ),
    Command(
        "dismiss", rights.INVITING, OnStore(coach_team.dismiss), Topic.TEAM,
        (Use("a coach who no longer is one", "Lou"), Use("yourself", "me")),
    ),
    Command("close", rights.LEADING, OnStore(membership.close), Topic.TEAM, (Use("ends your group", "group"),)),
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
        "coach", rights.NAMING_COACHES, OnStore(membership.begin_coaching), Topic.HOUSE, (Use("a group of your own"),),
        "begin a group of your own", _OWNERS,
    ),
    Command(
        "invite_coach", rights.NAMING_COACHES, invitations.invite_one(Opens.COACH), Topic.HOUSE,
        (Use("a link for a coach"),), "a link that lets somebody begin a group", _OWNERS,
    ),
    Command(
        "retention", rights.HOSTING, OnStore(ownership.set_retention), Topic.HOUSE,
        (Use("how long things are kept", "18 months"),),
        "how long things are kept", _OWNERS,
    ),
    Command(
        "hand_over", rights.HOSTING, OnStore(ownership.hand_over), Topic.HOUSE,
        (Use("lets somebody else host the bot"),),
        "let somebody else host the bot", _OWNERS,
    ),
)  # fmt: skip
BY_NAME: Final[Mapping[str, Command]] = {row.name: row for row in COMMANDS}
BY_WORD: Final[Mapping[str, Command]] = {word: row for row in COMMANDS for word in row.words}


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
