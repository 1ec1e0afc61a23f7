"""Who may do what to whom: the roles, and the question whether somebody with some of them may.

Which right a command needs stands in its row of `app.commands`, the one table of commands. It is asked before every
command, typed or pressed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum


class Who(IntEnum):
    """The role a command needs."""

    KNOWN = 0  # anybody of whom a book is kept
    RUNNER = 1  # a runner of some group
    COACH = 2  # a coach with a group
    OWNER = 3  # who hosts the bot
    LEAD = 4  # the coach who leads a group; a second coach and a stand-in look after its runners


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
    """The roles of which a command needs one, whose affairs it touches, where it may be said."""

    who: tuple[Who, ...]
    whom: Whom
    where: Where


OWN = Right((Who.KNOWN,), Whom.SELF, Where.ANYWHERE)
OWN_IN_PRIVATE = Right((Who.KNOWN,), Whom.SELF, Where.PRIVATE)
RUNS_IN_A_GROUP = Right((Who.RUNNER,), Whom.SELF, Where.PRIVATE)
AT_DESK = Right((Who.COACH,), Whom.OWN_GROUP, Where.PRIVATE)
INVITING = Right((Who.COACH, Who.OWNER), Whom.OWN_GROUP, Where.PRIVATE)
LEADING = Right((Who.LEAD,), Whom.OWN_GROUP, Where.PRIVATE)
IN_THE_CHAT = Right((Who.COACH,), Whom.OWN_GROUP, Where.GROUP_CHAT)
NAMING_COACHES = Right((Who.OWNER,), Whom.COACHES, Where.PRIVATE)
HOSTING = Right((Who.OWNER,), Whom.HOUSE, Where.PRIVATE)


@dataclass(frozen=True, slots=True)
class Actor:
    """Somebody who says something: `coaches` and `runs_in` are numbers of groups, 0 for none.

    `leads` is whether the group that they coach is theirs to hand over and to close.
    """

    owner: bool = False
    coaches: int = 0
    runs_in: int = 0
    leads: bool = False

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
            case Who.LEAD:
                return self.leads


class Refusal(StrEnum):
    """Why a command is not followed."""

    ROLE = "role"
    PRIVATE = "private"  # it is only followed in private
    GROUP_CHAT = "group chat"  # it is only followed in a group chat


def refusal(actor: Actor, right: Right, *, in_group: bool) -> Refusal | None:
    """Why `actor` may not do there what needs `right`, None if they may."""
    if not any(actor.is_a(who) for who in right.who):
        return Refusal.ROLE
    if right.where is Where.PRIVATE and in_group:
        return Refusal.PRIVATE
    if right.where is Where.GROUP_CHAT and not in_group:
        return Refusal.GROUP_CHAT
    return None


def may_touch(actor: Actor, right: Right, runs_in: int) -> bool:
    """Whether `actor`, who may do what needs `right`, may touch somebody who runs in group `runs_in` (0 for none)."""
    return right.whom is Whom.OWN_GROUP and runs_in != 0 and runs_in == actor.coaches
