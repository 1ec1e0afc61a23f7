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

A_DAY, A_WEEK, KEPT = rules.NUDGES_A_DAY.value, rules.NUDGES_A_WEEK.value, rules.NUDGES_KEPT.value
# A week less a minute: rounds come some seconds late, and the same time a week ago must not count now and then.
WEEK = timedelta(days=7) - timedelta(minutes=1)
APART = rules.NUDGES_APART.span  # of nudges closer than this, the strongest
IN_A_ROW = rules.NUDGES_UNANSWERED.value

_FREE = frozenset({NudgeKind.SNOOZED, NudgeKind.COACH_DIGEST})  # in no limit of the runner's
_UNCOUNTED = _FREE | {NudgeKind.SAFETY_FOLLOWUP}  # held back by nothing, and others by it only right after
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
    STRONGER = "stronger", f"A stronger nudge falls due within {rules.NUDGES_APART.value} hours."
    TOO_CLOSE = "too close", f"Another nudge went out less than {rules.NUDGES_APART.value} hours before."
    DAY_FULL = "day full", f"{A_DAY} nudges went out today."
    WEEK_FULL = "week full", f"{A_WEEK} nudges went out in seven days."
    RESERVED = "reserved", "What is left of the week is kept for gap warning, review and the first word after silence."
    UNANSWERED = "unanswered", f"The last {IN_A_ROW} of this kind had no answer, so every second one is skipped."
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
    """Why `call` may not go out at `at`, by what went out before; None if it may.

    The first of these that holds: it is unwanted, another is too close, the day is full, the week is full, what is left
    of the week is kept for others, the latest of its kind had no answer.
    """
    if call.kind in _UNCOUNTED:
        return None
    if is_unwanted(book, call.kind, at):
        return Reason.UNWANTED
    # A review that followed an answer was part of it: nobody was written to unasked.
    sent = [n for n in _sent(book) if n.kind not in _FREE and n.reason != Reason.ANSWERED]
    if any(abs(at - n.at) <= APART or abs(call.due_at - n.due_at) <= APART for n in sent):
        return Reason.TOO_CLOSE
    week = [n for n in sent if n.kind not in _UNCOUNTED and at - n.at < WEEK]
    if sum(_same_day(book, n.at, at) for n in week) >= A_DAY:
        return Reason.DAY_FULL
    if len(week) >= A_WEEK:
        return Reason.WEEK_FULL
    unheard = [n for n in week if n.at > book.runner.last_heard]
    # While nothing is heard, one place stays free for the first word after silence.
    kept = call.kind is not NudgeKind.SILENCE and _finds_no_place(call, unheard, A_WEEK - 1)
    if kept or _finds_no_place(call, week, A_WEEK):
        return Reason.RESERVED
    return Reason.UNANSWERED if _fades(book, call, at) else None


def _finds_no_place(call: Call, sent: list[Nudged], places: int) -> bool:
    """Whether none of so many places is left for `call`; the last ones are kept for gap warning and review."""
    if call.kind in _FOR_THE_RESERVE:
        return len(sent) >= places
    others = sum(n.kind not in _FOR_THE_RESERVE for n in sent)
    return len(sent) >= places or others >= places - KEPT


def _fades(book: Book, call: Call, at: datetime) -> bool:
    """Whether `call` is the one to skip of every two: the last of its kind was not, and the latest had no answer.

    A nudge has none if nothing was heard of the runner since, and its day is over.
    """
    if (call.kind is NudgeKind.GAP_WARNING and call.slot == MORNING) or call.slot == WHILE_ILL:
        return False
    of_kind = [n for n in reversed(book.nudges) if n.kind is call.kind]
    sent_or_skipped = (n for n in of_kind if n.outcome is Outcome.SENT or n.reason == Reason.UNANSWERED)
    last = next(sent_or_skipped, None)
    if last is None or last.reason == Reason.UNANSWERED:
        return False
    latest = [n for n in of_kind if n.outcome is Outcome.SENT][:IN_A_ROW]
    today, heard = book.today(at), book.runner.last_heard
    return len(latest) == IN_A_ROW and all(
        not n.answered_at and n.at >= heard and book.today(n.at) < today for n in latest
    )


def _sent(book: Book) -> list[Nudged]:
    return [n for n in book.nudges if n.outcome is Outcome.SENT]


def _same_day(book: Book, one: datetime, other: datetime) -> bool:
    """Whether two instants share the runner's day, or the calendar's: whoever counts by either finds no third."""
    by_calendar: date = book.local(one).date()
    return book.today(one) == book.today(other) or by_calendar == book.local(other).date()
