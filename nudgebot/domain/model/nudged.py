"""What is sent unasked: its kinds, what became of one that fell due, and one that was put off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class NudgeKind(StrEnum):
    """Kinds of nudge, strongest first (the order of restraint)."""

    SAFETY_FOLLOWUP = "safety_followup"
    HOW_ARE_YOU = "how_are_you"
    GAP_WARNING = "gap_warning"
    MORNING = "morning"
    CHECK_IN = "check_in"
    WEEK_REVIEW = "week_review"
    SILENCE = "silence"
    COACH_DIGEST = "coach_digest"
    SNOOZED = "snoozed"


class Outcome(StrEnum):
    """What became of a nudge that fell due."""

    SENT = "sent"
    HELD_BACK = "held back"  # restraint: not sent, and that is the end of it
    DROPPED = "dropped"  # no longer true, or too late to help


@dataclass(frozen=True, slots=True)
class Nudged:
    """A nudge that was settled. `slot` tells two of a kind on one day apart ("evening", "morning", "").

    `answered_at` is when the runner was first heard after it on its day, None if they were not.
    """

    kind: NudgeKind
    for_day: date
    slot: str
    due_at: datetime
    at: datetime
    outcome: Outcome
    reason: str
    answered_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Snooze:
    """A nudge the runner asked for: send `kind` about `for_day` at `at`; `key` is the message it came from."""

    key: str
    kind: NudgeKind
    for_day: date
    at: datetime
