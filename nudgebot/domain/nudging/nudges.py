"""Which nudges a book calls for at an instant, and whether one is still true now; pure, so it can be replayed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from nudgebot.domain.model.nudged import Nudged, NudgeKind, Outcome
from nudgebot.domain.model.parameters import OUTAGE
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.nudging import throttle, triggers
from nudgebot.domain.nudging.payloads import Call, Calls, Payload, make_payload
from nudgebot.domain.nudging.throttle import APART, Reason, strength
from nudgebot.domain.nudging.times import is_unwanted, next_day_turn, quiet_until, stale_at
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.gap import open_session

ANSWER = "answer"  # the slot of a review that followed an answer
AT_ONCE = timedelta(seconds=1)  # what is due but not settled yet is looked at now, and now is past


@dataclass(frozen=True, slots=True)
class NudgeVerdict:
    """What became of one nudge that fell due; `payload` is what it is about where it is sent, else None."""

    nudged: Nudged
    payload: Payload | None


@dataclass(frozen=True, slots=True)
class Pending:
    """A nudge that would be sent at `at` (UTC) if nothing changed."""

    kind: NudgeKind
    at: datetime


def note_heard(book: Book, at: datetime) -> Book:
    """The book of a runner who was heard at `at`: that day's nudges are answered, and a silence is over."""
    today = book.today(at)
    answered = tuple(
        replace(nudged, answered_at=at)
        if nudged.outcome is Outcome.SENT and nudged.for_day == today and nudged.answered_at is None
        else nudged
        for nudged in book.nudges
    )
    runner = replace(book.runner, last_heard=max(book.runner.last_heard, at), stopped=False, reachable=True)
    return replace(book, runner=runner, nudges=answered)


def settle_due(book: Book, now: datetime, called: Calls | None = None) -> tuple[NudgeVerdict, ...]:
    """Every nudge that fell due by `now` and is not settled in `book.nudges`, decided; strongest first.

    At most one is sent, snoozes aside; after an outage one in all. What waits for the end of quiet hours and will
    still help then is not decided yet. `called` is what `triggers.find_calls` says, where the caller has asked it.
    """
    open_calls = _find_unsettled(book, triggers.find_calls(book, now) if called is None else called)
    settled: list[NudgeVerdict] = []
    sent: Call | None = None
    fresh: list[Call] = []
    for call in sorted(open_calls, key=strength):
        if call.due_at > now:
            continue
        quiet = quiet_until(book, now)
        if now > stale_at(call.kind, call.due_at):
            settled.append(_settle(call, now, Outcome.DROPPED, Reason.TOO_LATE))
        elif quiet is None:
            fresh.append(call)
        elif quiet > stale_at(call.kind, call.due_at):
            settled.append(_settle(call, now, Outcome.DROPPED, Reason.QUIET))
    outage = any(now - call.due_at > OUTAGE.span for call in fresh)
    coming = [call for call in open_calls if call.due_at > now]
    for call in fresh:
        if sent is not None and (outage or call.kind is not NudgeKind.SNOOZED):
            reviewed = sent.kind is NudgeKind.WEEK_REVIEW and call.kind is NudgeKind.MORNING
            reason: Reason | None = Reason.IN_REVIEW if reviewed else Reason.STRONGER
        else:
            reason = _why_held(book, call, coming, now)
        if reason is not None:
            settled.append(_settle(call, now, Outcome.HELD_BACK, reason))
            continue
        settled.append(_settle(call, now, Outcome.SENT, Reason.DUE, make_payload(book, call)))
        sent = call
    return tuple(settled)


def next_look(book: Book, now: datetime, called: Calls | None = None) -> datetime | None:
    """The instant after `now` at which to look at the book again; None if nothing comes until the runner writes.

    `called` as for `settle_due`: what was settled since does not change it.
    """
    if triggers.is_muted(book):
        return None
    looks = [snooze.at for snooze in book.snoozes if snooze.at > now]
    called = triggers.find_calls(book, now) if called is None else called
    if called.days_until is not None and now < called.days_until:
        looks.append(next_day_turn(book, now))
    for call in _find_unsettled(book, called):
        if call.due_at > now:
            looks.append(call.due_at)
        elif now <= stale_at(call.kind, call.due_at):
            looks.append(quiet_until(book, now) or now + AT_ONCE)
    return min(looks, default=None)


def review_with_answer(book: Book, now: datetime) -> NudgeVerdict | None:
    """The week review that follows an answer to the last day's question; None if it was said or is to come.

    For the conversation, once that day's session is done or called off after the review's usual time.
    """
    day = book.today(now)
    call = Call(NudgeKind.WEEK_REVIEW, day, ANSWER, triggers.review_at(book, day))
    if triggers.is_muted(book) or not isinstance(book.standing, Training | Walking) or now < call.due_at:
        return None
    if triggers.ended_week(book, day) is None or open_session(book, day) is not None:
        return None
    if throttle.is_said_already(book, call):
        return None
    return _settle(call, now, Outcome.SENT, Reason.ANSWERED, make_payload(book, call))


def forecast_nudges(book: Book, now: datetime, days: int = 7) -> tuple[Pending, ...]:
    """What would be sent in the `days` days from `now` on if nothing were heard, in order."""
    until = now + timedelta(days=days)
    found: list[Pending] = []
    look: datetime | None = now
    while look is not None and look <= until:
        book = planner.roll(book, book.today(look))
        for verdict in settle_due(book, look):
            book = replace(book, nudges=(*book.nudges, verdict.nudged))
            if verdict.payload is not None:
                found.append(Pending(verdict.nudged.kind, look))
        look = next_look(book, look)
    return tuple(found)


def why_withdrawn(book: Book, kind: NudgeKind, for_day: date, slot: str, now: datetime) -> Reason | None:
    """Why the nudge may not leave at `now`; None if it is still called for, not too late, not in quiet hours."""
    if triggers.is_muted(book):
        return Reason.SILENCED
    call = next((call for call in triggers.find_calls(book, now).calls if call.key == (kind, for_day, slot)), None)
    if call is None:
        if not isinstance(book.standing, Training | Walking):
            return Reason.PAUSED
        return Reason.RUN_ALREADY if any(entry.day == for_day for entry in book.log) else Reason.CHANGED
    if now > stale_at(kind, call.due_at):
        return Reason.TOO_LATE
    if quiet_until(book, now) is not None:
        return Reason.QUIET
    if is_unwanted(book, kind, now):
        return Reason.UNWANTED
    return Reason.CHANGED if now < call.due_at else None


def _find_unsettled(book: Book, called: Calls) -> list[Call]:
    keys = {(nudged.kind, nudged.for_day, nudged.slot) for nudged in book.nudges}
    return [call for call in called.calls if call.key not in keys and not throttle.is_said_already(book, call)]


def _why_held(book: Book, call: Call, coming: list[Call], now: datetime) -> Reason | None:
    """Why `call` stays unsent at `now`: too much went out before, or a stronger one is about to."""
    reason = throttle.why_too_much(book, call, now)
    if reason is not None or call.kind is NudgeKind.SNOOZED:
        return reason
    for other in coming:
        if other.kind is call.kind:
            continue
        near = other.due_at - call.due_at <= APART or other.due_at - now <= APART
        if near and strength(other) < strength(call) and throttle.why_too_much(book, other, other.due_at) is None:
            return Reason.STRONGER
    return None


def _settle(
    call: Call, now: datetime, outcome: Outcome, reason: Reason, payload: Payload | None = None
) -> NudgeVerdict:
    return NudgeVerdict(Nudged(call.kind, call.for_day, call.slot, call.due_at, now, outcome, reason), payload)
