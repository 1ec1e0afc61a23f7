"""What a button does: a value with its arguments, and with the message or question that it belongs to.

A line that says the same is parsed into the same value, so that pressing and typing cannot drift apart.
`action_codec` writes these values as the platform's callback data and reads them back.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import TypeAlias


class Page(StrEnum):
    """A page that a button opens; the value is the name of the command that opens it too."""

    WEEK = "week"
    SEASON = "season"
    WHY = "why"
    SAFETY = "safety"
    HELP = "help"


class Option(StrEnum):
    """One of the answers that a question of ours offers."""

    SAME = "same"  # the same run, told twice
    SECOND = "second"  # a run of its own
    CORRECTION = "correction"  # the newer one replaces the older
    AS_PLANNED = "as planned"
    SHORTEST = "shortest"
    WALK = "walk"
    REST = "rest"
    NOT_ILL = "not ill"
    DOCTOR = "doctor"
    HOSPITAL = "hospital"
    MIDWIFE = "midwife"
    PHYSIO = "physio"
    NONE_OF_THESE = "none of these"
    SOMETHING_ELSE = "something else"
    ONE_OFF = "one-off"
    GROW = "grow"
    WITHDRAW = "withdraw"  # a yes that was none


class Feeling(StrEnum):
    """How it goes, compared with before."""

    BETTER = "better"
    SAME = "same"
    WORSE = "worse"


class Later(StrEnum):
    """When a nudge is to come again."""

    HALF_HOUR = "30 min"
    ONE_HOUR = "1 h"
    TWO_HOURS = "2 h"
    THIS_EVENING = "this evening"
    TOMORROW = "tomorrow"


# Answers to a question


@dataclass(frozen=True, slots=True)
class Agreed:
    """Yes, or no."""

    yes: bool


@dataclass(frozen=True, slots=True)
class ChosenMinutes:
    """So many minutes."""

    minutes: int


@dataclass(frozen=True, slots=True)
class ChosenNumber:
    """So much of what was asked for, in its unit: km/h, or %."""

    value: float


@dataclass(frozen=True, slots=True)
class ChosenDays:
    """These days, in order."""

    days: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class ChosenOption:
    """One of the answers that were offered."""

    option: Option


@dataclass(frozen=True, slots=True)
class ChosenReading:
    """One of the readings of the line that was asked about, by its place from 0."""

    place: int


@dataclass(frozen=True, slots=True)
class ChosenValue:
    """The value of a setting, as the setting's own codec writes it (`profile.intake`)."""

    text: str


Chosen: TypeAlias = Agreed | ChosenMinutes | ChosenNumber | ChosenDays | ChosenOption | ChosenReading | ChosenValue


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer to the question of that token; once the question is past it answers nothing."""

    question: str
    chosen: Chosen


# Actions on the log and the plan; each names the day or the line it is about


@dataclass(frozen=True, slots=True)
class Undo:
    """Takes back what the line of that key put into the log; with "" the last entry."""

    line: str = ""


@dataclass(frozen=True, slots=True)
class Did:
    """The session of `day` was done as planned; with None, today's."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class DidLess:
    """The session of `day` was done, but shorter; with None, today's."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class DidShort:
    """A session of `minutes`, done just now; pressed after the day `by`, it was done on that day."""

    minutes: int
    by: date
    walked: bool = False


@dataclass(frozen=True, slots=True)
class InPlaceOfRun:
    """The other session of `day` counts in place of the run; with None, today's."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class Skip:
    """No run on `day`; with None, today."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class LetGo:
    """The session of `day` is let go, not to be made up; with None, today's."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """The session of `first` goes to `to`."""

    first: date
    to: date


@dataclass(frozen=True, slots=True)
class PutOff:
    """The session of `day` goes to the day after; with None, today's."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class LimitDay:
    """On `day` at most `minutes`; 0 closes the day."""

    day: date
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class Remind:
    """The newest nudge again, later."""

    until: Later


@dataclass(frozen=True, slots=True)
class Resume:
    """Back from days away, from an illness, or toward the end of a hold."""


@dataclass(frozen=True, slots=True)
class FallSilent:
    """Nothing more is sent until the runner writes."""


@dataclass(frozen=True, slots=True)
class Feel:
    """Better, the same or worse."""

    how: Feeling


@dataclass(frozen=True, slots=True)
class Misread:
    """The line behind the hold of that moment was about something or somebody else."""

    since: datetime


@dataclass(frozen=True, slots=True)
class NumberWas:
    """The number behind the hold of that moment was something else: the minutes of a run, or a slip."""

    since: datetime
    minutes: bool


@dataclass(frozen=True, slots=True)
class ChangeSetting:
    """Asks for a new value of the setting of that id."""

    setting: str


@dataclass(frozen=True, slots=True)
class SetTo:
    """The setting of that id has that value, as its own codec writes it."""

    setting: str
    value: str


@dataclass(frozen=True, slots=True)
class Open:
    """Opens a page."""

    page: Page


@dataclass(frozen=True, slots=True)
class ShowSheet:
    """A page of the group's last weeks, for its coach; None is the first."""

    page: int | None = None


@dataclass(frozen=True, slots=True)
class SetShare:
    """Lets the coach see one kind of thing, or no longer."""

    kind: str
    on: bool


@dataclass(frozen=True, slots=True)
class Decline:
    """Takes back what the coach set under that word; with a value, only where it is that still; `for_good` bars it."""

    word: str
    value: int | None = None
    for_good: bool = False


@dataclass(frozen=True, slots=True)
class LeaveGroup:
    """Leaves the coach's group."""


LogAction: TypeAlias = Undo | Did | DidLess | DidShort | InPlaceOfRun
PlanAction: TypeAlias = Skip | LetGo | Move | PutOff | LimitDay | Remind
StandingAction: TypeAlias = Resume | FallSilent | Feel | Misread | NumberWas | ChangeSetting | SetTo
GroupAction: TypeAlias = ShowSheet | SetShare | Decline | LeaveGroup
Action: TypeAlias = Reply | LogAction | PlanAction | StandingAction | GroupAction | Open
