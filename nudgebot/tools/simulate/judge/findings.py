"""What must never happen, by name, and in the words of the report."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Breach(StrEnum):
    """One kind of what must be 0; the value is how it reads after a number."""

    NEEDLESS_GAP = "plans with a gap day that could be avoided"
    SINGLE_SESSION = "sessions over the single-session cap"
    SEVEN_DAYS = "plans over the seven-day cap"
    RUN_DAYS = "plans with too many run days in a row"
    TIME = "sessions longer than the runner's time"
    GRID = "sessions off the grid, or under 20 min"
    WEEK_STEP = "weeks over the weekly step"
    NO_LIGHTER_WEEK = "lighter weeks left out"
    AFTER_LIGHT_WEEK = "weeks after an illness, a hold or a return that step up too far"
    RETURN = "returns faster than the table"
    LADDER = "walk-run steps taken too early"
    EMPTY_WEEK = "weeks on the way back left empty with days open"
    SESSION_GONE = "sessions taken away for a longer run on the way back"
    PLANNED_PAUSED = "plans with a run while ill, on hold or walking first"
    NUDGED_PAUSED = "nudges of the wrong kind while ill or on hold"
    TOO_SOON = "runs planned or offered before the wait after an illness is over"
    NO_PAUSE = "illnesses told in plain words that open no pause"
    HEAT = "runs planned or offered on a day called off for heat"
    HOLD_END = "holds that ended without their steps and their day"
    SILENCE = "weeks that grew while nothing was said"
    OFFER = "nudges that offer what the rules of the plan forbid"
    QUIET = "nudges in quiet hours"
    DOUBLE = "nudges sent twice"
    CROWDED = "nudges beyond two a day or eight in seven days"


@dataclass(frozen=True, slots=True)
class Finding:
    """One breach: what, on which day of the runner's, and the figures of it."""

    breach: Breach
    day: date
    detail: str = ""
