"""What a coach sees of a runner, and what stays with the runner: the privacy line has this one address.

Of health a coach sees nothing but "pausing", the same word for a hold, an illness and days away, unless the runner
shares more, kind by kind. What may be said in a group chat is a closed set of lines; none has room for more.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Final, TypeAlias

from nudgebot.domain.model.logbook import active_days
from nudgebot.domain.model.parameters import REST_GAP
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Runner, at_wall
from nudgebot.domain.nudging.times import quiet_until
from nudgebot.domain.planning.gap import away_on, rhythm

DIGEST_AT: Final = time(7, 30)  # Monday, on the coach's clock (house)
SILENT_FROM: Final = 7  # days without a word (house)
AWAY_FROM: Final = 7  # days from one run to the next, after which somebody is welcomed back (house)
NAME_SHOWN: Final = 16  # characters of a name on the roster: thirty names fit one phone screen


class Share(StrEnum):
    """What a runner can let the coach see, each by itself; `NAMED` is about the group chat."""

    PAUSE = "pause"  # why they pause: away, ill or on hold; never the sentence
    COMPLAINTS = "complaints"  # body part and pain of 10
    PULSE = "heart rate"
    EFFORT = "effort"
    NAMED = "name"  # to be named in the group's overview, and when they come back


class State(StrEnum):
    """Where a runner is, in the coach's words; the order is who needs a word first."""

    GAP_TONIGHT = "gap opens tonight"
    GAP_OPEN = "gap open"
    SILENT = "silent"
    JOINING = "joining"
    IN_RHYTHM = "in rhythm"
    PAUSING = "pausing"


@dataclass(frozen=True, slots=True)
class Note:
    """A coach's own note about a runner."""

    at: datetime
    text: str


@dataclass(frozen=True, slots=True)
class Member:
    """A runner of a group: the book brought up to today, what they share, what the coach noted."""

    book: Book
    shares: frozenset[Share] = frozenset()
    notes: tuple[Note, ...] = ()

    @property
    def id(self) -> int:
        """The runner's number."""
        return self.book.runner.id

    @property
    def name(self) -> str:
        """The name as it is shown: one line, no more than fits."""
        return shown_name(self.book.runner)


@dataclass(frozen=True, slots=True)
class Group:
    """A coach's runners. `chat` is the group chat bound to it, "" while there is none."""

    id: int
    coach: Runner
    chat: str = ""
    members: tuple[Member, ...] = ()


@dataclass(frozen=True, slots=True)
class Sight:
    """One runner on the roster: the state, days of silence, and why they pause where they share it."""

    member: Member
    state: State
    days: int = 0
    why: str = ""


def shown_name(runner: Runner) -> str:
    """A person's name for somebody else's screen: no control or direction marks, cut to what fits."""
    clean = "".join(c if unicodedata.category(c)[0] not in "CZ" else " " for c in runner.name)
    words = " ".join(clean.replace(",", " ").replace(":", " ").split())
    return words[:NAME_SHOWN].rstrip() or f"runner {runner.id}"


def sight(member: Member, now: datetime) -> Sight:
    """What the coach sees of one runner at `now`; a pause hides everything else, silence included."""
    book = member.book
    today = book.today(now)
    if isinstance(book.standing, Joining):
        return Sight(member, State.JOINING)
    why = _pause(book, today)
    if why:
        return Sight(member, State.PAUSING, why=why if Share.PAUSE in member.shares else "")
    quiet = (today - book.today(book.runner.last_heard)).days
    if quiet >= SILENT_FROM:
        return Sight(member, State.SILENT, quiet)
    state = rhythm(book, today)
    if state is None or today > state.last_allowed:
        return Sight(member, State.GAP_OPEN)
    if today == state.last_allowed and state.rest_days >= REST_GAP.value and today not in active_days(book.log):
        return Sight(member, State.GAP_TONIGHT)
    return Sight(member, State.IN_RHYTHM)


def roster(group: Group, now: datetime) -> tuple[Sight, ...]:
    """Everybody, sorted by who needs a word first; the longest silent before the others, then by name."""
    order = {state: place for place, state in enumerate(State)}
    seen = (sight(member, now) for member in group.members)
    return tuple(sorted(seen, key=lambda s: (order[s.state], -s.days, s.member.name.casefold(), s.member.id)))


def told_apart(seen: Sequence[Sight]) -> tuple[str, ...]:
    """The names of a roster in its order; those that two have with their runners' numbers."""
    folded = [each.member.name.casefold() for each in seen]
    return tuple(
        f"{each.member.name} ({each.member.id})" if folded.count(name) > 1 else each.member.name
        for each, name in zip(seen, folded, strict=True)
    )


def find(members: Iterable[Member], name: str) -> tuple[Member, ...]:
    """The members a name can mean: by number, by the whole name, else by its beginning."""
    wanted = " ".join(name.casefold().split())
    everybody = tuple(members)
    if wanted.isdecimal():
        return tuple(m for m in everybody if str(m.id) == wanted)
    names = [(m, (m.name.casefold(), " ".join(m.book.runner.name.casefold().split()))) for m in everybody]
    whole = tuple(m for m, both in names if wanted in both)
    return whole or tuple(m for m, both in names if wanted and any(n.startswith(wanted) for n in both))


def next_digest(coach: Book, after: datetime) -> datetime:
    """The first digest time after `after`: Monday 07:30 on the coach's clock, or the end of quiet hours then."""
    day = coach.local(after).date() - timedelta(days=7)
    while True:
        day += timedelta(days=1)
        if day.weekday() == 0:
            at = at_wall(day, DIGEST_AT, coach.profile)
            at = quiet_until(coach, at) or at
            if at > after:
                return at


def _pause(book: Book, today: date) -> str:
    match book.standing:
        case OnHold():
            return "on hold"
        case Ill():
            return "ill"
        case _:
            return "away" if away_on(book, today) else ""


# What may be said in a group chat: these lines and no others. A country is all that a safety line takes along.
@dataclass(frozen=True, slots=True)
class WrittenToYou:
    """The answer is in private."""


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
class PrivateFirst:
    """Somebody we do not know, or who wants what is only done in private."""


@dataclass(frozen=True, slots=True)
class Bound:
    """The chat belongs to the group from now on, or no longer."""

    now: bool


@dataclass(frozen=True, slots=True)
class BoundElsewhere:
    """The chat belongs to another coach's group."""


@dataclass(frozen=True, slots=True)
class NotBound:
    """The chat is not the coach's group's."""


@dataclass(frozen=True, slots=True)
class CoachesOnly:
    """Asked by somebody who may not."""


@dataclass(frozen=True, slots=True)
class GroupHelp:
    """What I do in a group."""


@dataclass(frozen=True, slots=True)
class Overview:
    """The week's overview: the names of runners in rhythm who agreed to be named, and how many runners there are."""

    names: tuple[str, ...]
    runners: int


@dataclass(frozen=True, slots=True)
class CameBack:
    """Somebody who agreed to be named runs again."""

    name: str


GroupLine: TypeAlias = (
    WrittenToYou
    | NotReached
    | StopAndCall
    | PrivateFirst
    | Bound
    | BoundElsewhere
    | NotBound
    | CoachesOnly
    | GroupHelp
    | Overview
    | CameBack
)


def overview(group: Group, now: datetime) -> Overview:
    """Who is in rhythm and agreed to be named: the others are not told from anybody who pauses."""
    named = [s.member.name for s in roster(group, now) if s.state is State.IN_RHYTHM and Share.NAMED in s.member.shares]
    return Overview(tuple(named), len(group.members))


def came_back(before: Member, after: Book, now: datetime) -> CameBack | None:
    """The note when somebody runs again after seven days or more, whatever the reason, if they agreed to be named."""
    if Share.NAMED not in before.shares:
        return None
    known = {entry.key for entry in before.book.log}
    last = max((entry.day for entry in before.book.log if entry.is_run), default=None)
    new = [entry.day for entry in after.log if entry.is_run and entry.key not in known]
    if last is None or not new or not 0 <= (after.today(now) - max(new)).days <= 1:
        return None
    if (max(new) - last).days < AWAY_FROM:
        return None
    return CameBack(before.name) if sight(Member(after), now).state is not State.PAUSING else None
