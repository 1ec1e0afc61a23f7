"""The end of a hold that is under way, step by step."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


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
