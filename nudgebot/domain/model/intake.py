"""What the runner told in answer to questions, a typed field a question; None if nothing was told.

`profile.intake` asks the questions, reads lines, and writes each field as the text that is shown and stored.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time
from enum import StrEnum
from typing import Final, TypeAlias

from nudgebot.domain.model.nudged import NudgeWish
from nudgebot.domain.model.repeat import Repeat

OpenDays: TypeAlias = tuple[int, int, int, int, int, int, int]  # most minutes by weekday, Monday first; 0 closes a day


class Goal(StrEnum):
    """What the runner wants from the running."""

    HEALTH = "health"
    FAT_LOSS = "fat_loss"
    ENDURANCE = "endurance"
    MAINTAIN = "maintain"
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

    def holds(self, wall: time) -> bool:
        """Whether `wall` lies between the two, over midnight where they do."""
        over = self.first > self.last
        return (self.first <= wall or wall < self.last) if over else self.first <= wall < self.last


@dataclass(frozen=True, slots=True)
class LearnedHour:
    """The wall time `at` of the morning reminder since `day`, learned from answers; before it was `before`."""

    day: date
    at: time
    before: time


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
class ToldCondition:
    """A condition of `profile.conditions`, by its id, and the day on which the runner confirmed it."""

    id: str
    day: date


@dataclass(frozen=True, slots=True)
class Intake:
    """Everything that was told: minutes a week or of a run (min), weekdays 0 = Monday, heart rates in beats a minute.

    `country` is ISO 3166-1 alpha-2, "" while it has to be told again. `coach_runs` is set for somebody who looks after
    others and wants a plan too.
    """

    adult: bool | None = None
    active: bool | None = None
    disease: bool | None = None
    doctor_knows: YesNoSkip | None = None  # of the running, where high blood pressure was told
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
    remind_at: time | YesNoSkip | None = None  # a time, or left to us
    quiet: Quiet | None = None
    country: str | None = None
    birth_year: int | YesNoSkip | None = None  # a year, or skipped
    # YesNoSkip later
    resting_hr: int | None = None
    max_hr: int | None = None
    event: DatedEvent | None = None  # the nearest
    events_later: tuple[DatedEvent, ...] = ()  # those after it, in order
    nudges: NudgeWish | None = None
    repeats: tuple[Repeat, ...] = ()  # days that hold less by a rule, in the order in which they were told
    days_later: DaysLater | None = None
    learned_hour: LearnedHour | None = None  # of the morning reminder, while its time is left to us
    country_guess: str | None = None  # the country of the city named, while the questions are asked
    cleared: Cleared | None = None
    pressure: bool | None = None  # high blood pressure was told
    age_open: bool | None = None  # an age under 18 was told, and the question about it is open
    runs: int | None = None  # told here so far; the log that is loaded reaches less far back
    steady_until: date | None = None  # the day from which a plan may grow again
    conditions: tuple[ToldCondition, ...] = ()  # confirmed by the runner, in the order of their ids
    coach_runs: bool | None = None
    light_pictures: bool | None = None  # on a light ground; None and False are the dark one
    # Set by the coach (`coach_settings`)
    coach_step: int | None = None
    coach_window: int | None = None
    coach_run_days: int | None = None
    coach_session: int | None = None
    coach_dose: int | None = None
    coach_not: tuple[str, ...] | None = None  # words of `coach_settings` that the runner has declined for good

    def tells(self, condition: str) -> bool:
        """Whether the condition of that id was told and confirmed."""
        return any(each.id == condition for each in self.conditions)

    def with_conditions(self, ids: Iterable[str], day: date) -> Intake:
        """With these conditions confirmed on `day`."""
        found = {each.id: each for each in self.conditions} | {each: ToldCondition(each, day) for each in ids}
        return replace(self, conditions=tuple(found[each] for each in sorted(found)))

    def without_condition(self, condition: str) -> Intake:
        """Without one condition."""
        return replace(self, conditions=tuple(each for each in self.conditions if each.id != condition))


NOTHING_TOLD: Final = Intake()
