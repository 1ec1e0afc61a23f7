"""Who may do what to whom: one table. The conversation asks it before every command, typed or pressed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Final


class Who(IntEnum):
    """The role a command needs."""

    KNOWN = 0  # anybody of whom a book is kept
    RUNNER = 1  # a runner of some group
    COACH = 2  # a coach with a group
    OWNER = 3  # who hosts the bot


class Whom(StrEnum):
    """Whose affairs it touches."""

    SELF = "self"
    OWN_GROUP = "own group"  # the coach's group, and no runner outside it
    COACHES = "coaches"  # who becomes a coach
    HOUSE = "house"  # who hosts the bot, and for how long it keeps things


class Where(StrEnum):
    """Where it may be said. What is answered in private may be said in a group, unless it stands here otherwise."""

    ANYWHERE = "anywhere"
    PRIVATE = "private"
    GROUP_CHAT = "group chat"


@dataclass(frozen=True, slots=True)
class Right:
    """One row: a command, the role it needs, whose affairs it touches, where it may be said."""

    command: str
    who: Who
    whom: Whom
    where: Where = Where.ANYWHERE


@dataclass(frozen=True, slots=True)
class Actor:
    """Somebody who says something: `coaches` and `runs_in` are numbers of groups, 0 for none."""

    owner: bool = False
    coaches: int = 0
    runs_in: int = 0

    def is_a(self, who: Who) -> bool:
        """Whether the person has that role; a person can have several."""
        match who:
            case Who.KNOWN:
                return True
            case Who.RUNNER:
                return self.runs_in != 0
            case Who.COACH:
                return self.coaches != 0
            case Who.OWNER:
                return self.owner


def _rows(who: Who, whom: Whom, where: Where, *commands: str) -> tuple[Right, ...]:
    return tuple(Right(command, who, whom, where) for command in commands)


RIGHTS: Final[tuple[Right, ...]] = (
    *_rows(
        Who.KNOWN, Whom.SELF, Where.ANYWHERE,
        "start", "help", "settings", "privacy", "week", "season", "progress", "easy", "why", "safety", "undo", "away",
        "back", "stop", "erase",
    ),
    *_rows(Who.KNOWN, Whom.SELF, Where.PRIVATE, "export", "zone", "claim"),
    *_rows(Who.RUNNER, Whom.SELF, Where.PRIVATE, "share", "leave", "decline"),
    *_rows(Who.COACH, Whom.OWN_GROUP, Where.PRIVATE, "roster", "runner", "note", "set", "tell", "remove"),
    *_rows(Who.COACH, Whom.OWN_GROUP, Where.PRIVATE, "invite", "invitations", "revoke", "close"),
    *_rows(Who.COACH, Whom.OWN_GROUP, Where.GROUP_CHAT, "bind", "unbind", "overview"),
    *_rows(Who.OWNER, Whom.COACHES, Where.PRIVATE, "coach", "invite_coach"),
    *_rows(Who.OWNER, Whom.HOUSE, Where.PRIVATE, "hand_over", "retention"),
)  # fmt: skip
BY_COMMAND: Final[Mapping[str, Right]] = {right.command: right for right in RIGHTS}


class Refusal(StrEnum):
    """Why a command is not followed."""

    ROLE = "role"
    PRIVATE = "private"  # it is only followed in private
    GROUP_CHAT = "group chat"  # it is only followed in a group chat


def refusal(actor: Actor, command: str, *, in_group: bool) -> Refusal | None:
    """Why `actor` may not say `command` there, None where they may. A word without a row touches its writer alone."""
    right = BY_COMMAND.get(command)
    if right is None:
        return None
    if not actor.is_a(right.who):
        return Refusal.ROLE
    if right.where is Where.PRIVATE and in_group:
        return Refusal.PRIVATE
    if right.where is Where.GROUP_CHAT and not in_group:
        return Refusal.GROUP_CHAT
    return None


def may_touch(actor: Actor, command: str, runs_in: int) -> bool:
    """Whether `actor`, who may say `command`, may touch somebody who runs in group `runs_in` (0 for none) with it."""
    right = BY_COMMAND.get(command)
    return right is not None and right.whom is Whom.OWN_GROUP and runs_in != 0 and runs_in == actor.coaches
