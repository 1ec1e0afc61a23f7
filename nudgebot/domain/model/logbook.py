"""What was done: log entries and minutes per day, and what a file tells: a run as it was recorded, times that are busy.

The plan lives elsewhere; plan and fact never blur.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from operator import attrgetter

from nudgebot.domain.model.parameters import RUN_DAY_FROM

BINS = 120  # heart rates kept of a run, each the mean of its share of the time: enough for a picture, and no trace


class Activity(StrEnum):
    """What kind of session a log entry reports."""

    RUN = "run"  # outdoors, treadmill, walk-run: counts as running load
    WALK = "walk"
    BIKE = "bike"
    SWIM = "swim"
    ROW = "row"
    HIKE = "hike"
    ELLIPTICAL = "elliptical"
    STRENGTH = "strength"  # logged, counted in nothing
    MOBILITY = "mobility"  # logged, counted in nothing
    OTHER = "other"  # some other aerobic session


_DAY_OF = attrgetter("day")
AEROBIC = frozenset(Activity) - {Activity.STRENGTH, Activity.MOBILITY}


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One finished session.

    `key` is the key of the message it came from: one message, at most one entry a day.
    `day` is the runner's calendar date; `minutes` whole minutes; `effort` 0-10; `heart_rate` the average in
    beats a minute. `in_place_of_run` marks other aerobic work that replaced a planned run and so counts
    toward the dose. `cap` is the single-session cap (min) that held on that day, 0 if none is known:
    a run above it counts as that cap when the next cap is worked out.
    """

    key: str
    day: date
    minutes: int
    activity: Activity = Activity.RUN
    in_place_of_run: bool = False
    effort: int | None = None
    heart_rate: int | None = None
    distance_km: float | None = None
    hard: bool = False
    cap: int = 0
    noted_at: datetime | None = None

    @property
    def is_run(self) -> bool:
        """Whether it counts as running load."""
        return self.activity is Activity.RUN

    @property
    def counts(self) -> bool:
        """Whether its minutes count toward the dose."""
        return self.is_run or (self.in_place_of_run and self.activity in AEROBIC)


Log = Sequence[LogEntry]  # in date order, oldest first


def run_minutes(log: Log, first: date, days: int) -> tuple[int, ...]:
    """Minutes run on each of `days` days from `first` on (min, oldest day first)."""
    return _per_day((e for e in entries_between(log, first, days) if e.is_run), first, days)


def other_minutes(log: Log, first: date, days: int) -> tuple[int, ...]:
    """Minutes of other aerobic work on each of `days` days from `first` on (min, oldest day first)."""
    entries = entries_between(log, first, days)
    return _per_day((e for e in entries if not e.is_run and e.activity in AEROBIC), first, days)


def run_metres(log: Log, first: date, days: int) -> int:
    """Metres of the runs that had a distance, in the `days` days from `first` on."""
    return sum(round(e.distance_km * 1000) for e in entries_between(log, first, days) if e.is_run and e.distance_km)


def counted_minutes(log: Log, first: date, days: int = 7) -> int:
    """Minutes that count toward the dose in the `days` days from `first` on."""
    return sum(e.minutes for e in entries_between(log, first, days) if e.counts)


def run_days(log: Iterable[LogEntry]) -> frozenset[date]:
    """Days that hold at least ten minutes of running."""
    sums: dict[date, int] = {}
    for entry in log:
        if entry.is_run:
            sums[entry.day] = sums.get(entry.day, 0) + entry.minutes
    return frozenset(day for day, minutes in sums.items() if minutes >= RUN_DAY_FROM.value)


def active_days(log: Iterable[LogEntry]) -> frozenset[date]:
    """Days that end a gap: ten minutes or more of running, or of other aerobic work."""
    sums: dict[tuple[date, bool], int] = {}
    for entry in log:
        if entry.activity in AEROBIC:
            kind = (entry.day, entry.is_run)
            sums[kind] = sums.get(kind, 0) + entry.minutes
    return frozenset(day for (day, _), minutes in sums.items() if minutes >= RUN_DAY_FROM.value)


def entries_since(log: Log, first: date) -> Log:
    """The entries from `first` on."""
    return log[bisect_left(log, first, key=_DAY_OF) :]


def entries_between(log: Log, first: date, days: int) -> Log:
    """The entries of the `days` days from `first` on: found by halving, since a season's log is long."""
    start = bisect_left(log, first, key=_DAY_OF)
    return log[start : bisect_left(log, first + timedelta(days=max(0, days)), start, key=_DAY_OF)]


def _per_day(entries: Iterable[LogEntry], first: date, days: int) -> tuple[int, ...]:
    sums = [0] * days
    for entry in entries:
        sums[(entry.day - first).days] += entry.minutes
    return tuple(sums)


class FileFault(StrEnum):
    """Why a file is not taken; nothing of it is kept."""

    NOT_READABLE = "not readable"  # none of the formats that are read
    BROKEN = "broken"  # cut off, or not what its beginning promises
    TOO_LARGE = "too large"
    SEVERAL = "several"  # an archive of more than one file
    NO_TIMES = "no times"  # a route, or points without a time
    DISORDERED = "disordered"  # most of its times go backwards
    TOO_SHORT = "too short"  # no whole minute
    TOO_LONG = "too long"  # longer than a run that can be logged
    STILL = "still"  # nobody moved
    NOT_YET = "not yet"  # in the future
    TOO_OLD = "too old"  # before what the plan looks back to
    NOT_REACHED = "not reached"  # it could not be fetched
    NOT_ALLOWED = "not allowed"  # an address that is not fetched from


def whole_minutes(seconds: int) -> int:
    """Seconds as whole minutes, to the nearest."""
    return (seconds + 30) // 60


@dataclass(frozen=True, slots=True)
class Track:
    """One activity as a file recorded it, whoever it belongs to; it holds no place.

    Seconds from first to last point and of those in motion; metres; beats a minute, averaged over time. `climb_m`,
    `distance_m` and `heart_rate` are None if the file has none. `seconds_at` are pairs of a heart rate and how long
    it lasted, rising; `pulse` the means of `BINS` equal shares of the whole time, None if nothing was measured.
    `activity` is None if the file does not say what it was.
    """

    started_at: datetime
    total_seconds: int
    moving_seconds: int
    distance_m: int | None = None
    climb_m: int | None = None
    heart_rate: int | None = None
    seconds_at: tuple[tuple[int, int], ...] = ()
    pulse: tuple[int | None, ...] = ()
    activity: Activity | None = None

    @property
    def minutes(self) -> int:
        """Whole minutes in motion, to the nearest."""
        return whole_minutes(self.moving_seconds)

    def seconds_within(self, low: int, high: int) -> tuple[int, int, int]:
        """Seconds under, in and over a band of heart rates, both its ends being inside."""
        under = sum(lasted for heart, lasted in self.seconds_at if heart < low)
        over = sum(lasted for heart, lasted in self.seconds_at if heart > high)
        return under, sum(lasted for _, lasted in self.seconds_at) - under - over, over


@dataclass(frozen=True, slots=True)
class Recording:
    """What is kept of a track beside the log entry of the same `key` and `day`; its fields are those of `Track`.

    `sent_as` is the key of the message that the file came with: the same, unless a line had told of the run before.

    `under`, `inside` and `over` are the seconds about the easy band `low` to `high` as it was then, None without one.
    `pulse` is written as numbers with commas, nothing between two of them where nothing was measured.
    """

    key: str
    sent_as: str
    day: date
    started_at: datetime
    total_seconds: int
    moving_seconds: int
    distance_m: int | None = None
    climb_m: int | None = None
    heart_rate: int | None = None
    under: int | None = None
    inside: int | None = None
    over: int | None = None
    low: int | None = None
    high: int | None = None
    pulse: str = ""

    @property
    def beats(self) -> tuple[int | None, ...]:
        """The pulse as numbers."""
        return tuple(int(each) if each else None for each in self.pulse.split(",")) if self.pulse else ()


@dataclass(frozen=True, slots=True)
class ShownRun:
    """A recording as it is drawn: on a light ground, or on the dark one."""

    recording: Recording
    light: bool = False


@dataclass(frozen=True, slots=True)
class BusyTime:
    """One stretch of time, `end` not included; without a zone both are on the runner's own wall clock."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class BusyTimes:
    """The busy times of the weeks to come, as a calendar has them."""

    times: tuple[BusyTime, ...]
