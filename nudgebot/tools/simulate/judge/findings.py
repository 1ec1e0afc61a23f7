"""What the judge knows: what a line of a simulated runner means, and what must never happen, in words of the report."""

from __future__ import annotations

import re
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


class Meant(StrEnum):
    """What a line is about."""

    RUN = "run"
    SKIP = "skip"
    BUSY = "busy"
    AWAY = "away"
    CHAT = "chat"
    QUESTION = "question"
    NIGGLE = "niggle"
    COLD = "cold"  # above the neck: no pause
    ILL = "ill"  # flu, covid and the like without a word of fever
    STOMACH = "stomach"
    FEVER = "fever"
    CLINICIAN = "clinician"
    URGENT = "urgent"
    EMERGENCY = "emergency"
    HEAT = "heat"  # weather in which exercise is called off
    WELL = "well"  # over, with no sign left
    OTHER = "other"


ILLNESSES = frozenset({Meant.ILL, Meant.STOMACH, Meant.FEVER})
# What opens a pause by docs/safety.md, in the plainest words of five languages.
_PLAIN = re.compile(
    r"\b(?:fever|flu(?!')|influenza|covid|stomach (?:bug|flu)|vomit(?:ing|ed)?|throwing up|threw up|chest infection|"
    r"ill in bed|fieber|grippe|magen-?darm|fiebre|gripe|vomit\w+|fièvre|gastro|febre|corona)\b",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"\b(?:no|not|kein\w*|sin|pas de|sem|without|zero)\b[^.,;]{0,12}\b(?:fever|fieber|fiebre|fièvre|febre)|febre não|"
    r"fiebre no",
    re.IGNORECASE,
)
_THEIRS = re.compile(r"\b(?:kid|kids|wife|husband|mann|frau|enfants|menino|nieto|mari|lad)\w*\b", re.IGNORECASE)


def says_illness_plainly(text: str) -> bool:
    """Whether the line names an illness in words that nobody could take for another thing."""
    return bool(_PLAIN.search(text)) and not _DENIED.search(text) and not _THEIRS.search(text)
