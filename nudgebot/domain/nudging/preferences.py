"""What the runner asked for in the way of nudges: when a reminder comes instead, and which are not wanted at all."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Final

from nudgebot.domain.model.nudge_wish import AS_USUAL, DayPart, NudgeAmount, NudgeWish
from nudgebot.domain.model.parameters import EVENING_FROM, NOON, WARN_AT
from nudgebot.domain.model.runner import Book, NudgeKind
from nudgebot.domain.nudging import times

ALWAYS: Final = frozenset({NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED, NudgeKind.COACH_DIGEST})
KINDS: Final = {
    NudgeAmount.FEWER: frozenset({NudgeKind.GAP_WARNING, NudgeKind.WEEK_REVIEW}),
    NudgeAmount.WEEKLY: frozenset({NudgeKind.WEEK_REVIEW}),
}


def wish_in_force(book: Book) -> NudgeWish:
    """What the runner asked for, or the usual."""
    return book.intake.nudges or AS_USUAL


def evening_before(book: Book) -> bool:
    """Whether reminders come the evening before."""
    wish = wish_in_force(book)
    return wish.eve or wish.part is DayPart.EVENINGS


def reminder_due(book: Book, day: date) -> datetime:
    """When the reminder of the session on `day` falls due: that morning, or the evening before where that is wanted."""
    if not evening_before(book):
        return times.reminder_at(book, day)
    chosen = book.profile.remind_at
    wall = chosen if chosen >= EVENING_FROM.clock else WARN_AT.clock
    return times.at_or_before_quiet(book, day - timedelta(days=1), wall)


def question_due(book: Book, day: date) -> datetime:
    """When the question how the runner is falls due on `day`: at the reminder time, or in the evening."""
    if wish_in_force(book).part is DayPart.EVENINGS:
        return times.at_or_before_quiet(book, day, WARN_AT.clock)
    return times.reminder_at(book, day)


def is_unwanted(book: Book, kind: NudgeKind, at: datetime) -> bool:
    """Whether the runner asked not to get a nudge of `kind` at `at`; safety follow-ups and snoozes always go out."""
    wish = wish_in_force(book)
    if wish == AS_USUAL or kind in ALWAYS:
        return False
    if wish.amount in KINDS and kind not in KINDS[wish.amount]:
        return True
    wall = book.local(at)
    if wish.silent_to is not None and wall.date() <= wish.silent_to:
        return True
    if wall.weekday() in wish.without:
        return True
    match wish.part:
        case DayPart.MORNINGS:
            return wall.time() >= NOON.clock
        case DayPart.EVENINGS:
            return wall.time() < NOON.clock
        case DayPart.ANY:
            return False
