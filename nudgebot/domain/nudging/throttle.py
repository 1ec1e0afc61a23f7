"""Restraint: how much is too much, so that what is sent stays worth reading.

Fixed, frequent prompts fade within weeks (Klasnja et al., Ann Behav Med 2019;53:573-582), and messages at a
decreasing or individual frequency do better than at a fixed one (Head et al., Soc Sci Med 2013;97:41-48; against
it: Armanasco et al., Am J Prev Med 2017). The figures are this project's own.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Self

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.nudged import Nudged, NudgeKind, Outcome
from nudgebot.domain.model.runner import Book
from nudgebot.domain.nudging.payloads import EVE, MORNING, WHILE_ILL, Call
from nudgebot.domain.nudging.times import is_unwanted

A_DAY, A_WEEK, RESERVED = rules.NUDGES_A_DAY.value, rules.NUDGES_A_WEEK.value, rules.NUDGES_KEPT.value
# A week less a minute: rounds come some seconds late, and the same time a week ago must not count now and then.
WEEK = timedelta(days=7) - timedelta(minutes=1)
APART = timedelta(hours=rules.NUDGES_APART.value)  # of nudges closer than this, the strongest
UNANSWERED = rules.NUDGES_UNANSWERED.value

_FREE = frozenset({NudgeKind.SNOOZED, NudgeKind.COACH_DIGEST})  # in no limit of the runner's
_FOR_THE_RESERVE = frozenset({NudgeKind.GAP_WARNING, NudgeKind.WEEK_REVIEW})
_ORDER = {kind: place for place, kind in enumerate(NudgeKind)}


class Reason(StrEnum):
    """Why a nudge was settled as it was: the word that is stored, and in `text` the reason as a sentence."""

    text: str

    def __new__(cls, word: str, text: str = "") -> Self:
        """A reason by its word."""
        reason = str.__new__(cls, word)
        reason._value_, reason.text = word, text
        return reason

    DUE = "due", "It was due."
    ANSWERED = "answered", "It follows an answer of the runner's."
    STRONGER = "stronger", "A stronger nudge falls due within three hours."
    TOO_CLOSE = "too close", "Another nudge went out less than three hours before."
    DAY_FULL = "day full", "Two nudges went out today."
    WEEK_FULL = "week full", "Eight nudges went out in seven days."
    RESERVED = "reserved", "What is left of the week is kept for gap warning, review and the first word after silence."
    UNANSWERED = "unanswered", "Two of this kind had no answer, so every second one is skipped."
    IN_REVIEW = "in the review", "The week review of this morning names the session."
    TOO_LATE = "too late", "It could not go out in time to help."
    QUIET = "quiet hours", "Quiet hours hold it back until it is too late to help."
    UNWANTED = "unwanted", "The runner asked for fewer messages, or for none at this time (/settings, messages)."
    SILENCED = "not to be written to", "The runner said stop, or cannot be reached."
    PAUSED = "paused", "The runner pauses."
    RUN_ALREADY = "run already", "A run of that day was logged before it left."
    CHANGED = "plan changed", "The plan changed before it left."
    ERASED = "erased", "Nothing is kept of the runner any more."


def strength(call: Call) -> float:
    """The place of a call among others, 0 the strongest.

    A week review put off to the morning comes before that morning's reminder, whose session it names: else it
    would be put off again and again. One of the evening comes before the reminder of the next day, for the same reason.
    """
    if call.kind is NudgeKind.MORNING and call.slot == EVE:
        return _ORDER[NudgeKind.WEEK_REVIEW] + 0.5
    if call.kind is NudgeKind.WEEK_REVIEW and call.slot == MORNING:
        return _ORDER[NudgeKind.MORNING] - 0.5
    return _ORDER[call.kind]


def is_said_already(book: Book, call: Call) -> bool:
    """Whether what `call` would say has been said under another slot."""
    match call.kind:
        case NudgeKind.GAP_WARNING | NudgeKind.WEEK_REVIEW:
            return any(n.kind is call.kind and n.for_day == call.for_day for n in _sent(book))
        case NudgeKind.HOW_ARE_YOU if call.slot != WHILE_ILL:
            asked = {n.for_day for n in _sent(book) if n.kind is call.kind}
            return {call.for_day - timedelta(days=n) for n in range(1, rules.HOW_ARE_YOU_DAYS.value + 1)} <= asked
        case _:
            return False


def why_too_much(book: Book, call: Call, at: datetime) -> Reason | None:
    """Why `call` may not go out at `at`, by what went out before; None if it may."""
    if call.kind in _FREE or call.kind is NudgeKind.SAFETY_FOLLOWUP:
        return None
    if is_unwanted(book, call.kind, at):
        return Reason.UNWANTED
    # A review that followed an answer was part of it: nobody was written to unasked.
    sent = [n for n in _sent(book) if n.kind not in _FREE and n.reason != Reason.ANSWERED]
    if any(abs(at - n.at) <= APART or abs(call.due_at - n.due_at) <= APART for n in sent):
        return Reason.TOO_CLOSE
    counted = [n for n in sent if n.kind is not NudgeKind.SAFETY_FOLLOWUP]
    week = [n for n in counted if at - n.at < WEEK]
    if sum(_same_day(book, n.at, at) for n in week) >= A_DAY:
        return Reason.DAY_FULL
    if len(week) >= A_WEEK:
        return Reason.WEEK_FULL
    if call.kind not in _FOR_THE_RESERVE and _others(week) >= A_WEEK - RESERVED:
        return Reason.RESERVED
    unheard = [n for n in week if n.at > book.runner.last_heard]
    # While nothing is heard, one place stays free for the first word after silence.
    if call.kind is not NudgeKind.SILENCE and (
        len(unheard) >= A_WEEK - 1 or (call.kind not in _FOR_THE_RESERVE and _others(unheard) >= A_WEEK - RESERVED - 1)
    ):
        return Reason.RESERVED
    return Reason.UNANSWERED if _fades(book, call, at) else None


def _fades(book: Book, call: Call, at: datetime) -> bool:
    if (call.kind is NudgeKind.GAP_WARNING and call.slot == MORNING) or call.slot == WHILE_ILL:
        return False
    today = book.today(at)
    unanswered = 0
    for nudged in reversed(book.nudges):
        if nudged.kind is not call.kind:
            continue
        if nudged.outcome is Outcome.HELD_BACK and nudged.reason == Reason.UNANSWERED and not unanswered:
            return False  # the last one was skipped: this is the other of the two
        if nudged.outcome is not Outcome.SENT:
            continue
        if nudged.answered_at or nudged.at < book.runner.last_heard or book.today(nudged.at) >= today:
            return False
        unanswered += 1
        if unanswered == UNANSWERED:
            return True
    return False


def _others(nudges: list[Nudged]) -> int:
    return sum(n.kind not in _FOR_THE_RESERVE for n in nudges)


def _sent(book: Book) -> list[Nudged]:
    return [n for n in book.nudges if n.outcome is Outcome.SENT]


def _same_day(book: Book, one: datetime, other: datetime) -> bool:
    """Whether two instants share the runner's day, or the calendar's: whoever counts by either finds no third."""
    by_calendar: date = book.local(one).date()
    return book.today(one) == book.today(other) or by_calendar == book.local(other).date()
