"""What a coach sees of a runner, and what stays with the runner: the privacy line has this one address.

Of health a coach sees nothing but "pausing", the same word for a hold, an illness and days away, unless the runner
shares more, kind by kind.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Final

from nudgebot.domain.model.logbook import active_days, counted_minutes
from nudgebot.domain.model.parameters import MORE_LEAST, MORE_WEEK, REST_GAP, SILENCE_FIRST
from nudgebot.domain.model.runner import Book, Ill, Joining, LimitReason, OnHold, Runner, at_wall
from nudgebot.domain.model.week import WeekKind
from nudgebot.domain.nudging.times import quiet_until
from nudgebot.domain.overview.names import WORDS, find_meant, labels, shown_name
from nudgebot.domain.planning.gap import away_on, open_session, rhythm

SILENT_FROM: Final = SILENCE_FIRST.value  # days without a word
NO_WEEK_OF: Final = frozenset({WeekKind.WALKING})  # weeks whose target is nobody's to see but the runner's


class Share(StrEnum):
    """What a runner can let the coach see, each by itself; `NAMED` is about the group chat."""

    PAUSE = "pause"  # why they pause: away, ill or on hold; never the sentence
    COMPLAINTS = "complaints"  # body part and pain of 10
    PULSE = "heart rate"
    EFFORT = "effort"
    NAMED = "name"  # to be named in the group's overview, and when they come back


class State(StrEnum):
    """Where a runner is, in the coach's words; the order is who needs a word first."""

    SILENT = "silent"
    PAUSING = "pausing"
    GAP_OPEN = "gap open"
    GAP_TONIGHT = "gap opens tonight"
    MORE = "more than planned"
    BACK = "back from a break"
    JOINING = "joining"
    TODAY = "session today"
    IN_RHYTHM = "in rhythm"


@dataclass(frozen=True, slots=True)
class Note:
    """A coach's own note about a runner; `id` is its number in the store."""

    id: int
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
class Coach:
    """Who coaches a group, `since` when runners share with them; `begins` and `ends` are a stand-in's, else None."""

    runner: Runner
    since: datetime
    leads: bool = False
    begins: datetime | None = None
    ends: datetime | None = None

    def works(self, now: datetime) -> bool:
        """Whether they coach at `now`."""
        return (self.begins is None or self.begins <= now) and (self.ends is None or now < self.ends)


@dataclass(frozen=True, slots=True)
class Group:
    """Runners and their coaches, as one coach sees them. `chat` is the group chat bound to it, "" while there is none.

    `coach` is the one who leads it; `title` is what a coach of several calls it, "" for whoever has this one alone.
    """

    id: int
    coach: Runner
    chat: str = ""
    members: tuple[Member, ...] = ()
    coaches: tuple[Coach, ...] = ()
    title: str = ""

    @property
    def titled(self) -> tuple[int, ...]:
        """Whom the title names, by number."""
        return (self.coach.id,) if self.title else ()

    @property
    def labels(self) -> Mapping[int, str]:
        """How each runner is written, by number: told apart from the others and from our words."""
        return labels([m.book.runner for m in self.members], RESERVED)


RESERVED: Final = WORDS | {state.value for state in State}


@dataclass(frozen=True, slots=True)
class Sight:
    """One runner on the roster: the state, and the one fact beside the name that belongs to it.

    `days` of silence, of a pause (today among them), or since joining; `why` they pause where they share it; `last` is
    the newest day with activity, of a pause the newest with a run; `done` of `target` (min) of the week that was more
    than planned.
    """

    member: Member
    state: State
    days: int = 0
    why: str = ""
    last: date | None = None
    done: int = 0
    target: int = 0


def sight(member: Member, now: datetime) -> Sight:
    """What the coach sees of one runner at `now`; a pause hides everything else, silence included."""
    book = member.book
    today = book.today(now)
    if isinstance(book.standing, Joining):
        return Sight(member, State.JOINING, max(0, (today - book.today(book.runner.joined_at)).days))
    pause = _pause(book, today)
    if pause is not None:
        why, first = pause
        days = (today - first).days + 1
        ran = max((entry.day for entry in book.log if entry.is_run and first < entry.day <= today), default=None)
        return Sight(member, State.PAUSING, days, why if Share.PAUSE in member.shares else "", last=ran)
    quiet = (today - _last_word(book, today)).days
    if quiet >= SILENT_FROM:
        return Sight(member, State.SILENT, quiet)
    more = _more_than_planned(book, today)
    last = max((day for day in active_days(book.log) if day <= today), default=None)
    rhythm_state = _in_rhythm(book, today)
    if rhythm_state in (State.GAP_OPEN, State.GAP_TONIGHT):
        return Sight(member, rhythm_state, last=last)
    if more is not None:
        return Sight(member, State.MORE, done=more[0], target=more[1])
    returning = book.returning is not None and book.returning.since <= today <= book.returning.end
    back = returning and rhythm_state is State.IN_RHYTHM
    return Sight(member, State.BACK if back else rhythm_state, last=last)


def _in_rhythm(book: Book, today: date) -> State:
    """Whether the two-day rule holds; what is planned today is no gap."""
    state = rhythm(book, today)
    planned = open_session(book, today) is not None
    if state is None or today > state.last_allowed:
        return State.TODAY if planned else State.GAP_OPEN
    tonight = today == state.last_allowed and state.rest_days >= REST_GAP.value and today not in active_days(book.log)
    return State.GAP_TONIGHT if tonight and not planned else State.IN_RHYTHM


def _last_word(book: Book, today: date) -> date:
    """The day of the runner's last word, or the last day that an announced absence or a pause took."""
    away = (limit.day for limit in book.limits if limit.reason is LimitReason.AWAY and limit.day <= today)
    pauses = (pause.last for pause in book.pauses if pause.last <= today)
    return max([book.today(book.runner.last_heard), *away, *pauses])


def _more_than_planned(book: Book, today: date) -> tuple[int, int] | None:
    """Minutes and target (min) of this week or the one before, where they went far past it."""
    for week in (each for each in reversed(book.weeks[-2:]) if each.target):
        done = counted_minutes(book.log, week.start)
        far = done >= MORE_WEEK.of(week.target) and done - week.target >= MORE_LEAST.value
        if week.start <= today <= week.end + timedelta(days=7) and week.kind not in NO_WEEK_OF and far:
            return done, week.target
    return None


def roster(group: Group, now: datetime) -> tuple[Sight, ...]:
    """Everybody, sorted by who needs a word first; the longest silent or pausing before the others, then by name."""
    order = {state: place for place, state in enumerate(State)}
    seen = (sight(member, now) for member in group.members)
    return tuple(sorted(seen, key=lambda s: (order[s.state], -s.days, s.member.name.casefold(), s.member.id)))


def find(members: Iterable[Member], name: str) -> tuple[Member, ...]:
    """The members a name can mean (`names.find_meant`)."""
    by_number = {m.id: m for m in members}
    return tuple(by_number[each.id] for each in find_meant([m.book.runner for m in by_number.values()], name))


@dataclass(frozen=True, slots=True)
class DigestTime:
    """When a coach wants the digest: a weekday (0 = Monday) and a wall time; no weekday for never."""

    day: int | None = 0
    at: time = time(7, 30)  # Monday, before the week's first runs (house)


def next_digest(coach: Book, after: datetime, wanted: DigestTime = DigestTime()) -> datetime | None:
    """The first digest after `after` on the coach's clock, at the end of quiet hours where it falls into them.

    None if none is wanted.
    """
    if wanted.day is None:
        return None
    day = coach.local(after).date() - timedelta(days=7)
    while True:
        day += timedelta(days=1)
        if day.weekday() == wanted.day:
            at = at_wall(day, wanted.at, coach.profile)
            at = quiet_until(coach, at) or at
            if at > after:
                return at


def _pause(book: Book, today: date) -> tuple[str, date] | None:
    """Why somebody pauses and since which day; None for whoever does not."""
    match book.standing:
        case OnHold(since=moment):
            return "on hold", book.today(moment)
        case Ill(since=first):
            return "ill", first
        case _ if away_on(book, today):
            first = today
            while away_on(book, first - timedelta(days=1)):
                first -= timedelta(days=1)
            return "away", first
        case _:
            return None
