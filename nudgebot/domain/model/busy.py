"""When somebody's calendar says that they are busy: times alone, never what for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class BusyTime:
    """One stretch of time, `end` not included; without a zone both are on the runner's own wall clock."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class BusyTimes:
    """The busy times of the weeks to come, as a calendar has them."""

    times: tuple[BusyTime, ...]
