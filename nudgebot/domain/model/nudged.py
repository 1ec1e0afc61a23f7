"""What is sent unasked: its kinds, what became of one that fell due, one that was put off, and how much is wanted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final


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


WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class NudgeAmount(StrEnum):
    """Which kinds of nudge are wanted."""

    USUAL = "as usual"
    FEWER = "fewer"  # the gap warning and the week review
    WEEKLY = "once a week"  # the week review


class DayPart(StrEnum):
    """The half of the day in which nudges are wanted; noon parts the two."""

    ANY = "any time"
    MORNINGS = "mornings"
    EVENINGS = "evenings"


@dataclass(frozen=True, slots=True)
class NudgeWish:
    """What the runner asked for. `eve`: the reminder comes the evening before. `without`: weekdays (0 = Monday).

    `silent_to` is the last day on which nothing is sent.
    """

    amount: NudgeAmount = NudgeAmount.USUAL
    part: DayPart = DayPart.ANY
    eve: bool = False
    without: tuple[int, ...] = ()
    silent_to: date | None = None

    @property
    def text(self) -> str:
        """The canonical text: "fewer; evenings; evening before; not sun; silent to 2027-03-12"."""
        parts = [
            self.amount.value if self.amount is not NudgeAmount.USUAL else "",
            self.part.value if self.part is not DayPart.ANY else "",
            "evening before" if self.eve else "",
            f"not {' '.join(WEEKDAYS[day] for day in self.without)}" if self.without else "",
            f"silent to {self.silent_to.isoformat()}" if self.silent_to else "",
        ]
        return "; ".join(filter(None, parts)) or NudgeAmount.USUAL.value


AS_USUAL: Final = NudgeWish()


def wish_of(text: str) -> NudgeWish | None:
    """The wish of a canonical text; None for any other text."""
    amount, part, eve, silent = NudgeAmount.USUAL, DayPart.ANY, False, None
    without: tuple[int, ...] = ()
    for piece in text.split("; "):
        name, _, rest = piece.partition(" ")
        try:
            if piece in set(NudgeAmount):
                amount = NudgeAmount(piece)
            elif piece in set(DayPart):
                part = DayPart(piece)
            elif piece == "evening before":
                eve = True
            elif name == "not":
                without = tuple(WEEKDAYS.index(day) for day in rest.split())
            elif piece.startswith("silent to "):
                silent = date.fromisoformat(piece.removeprefix("silent to "))
            else:
                return None
        except ValueError:
            return None
    wish = NudgeWish(amount, part, eve, without, silent)
    return wish if wish.text == text else None
