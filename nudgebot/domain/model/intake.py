"""What the runner told in answer to questions, a typed field a question; None where nothing was told.

`profile.intake` asks the questions, reads lines, and writes each field as the text that is shown and stored.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum
from typing import Final, TypeAlias

OpenDays: TypeAlias = tuple[int, int, int, int, int, int, int]  # most minutes by weekday, Monday first; 0 closes a day


class Goal(StrEnum):
    """What the runner wants from the running."""

    HEALTH = "health"
    FAT_LOSS = "fat_loss"
    ENDURANCE = "endurance"
    KEEP = "keep"
    CUSTOM = "custom"


class YesNoSkip(StrEnum):
    """An answer that may be withheld."""

    YES = "yes"
    NO = "no"
    SKIP = "skip"


@dataclass(frozen=True, slots=True)
class GoalTold:
    """A goal, and for a custom one its minutes a week."""

    goal: Goal
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class Commute:
    """A habitual commute: the activity ("" for none) and its minutes a week."""

    activity: str = ""
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class Quiet:
    """Wall times between which nothing is sent."""

    first: time
    last: time


@dataclass(frozen=True, slots=True)
class DatedEvent:
    """A day, and what it is."""

    day: date
    what: str


@dataclass(frozen=True, slots=True)
class DaysLater:
    """A weekly shape that begins on a later date."""

    start: date
    days: OpenDays


@dataclass(frozen=True, slots=True)
class Cleared:
    """Who cleared running after a hold or at the start, and when."""

    day: date
    who: str


@dataclass(frozen=True, slots=True)
class Intake:
    """Everything that was told: minutes a week or of a run (min), weekdays 0 = Monday, heart rates in beats a minute.

    `country` is ISO 3166-1 alpha-2, "" while it has to be told anew. `coach_runs` is set for somebody who looks after
    others and wants a plan too.
    """

    adult: bool | None = None
    active: bool | None = None
    disease: bool | None = None
    signs: bool | None = None
    pregnancy: YesNoSkip | None = None
    medicine: YesNoSkip | None = None
    goal: GoalTold | None = None
    weekly: int | None = None
    longest: int | None = None
    commute: Commute | None = None
    days: OpenDays | None = None
    long_day: int | None = None
    zone: str | None = None
    run_time: time | None = None
    remind_at: time | None = None
    quiet: Quiet | None = None
    country: str | None = None
    birth_year: int | YesNoSkip | None = None  # a year, or skipped
    # YesNoSkip later
    resting_hr: int | None = None
    max_hr: int | None = None
    event: DatedEvent | None = None
    days_later: DaysLater | None = None
    country_guess: str | None = None  # the country of the city named, while the questions are asked
    cleared: Cleared | None = None
    coach_runs: bool | None = None
    # Set by the coach (`coach_settings`)
    coach_step: int | None = None
    coach_window: int | None = None
    coach_run_days: int | None = None
    coach_session: int | None = None
    coach_dose: int | None = None


NOTHING_TOLD: Final = Intake()
