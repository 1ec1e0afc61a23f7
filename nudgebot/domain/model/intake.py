"""What the runner told in answer to questions, a typed field a question, and what a coach set; None if nothing.

`profile.intake` asks the questions, reads lines, and writes each field as the text that is shown and stored. What a
coach sets lies here too, so that it can be taken back. Its bounds are this project's own: a coach may go slower or a
little faster than the usual step, never past the caps; a hold is not among them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, time
from enum import StrEnum
from typing import Any, Final, TypeAlias

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
    # Set by the coach (`COACH_SETTINGS`)
    coach_step: int | None = None
    coach_window: int | None = None
    coach_run_days: int | None = None
    coach_session: int | None = None
    coach_dose: int | None = None
    coach_not: tuple[str, ...] | None = None  # words of `COACH_SETTINGS` that the runner has declined for good

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


@dataclass(frozen=True, slots=True)
class CoachSetting:
    """One row: the coach's word, the field of the intake it is kept in, the values it may have, how it reads.

    `at_once` is whether the week under way is laid out again for it; else it counts from the next week on.
    """

    word: str
    field: str
    values: tuple[int, ...]
    says: str
    at_once: bool = True

    @property
    def bounds(self) -> str:
        """The values in words."""
        first, last = self.values[0], self.values[-1]
        whole = self.values == tuple(range(first, last + 1))
        return f"{first} to {last}" if whole or len(self.values) > 6 else ", ".join(map(str, self.values))


COACH_SETTINGS: Final = (
    CoachSetting("step", "coach_step", tuple(range(16)), "a weekly step of {} %", at_once=False),
    CoachSetting("window", "coach_window", tuple(range(100, 151)), "at most {} % of the mean week in seven days"),
    CoachSetting("days", "coach_run_days", (1, 2, 3, 6), "at most {} run days in a row"),
    CoachSetting("session", "coach_session", tuple(range(20, 181, 5)), "no run over {} min"),
    CoachSetting("dose", "coach_dose", tuple(range(60, 301, 5)), "a dose of {} min a week"),
)
COACH_SETTING_BY_WORD: Final[Mapping[str, CoachSetting]] = {row.word: row for row in COACH_SETTINGS}


def set_by_coach(told: Intake) -> list[tuple[CoachSetting, int]]:
    """The rows that a coach has set, with their values."""
    return [(row, value) for row in COACH_SETTINGS if (value := coach_value(told, row)) is not None]


def coach_value(told: Intake, row: CoachSetting) -> int | None:
    """What a coach has set of one row; None if nothing."""
    value: int | None = getattr(told, row.field)
    return value


def with_coach_value(told: Intake, row: CoachSetting, value: int) -> Intake:
    """What was told, with one row set by the coach."""
    changes: dict[str, Any] = {row.field: value}
    return replace(told, **changes)


def without_coach_values(told: Intake, words: frozenset[str] = frozenset(COACH_SETTING_BY_WORD)) -> Intake:
    """What was told, without what a coach set under `words`."""
    changes: dict[str, Any] = {COACH_SETTING_BY_WORD[word].field: None for word in words}
    return replace(told, **changes)


def barred(told: Intake, row: CoachSetting, *, on: bool) -> Intake:
    """What was told, with a coach no longer to set `row`; or, not `on`, free to again."""
    others = tuple(word for word in told.coach_not or () if word != row.word)
    return replace(told, coach_not=((*others, row.word) if on else others) or None)


def is_barred(told: Intake, row: CoachSetting) -> bool:
    """Whether the runner has declined `row` for good."""
    return row.word in (told.coach_not or ())
