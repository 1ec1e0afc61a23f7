"""What a row of the table of commands holds: name, right, handler, help, and the menus that show it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nudgebot.app.request import Handler, InGroup
from nudgebot.domain.model.rights import Right


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
