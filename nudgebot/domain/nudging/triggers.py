"""Which nudges a book calls for on the days around now, by the state of log and plan alone.

A call says what would be true to say and when; whether it may go out is for throttle.py to say, and what was
already settled is not looked at here, so the same question can be asked again when a letter leaves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.event import closes
from nudgebot.domain.model.nudged import NudgeKind, Snooze
from nudgebot.domain.model.parameters import OVERTAKEN_AFTER, REVIEW_AT, SILENCE_FIRST, SILENCE_LAST, WARN_AT
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, Joining, LimitReason, OnHold, Training, Walking, at_wall
from nudgebot.domain.model.week import Week, WeekKind
from nudgebot.domain.nudging import times
from nudgebot.domain.nudging.payloads import (
    EVE,
    EVENING,
    EVENT,
    MORNING,
    WHILE_ILL,
    Call,
    Calls,
    reminded_session,
    snoozed_session,
)
from nudgebot.domain.planning.gap import Rhythm, announced, away_on, commutes_on, day_exists, open_session, rhythm
from nudgebot.domain.planning.limits import low
from nudgebot.domain.text.symptoms.table import MIND

SILENCES = (SILENCE_FIRST.value, SILENCE_LAST.value)


def is_muted(book: Book) -> bool:
    """Whether nothing at all is sent until the runner writes."""
    return book.runner.stopped or not book.runner.reachable or isinstance(book.standing, Joining)


def find_calls(book: Book, now: datetime) -> Calls:
    """Every nudge called for from a day before `now` to a day after it; nothing while muted."""
    if is_muted(book):
        return Calls()
    days_until = None
    match book.standing:
        case OnHold():
            found = [*follow_ups(book, book.standing), *how_are_you(book, now, mood_alone=True), *_snoozed(book, now)]
        case Ill():
            found = [*how_are_you_ill(book, book.standing), *_snoozed(book, now)]
        case Training() | Walking():
            silences = silence_due(book)
            days_until = silences[-1]
            found = [*_ordinary(book, now, silences), *_snoozed(book, now)]
        case _:
            found = []
    left = (call for call in found if not away_on(book, book.today(call.due_at)) and not _is_overtaken(book, call))
    return Calls(tuple(left), days_until)


def _is_overtaken(book: Book, call: Call) -> bool:
    """Whether the runner was heard since the call fell due: what became true by their own word needs no nudge."""
    if call.kind in (NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED):
        return False
    return book.runner.last_heard > call.due_at + OVERTAKEN_AFTER.span


def silence_due(book: Book) -> tuple[datetime, ...]:
    """When the first word after silence falls due, and the last one: 7 and 14 days after the runner was heard.

    Days away are no silence: they are counted from their end.
    """
    heard = book.local(book.runner.last_heard)
    day = heard.date()
    away = [limit.day for limit in book.limits if limit.reason is LimitReason.AWAY and limit.day > day]
    for gone in sorted(away):
        if gone <= day + timedelta(days=SILENCES[0]):
            day = gone
    due = (at_wall(day + timedelta(days=days), heard.time(), book.profile) for days in SILENCES)
    return tuple(times.quiet_until(book, at) or at for at in due)


def _ordinary(book: Book, now: datetime, silences: tuple[datetime, ...]) -> Iterator[Call]:
    for due, slot in zip(silences, ("first", "last"), strict=True):
        yield Call(NudgeKind.SILENCE, book.today(due), slot, due)
    # The first word stands alone on its day, and after the last one nothing comes.
    alone = {book.today(due) for due in silences}
    state = None if low(book, book.today(now)) else rhythm(book, book.today(now))
    for day in days_around(book, now):
        warnings = tuple(_gap(book, day, state))
        # The evening's gap warning takes the place of the check-in.
        warned = any(call.slot == EVENING for call in warnings)
        # While mood is low every session is optional: nobody asks after one that was left out.
        asked: Iterable[Call] = () if warned or low(book, day) else _check_in(book, day)
        for call in (*_morning(book, day), *warnings, *asked, *_review(book, day), *_event(book, day)):
            if _gives_way_to_event(book, call):
                continue
            if book.today(call.due_at) not in alone and call.due_at < silences[-1]:
                yield call
    for call in how_are_you(book, now):
        if call.due_at < silences[-1]:
            yield call


def _event(book: Book, day: date) -> Iterator[Call]:
    """The one message on the day of an event, and the kind question on the evening after it."""
    event = book.intake.event
    if event is not None and event.day == day:
        due = times.reminder_due(book, day)
        yield Call(NudgeKind.MORNING, day, EVENT, due)
        after = times.at_or_before_quiet(book, day + timedelta(days=1), WARN_AT.clock)
        yield Call(NudgeKind.HOW_ARE_YOU, day, EVENT, after)


def _gives_way_to_event(book: Book, call: Call) -> bool:
    """Whether a call has to give way to an event: anything else on its day, and gaps from the eve to the last day of
    rest."""
    event = book.intake.event
    if event is None or call.slot == EVENT:
        return False
    at = book.today(call.due_at)
    return at == event.day or (call.kind is NudgeKind.GAP_WARNING and closes(event, at))


def _morning(book: Book, day: date) -> Iterator[Call]:
    if reminded_session(book, day) is not None:
        due = times.reminder_due(book, day)
        yield Call(NudgeKind.MORNING, day, EVE if book.local(due).date() < day else "", due)


def _gap(book: Book, day: date, state: Rhythm | None) -> Iterator[Call]:
    if state is None:
        return
    last = state.last_allowed
    if day not in (last - timedelta(days=1), last) or commutes_on(book, last):
        return
    saved = open_session(book, last)
    at = times.warn_at(book, day, open_session(book, day))
    if day == last and saved is not None and at is not None:
        yield Call(NudgeKind.GAP_WARNING, day, EVENING, at)
    if saved is not None or announced(book, state):
        return
    if day == last:
        yield Call(NudgeKind.GAP_WARNING, day, MORNING, times.reminder_at(book, day))
    elif at is not None:
        yield Call(NudgeKind.GAP_WARNING, day, EVENING, at)


def _check_in(book: Book, day: date) -> Iterator[Call]:
    session = open_session(book, day)
    at = times.check_in_at(book, session) if session is not None else None
    asked = book.asked  # whether to run at all today, after a complaint
    if session is None or at is None or (asked is not None and asked.what is Ask.CHOICE and asked.day == day):
        return
    if ended_week(book, day) is not None:
        # The review becomes the check-in, at its own time, unless the run cannot be over by then.
        at = min(at, max(review_at(book, day), times.run_over_at(book, session)))
    yield Call(NudgeKind.CHECK_IN, day, "", at)


def _review(book: Book, day: date) -> Iterator[Call]:
    if ended_week(book, day) is None:
        return
    if open_session(book, day) is None:
        yield Call(NudgeKind.WEEK_REVIEW, day, EVENING, review_at(book, day))
    yield Call(NudgeKind.WEEK_REVIEW, day, MORNING, times.reminder_at(book, day + timedelta(days=1)))


def review_at(book: Book, day: date) -> datetime:
    """When the review of a week that ends on `day` falls due that evening."""
    return times.at_or_before_quiet(book, day, REVIEW_AT.clock)


def ended_week(book: Book, day: date) -> Week | None:
    """The week to look back on at the end of `day`: the one that ends then, unless it was a pause or all away."""
    week = book.week_of(day)
    if week is None or week.end != day or week.kind is WeekKind.PAUSE:
        return None
    gone = all(away_on(book, week.start + timedelta(days=n)) for n in range(7))
    return None if gone else week


def _snoozed(book: Book, now: datetime) -> Iterator[Call]:
    for snooze in book.snoozes:
        due = times.quiet_until(book, snooze.at) or snooze.at
        if abs(due - now) < timedelta(days=2) and _still_asked_for(book, snooze):
            yield Call(NudgeKind.SNOOZED, snooze.for_day, snooze.key, due)


def _still_asked_for(book: Book, snooze: Snooze) -> bool:
    follow_up = snooze.kind is NudgeKind.SAFETY_FOLLOWUP
    if isinstance(book.standing, OnHold) or follow_up:
        return isinstance(book.standing, OnHold) and follow_up
    if isinstance(book.standing, Ill):
        return snooze.kind is NudgeKind.HOW_ARE_YOU
    day = book.today(snooze.at)
    match snooze.kind:
        case NudgeKind.MORNING | NudgeKind.CHECK_IN:
            return snoozed_session(book, snooze) is not None
        case NudgeKind.GAP_WARNING:
            state = rhythm(book, day)
            return state is not None and state.last_active < snooze.for_day
        case _:
            return True


FOLLOW_UP_AFTER, FOLLOW_UP_EVERY = rules.FOLLOW_UP_FIRST.span, rules.FOLLOW_UP_NEXT.span


def days_around(book: Book, now: datetime) -> Iterator[date]:
    """The runner's days from a day before `now` to a day after it, those that exist in their zone."""
    today = book.local(now).date()
    for offset in (-1, 0, 1):
        day = today + timedelta(days=offset)
        if day_exists(day, book.profile.zone):
            yield day


def how_are_you(book: Book, now: datetime, *, mood_alone: bool = False) -> Iterator[Call]:
    """The kind question on the day after a complaint, and after low mood; `mood_alone` on hold."""
    for day in days_around(book, now) if book.symptoms else ():
        before = day - timedelta(days=1)
        complained = any(note.day == before and note.level == "rest" for note in book.symptoms)
        if (complained and not mood_alone) or asks_about_mood(book, day):
            yield Call(NudgeKind.HOW_ARE_YOU, day, "", times.question_due(book, day))


def how_are_you_ill(book: Book, ill: Ill) -> Iterator[Call]:
    """The question on the days of an illness on which it is asked."""
    for after in rules.ILL_DAYS:
        day = ill.since + after.span
        if day_exists(day, book.profile.zone):
            yield Call(NudgeKind.HOW_ARE_YOU, day, WHILE_ILL, times.question_due(book, day))


def asks_about_mood(book: Book, day: date) -> bool:
    """Whether low mood was told a day or three days before `day`."""
    return any(
        note.sign in MIND and day - note.day in (rules.MOOD_DAY.span, rules.MOOD_LATER.span) for note in book.symptoms
    )


def follow_ups(book: Book, hold: OnHold) -> Iterator[Call]:
    """The question after a hold, whether a clinician has been seen."""
    first = book.local(hold.since + FOLLOW_UP_AFTER)
    for n in range(rules.FOLLOW_UPS_MOST.value):
        day = first.date() + n * FOLLOW_UP_EVERY
        at = at_wall(day, first.time().replace(fold=first.fold), book.profile)
        due = times.quiet_until(book, at) or at
        yield Call(NudgeKind.SAFETY_FOLLOWUP, day, str(n + 1), due)
