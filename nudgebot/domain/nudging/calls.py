"""What a nudge that a book calls for is, and which session it is about."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from nudgebot.domain.model.nudged import NudgeKind, Snooze
from nudgebot.domain.model.parameters import RUN_DAY_FROM
from nudgebot.domain.model.runner import Book, LimitReason
from nudgebot.domain.model.week import SESSION_MIN, Session
from nudgebot.domain.planning.gap import open_session

EVENING, MORNING = "evening", "morning"
EVENT = "event"  # the slot of what is said about an event
EVE = "eve"  # the slot of a reminder that comes the evening before
WHILE_ILL = "ill"  # the slot of the question in an illness: its days are set, and no restraint thins them out


@dataclass(frozen=True, slots=True)
class Call:
    """One nudge that the book calls for: what it is, about which day, and the instant (UTC) it falls due."""

    kind: NudgeKind
    for_day: date
    slot: str
    due_at: datetime

    @property
    def key(self) -> tuple[NudgeKind, date, str]:
        """What makes it one and the same nudge."""
        return self.kind, self.for_day, self.slot


@dataclass(frozen=True, slots=True)
class Calls:
    """What a book calls for, in no order; `days_until` is until when each new day may call for more, None if none."""

    calls: tuple[Call, ...] = ()
    days_until: datetime | None = None


def reminded_session(book: Book, day: date) -> Session | None:
    """The session that a morning reminder of `day` is about.

    On a day that the runner marked as too busy for a run but not for a walk it is the session first laid out.
    """
    session = open_session(book, day)
    limit = book.limit_on(day)
    if session is not None or limit is None or limit.reason is not LimitReason.BUSY:
        return session
    if not RUN_DAY_FROM.value <= limit.minutes < SESSION_MIN or book.session_on(day) is not None:
        return None
    if any(entry.day == day for entry in book.log):
        return None
    week = book.week_of(day)
    return next((s for s in week.sessions if s.day == day), None) if week is not None else None


def snoozed_session(book: Book, snooze: Snooze) -> Session | None:
    """The open session that a snoozed nudge is about: of its own day, else of the day it comes back."""
    return open_session(book, snooze.for_day) or open_session(book, book.today(snooze.at))
