"""What a row of the table of commands holds, and what its handler is given: a line or press with all it may need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import Connection

from nudgebot.app import access
from nudgebot.app.access import Host
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.model.rights import Actor, Right
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import Incoming
from nudgebot.domain.overview.chat_lines import GroupLine
from nudgebot.storage import coach_repository, group_repository


@dataclass(frozen=True, slots=True)
class Request:
    """One line or press of somebody known, in the caller's transaction.

    `book` is the writer's, brought up to today; who handles the request gives it back changed and saves nothing of it.
    """

    conn: Connection
    book: Book
    heard: Heard
    incoming: Incoming
    host: Host

    @property
    def now(self) -> datetime:
        """When it is read."""
        return self.heard.now

    @property
    def actor(self) -> Actor:
        """The writer's roles, as the store has them now."""
        host = access.owner(self.conn, self.book.runner.voice, self.host.named)
        hosts = access.is_owner(self.book, self.incoming, host)
        chat, voice = self.incoming.chat, self.incoming.voice
        here = group_repository.bound_to(self.conn, voice, chat) if chat else 0
        return coach_repository.actor(self.conn, self.book.runner.id, self.now, owner=hosts, here=here)


@dataclass(frozen=True, slots=True)
class OnBook:
    """A handler that touches nobody but the writer, and nothing but their book."""

    run: Callable[[Book, Heard, str], Answer]


@dataclass(frozen=True, slots=True)
class OnStore:
    """A handler that touches more than the writer's book, or has to know who they are; `rest` follows the command."""

    run: Callable[[Request, str], Answer]


@dataclass(frozen=True, slots=True)
class InGroup:
    """A handler of what is said in a group chat: it gives the line that the group sees."""

    run: Callable[[Request], GroupLine]


Handler = OnBook | OnStore | InGroup


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

    def usage(self, use: Use) -> str:
        """How one of its uses is written."""
        return f"/{self.name} {use.example}".rstrip()
