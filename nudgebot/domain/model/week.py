"""A week on paper: sessions with dates, the week they belong to, and where a runner is on the way back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.model.parameters import GRID, SHORTEST_SESSION

STEP = GRID.value  # min
SESSION_MIN = SHORTEST_SESSION.value  # min


class SessionKind(StrEnum):
    """What a planned session is."""

    EASY = "easy"  # an ordinary easy run
    LONG = "long"  # the week's longest easy run
    WALK_RUN = "walk-run"  # walking and running in turn
    WALK = "walk"  # a brisk walk as the session


@dataclass(frozen=True, slots=True, order=True)
class Session:
    """One planned session: the runner's calendar date, whole minutes on the grid, what it is."""

    day: date
    minutes: int
    kind: SessionKind = SessionKind.EASY


class WeekKind(StrEnum):
    """Why a week has the target it has."""

    FIRST = "first"  # from the runner's stated minutes
    STEP = "step"  # grows by the weekly step
    STEADY = "steady"  # at the top of the dose
    REPEAT = "repeat"  # 60-89 % done: the same again
    BACK = "back"  # under 60 % done: a step back
    REGAIN = "regain"  # after a week lightened by illness, a hold or a return
    EVENT = "event"  # less before an event, or rest after it
    LIGHTER = "lighter"  # every fourth week, or eighth at the top
    RETURN = "return"  # coming back after 6-28 days
    WALK_RUN = "walk-run"  # walk-run steps
    WALKING = "walking"  # running waits for a clinician's word
    PAUSE = "pause"  # on hold or ill: nothing is planned


GENTLE = frozenset({WeekKind.RETURN, WeekKind.REGAIN})  # weeks with a rest day after each run, to their end


@dataclass(frozen=True, slots=True)
class Week:
    """One training week as it was laid out: `start` is its first day, `target` and `long_run` in minutes.

    `sessions` is the first layout and never changes; the plan as it stands after replanning is the book's.
    `target` is what was laid out; `full` what the week would hold with enough open days, which is what the
    next week builds on (0: the same as `target`).
    """

    start: date
    target: int
    long_run: int
    kind: WeekKind
    sessions: tuple[Session, ...] = ()
    full: int = 0

    @property
    def base(self) -> int:
        """Minutes that the next week builds on."""
        return self.full or self.target

    @property
    def longest(self) -> int:
        """The longest session (min): the long run where there is one."""
        return max((session.minutes for session in self.sessions), default=self.long_run)

    @property
    def end(self) -> date:
        """The last day of the week."""
        return self.start + timedelta(days=6)

    def holds(self, day: date) -> bool:
        """Whether `day` lies in this week."""
        return 0 <= (day - self.start).days < 7

    def minutes_on(self, day: date) -> int:
        """Minutes first laid out on `day`, 0 without a session (min)."""
        return next((session.minutes for session in self.sessions if session.day == day), 0)


def floor5(minutes: float) -> int:
    """`minutes` rounded down to the grid of the plan."""
    return int(minutes // STEP) * STEP


def week_start(day: date) -> date:
    """First day of the training week that holds `day`: its Monday (ISO 8601)."""
    return day - timedelta(days=day.weekday())


@dataclass(frozen=True, slots=True)
class Return:
    """Coming back after `days` days without a run: first half of as many days again at 50 %, then 75 %.

    `old_week` is the mean of the last four counted weeks (min), `old_long` the long run before the break,
    `old_target` the week's target that returns afterwards.
    """

    since: date
    days: int
    old_week: int
    old_long: int
    old_target: int

    @property
    def first_half_end(self) -> date:
        """Last day at 50 %; the first half is rounded up."""
        return self.since + timedelta(days=(self.days + 1) // 2 - 1)

    @property
    def end(self) -> date:
        """Last day of the return."""
        return self.since + timedelta(days=self.days - 1)


@dataclass(frozen=True, slots=True)
class WalkRun:
    """Where the runner is on the walk-run ladder: `step` 0-7, `clean` sessions done on it, since when.

    `walk_until` is the day on which walking after an illness ends; then the return table says what comes.
    """

    step: int
    clean: int
    since: date
    walk_until: date | None = None
