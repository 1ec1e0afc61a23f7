"""What may be said in a group chat: these lines and no others; none has room for more.

A country is all that a safety line takes along.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import Enum, auto
from typing import Final, TypeAlias

from nudgebot.domain.model.parameters import WELCOMED_AFTER
from nudgebot.domain.model.runner import Book
from nudgebot.domain.overview.group import Group, Member, Share, State, roster, sight

IN_STEP: Final = frozenset({State.MORE, State.BACK, State.IN_RHYTHM})  # who is in rhythm


class FixedLine(Enum):
    """A line that is the same whoever reads it."""

    WRITTEN_TO_YOU = auto()  # the answer is in private
    PRIVATE_FIRST = auto()  # to somebody we do not know, or who wants what is only done in private
    BOUND_ELSEWHERE = auto()  # the chat belongs to another coach's group
    NOT_BOUND = auto()  # the chat is not the coach's group's
    COACHES_ONLY = auto()  # asked by somebody who may not
    GROUP_HELP = auto()  # what I do in a group


@dataclass(frozen=True, slots=True)
class NotReached:
    """The answer could not be delivered in private."""

    grave: bool


@dataclass(frozen=True, slots=True)
class StopAndCall:
    """The first line of an emergency answer, naming no sign."""

    country: str
    language: str
    other: bool  # it is about somebody beside the writer
    written: bool  # the full answer is in private


@dataclass(frozen=True, slots=True)
class Bound:
    """The chat belongs to the group from now on, or no longer."""

    now: bool


@dataclass(frozen=True, slots=True)
class Overview:
    """The week's overview: the names of runners in rhythm who agreed to be named, and how many runners there are."""

    names: tuple[str, ...]
    runners: int


@dataclass(frozen=True, slots=True)
class CameBack:
    """Somebody who agreed to be named runs again."""

    name: str


GroupLine: TypeAlias = FixedLine | NotReached | StopAndCall | Bound | Overview | CameBack


def overview(group: Group, now: datetime) -> Overview:
    """Who is in rhythm and agreed to be named, by name: the others are not told from who pauses."""
    seen = [each for each in roster(group, now) if each.state in IN_STEP and Share.NAMED in each.member.shares]
    return Overview(tuple(sorted((each.member.name for each in seen), key=str.casefold)), len(group.members))


def came_back(before: Member, after: Book, now: datetime) -> CameBack | None:
    """The note when somebody runs again after seven days or more, whatever the reason, if they agreed to be named."""
    if Share.NAMED not in before.shares:
        return None
    known = {entry.key for entry in before.book.log}
    last = max((entry.day for entry in before.book.log if entry.is_run), default=None)
    new = [entry.day for entry in after.log if entry.is_run and entry.key not in known]
    if last is None or not new or not 0 <= (after.today(now) - max(new)).days <= 1:
        return None
    if (max(new) - last).days < WELCOMED_AFTER.value:
        return None
    return CameBack(before.name) if sight(Member(after), now).state is not State.PAUSING else None
