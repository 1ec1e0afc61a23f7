"""The questions open in a book: what we asked back and wait for, what was said to be meant, an end of a hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class Ask(StrEnum):
    """What we asked back and are waiting for."""

    MINUTES = "minutes"  # how many minutes was the run?
    SURE_MINUTES = "sure minutes"  # an unlikely number: is it right?
    SECOND_RUN = "second run"  # a second run that day, or a correction?
    SAME_AGAIN = "same again"  # the same line twice: a second run, or the same?
    READING = "reading"  # which of several readings of a line is meant
    UNTIL = "until"  # a pause without an end
    WHICH_DAY = "which day"  # a move without a day
    SETTING = "setting"  # a changed setting, shown back
    SIGN = "sign"  # the one plain safety question
    SOMEBODY_ELSE = "somebody else"  # nothing: an emergency was told of somebody else, and may be said to be theirs
    WIND = "wind"  # how windy is it? asked where it decides whether to run outside
    HUMIDITY = "humidity"  # how humid is it? likewise
    ILL_BACK = "ill back"  # the first question after an illness
    LAST_FEVER = "last fever"  # the last day with a fever, where it was later than we heard of
    NOT_ILL = "not ill"  # an illness was told: unless it was read wrongly
    NOT_ILL_SURE = "not ill, sure"  # the sentence shown again
    CHOICE = "choice"  # as planned, shortest, walk, rest
    ERASE = "erase"  # delete everything?
    TAKE_BACK = "take back"  # which of several changes
    CONDITION = "condition"  # a condition that was told, shown back
    MORE = "more"  # more than planned: a one-off, or shall the plan grow?
    REPEAT = "repeat"  # days taken by a rule, shown back as dates
    FILE_KIND = "file kind"  # what was it, that a file recorded without saying so?
    BUSY_DAYS = "busy days"  # the days that a calendar leaves no room on, shown back
    TELL = "tell"  # a coach's message, shown before it is sent
    REMOVE = "remove"  # take that runner out of the group?
    DISMISS = "dismiss"  # take that coach's group from them?


@dataclass(frozen=True, slots=True)
class Asked:
    """A question we asked back: what, when, a token its buttons carry, the line it is about, and a detail."""

    what: Ask
    at: datetime
    token: str
    line: str = ""
    day: date | None = None
    detail: str = ""


@dataclass(frozen=True, slots=True)
class PressedReading:
    """What a runner said a message means: `key` is the message, `digest` tells the same words again.

    `minutes` are a run's, those of several added up. `line` is "" unless its writer lets it be used for training.
    """

    at: datetime
    key: str
    digest: str
    intent: str
    minutes: int | None = None
    line: str = ""


@dataclass(frozen=True, slots=True)
class SafetyQuestion:
    """The closed question about a line that may tell of a sign ("Is that something you feel?"), and what came of it.

    `line` is what it is about, in `language`; `times` how often it was asked, twice at most. `yes_at` is when it was
    answered yes, which may be taken back for a while: `walking_since` is then since when the runner walked before the
    hold. A question answered no is none any more.
    """

    at: datetime
    token: str
    line: str = ""
    language: str = "en"
    times: int = 1
    yes_at: datetime | None = None
    walking_since: datetime | None = None


class ClearingStep(StrEnum):
    """How far the end of a hold has come; each step waits for the runner's own words."""

    CLEARED = "cleared?"  # asked: has a clinician cleared you to run?
    WHO = "who?"  # asked: who, and when?
    WHO_SURE = "who, sure?"  # asked once more whether it was somebody whose word counts
    WHEN = "when?"  # asked for the day alone
    WORD = "word"  # asked for the typed word `cleared`
    MISREAD = "misread?"  # asked: was the sentence about something else?
    MISREAD_SURE = "misread, sure?"  # shown the sentence again, asked once more


@dataclass(frozen=True, slots=True)
class Clearing:
    """An end of a hold under way; it lapses 24 h after `since`. `who` answers "who, and when?"."""

    step: ClearingStep
    since: datetime
    who: str = ""
