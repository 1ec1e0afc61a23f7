"""What a file tells: a run as it was recorded, the times when a calendar has somebody busy, or why neither is taken."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from nudgebot.domain.model.logbook import Activity

BINS = 120  # heart rates kept of a run, each the mean of its share of the time: enough for a picture, and no trace


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
