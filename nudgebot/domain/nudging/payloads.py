"""What a nudge that a book calls for is, and what its message is about: one frozen class for each kind, no wording."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import assert_never

from nudgebot.domain.model.intake import DatedEvent, LearnedHour
from nudgebot.domain.model.nudged import NudgeKind, Snooze
from nudgebot.domain.model.parameters import DAY_CLOSES, RUN_DAY_FROM, WALK_BRIDGE
from nudgebot.domain.model.runner import Book, LimitReason, Walking
from nudgebot.domain.model.week import SESSION_MIN, Session, SessionKind, Week
from nudgebot.domain.nudging.learned_hour import says_moved
from nudgebot.domain.nudging.times import evening_before
from nudgebot.domain.planning.gap import open_days, open_on, open_session, rhythm
from nudgebot.domain.planning.more import may_run

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


@dataclass(frozen=True, slots=True)
class ShortForm:
    """The smallest session that keeps the rhythm: whole minutes, and what it is."""

    minutes: int
    kind: SessionKind


@dataclass(frozen=True, slots=True)
class SafetyFollowup:
    """Asks whether a clinician has been seen."""


@dataclass(frozen=True, slots=True)
class HowAreYou:
    """Asks better, same or worse after a complaint of the day before. `spot` is the body part named, if any."""

    spot: str = ""
    mood: bool = False  # about low mood, told a day or three days before


@dataclass(frozen=True, slots=True)
class GapWarning:
    """Two rest days are nearly full: `last_day` is the last that keeps the rhythm.

    `shortest` is the smallest session that keeps it, `open_days` the days up to `last_day` that the runner left
    open for a run, `session` the open session of the day it is said on, `slot` "evening" or "morning".
    `indoors` that the weather called off running outside on `last_day`: then a walk indoors is all that is named.
    """

    last_day: date
    shortest: ShortForm
    open_days: tuple[date, ...]
    slot: str
    session: Session | None
    indoors: bool = False


@dataclass(frozen=True, slots=True)
class MorningReminder:
    """Today's session. `short_form` is what comes first on a day that the runner called busy.

    `keeps_rhythm` says that today is the last day that keeps the two-day rule.
    """

    session: Session
    short_form: ShortForm | None
    keeps_rhythm: bool
    moved: LearnedHour | None = None  # the first to come at a learned hour


@dataclass(frozen=True, slots=True)
class CheckIn:
    """One question about today's session. `tomorrow_open` says whether tomorrow is a day to offer."""

    session: Session
    tomorrow_open: bool


@dataclass(frozen=True, slots=True)
class FirstWord:
    """The first word after days without a reply, and the smallest step back in; `last` of the two."""

    session: ShortForm
    last: bool


@dataclass(frozen=True, slots=True)
class Snoozed:
    """The nudge `kind` that the runner put off; `session` is the one it is about, if any.

    `indoors` that the weather called off running outside on the day it comes back.
    """

    kind: NudgeKind
    session: Session | None
    indoors: bool = False


@dataclass(frozen=True, slots=True)
class EventWord:
    """A word about an event: before it, or after it, and then whether it is in the log."""

    event: DatedEvent
    over: bool = False
    logged: bool = False


@dataclass(frozen=True, slots=True)
class WeekReview:
    """The week that ended. `session` is today's, where the review stands in for its morning reminder."""

    week: Week
    session: Session | None


Payload = (
    SafetyFollowup | HowAreYou | GapWarning | MorningReminder | CheckIn | WeekReview | FirstWord | Snoozed | EventWord
)


def make_payload(book: Book, call: Call) -> Payload:
    """What `call` is about, with all that its wording needs."""
    if call.slot == EVENT and (event := book.intake.event) is not None:
        logged = any(entry.day == event.day and entry.is_run for entry in book.log)
        return EventWord(event, call.kind is NudgeKind.HOW_ARE_YOU, logged)
    match call.kind:
        case NudgeKind.SAFETY_FOLLOWUP:
            return SafetyFollowup()
        case NudgeKind.HOW_ARE_YOU if call.slot == WHILE_ILL:
            return HowAreYou()
        case NudgeKind.HOW_ARE_YOU:
            before = call.for_day - timedelta(days=1)
            note = next((n for n in reversed(book.symptoms) if n.day == before and n.level == "rest"), None)
            return HowAreYou(mood=True) if note is None else HowAreYou(note.spot)
        case NudgeKind.GAP_WARNING:
            return _gap_warning(book, call)
        case NudgeKind.MORNING:
            return _morning(book, call)
        case NudgeKind.CHECK_IN:
            return _check_in(book, call)
        case NudgeKind.SILENCE:
            last = call.slot == "last"
            return FirstWord(_shortest(book, call.for_day), last)
        case NudgeKind.SNOOZED:
            snooze = next(s for s in book.snoozes if s.key == call.slot)
            indoors = book.off_outside(book.today(call.due_at))
            return Snoozed(snooze.kind, snoozed_session(book, snooze), indoors)
        case NudgeKind.WEEK_REVIEW:
            return _week_review(book, call)
        case NudgeKind.COACH_DIGEST:
            raise ValueError(call.kind)  # the digest is the group's, and no runner's book calls for it
        case _:
            assert_never(call.kind)


def _gap_warning(book: Book, call: Call) -> GapWarning:
    state = rhythm(book, call.for_day)
    if state is None:
        raise ValueError(call)
    first = call.for_day
    if call.slot == EVENING and book.local(call.due_at).time() >= time(DAY_CLOSES.value):
        first += timedelta(days=1)
    last = state.last_allowed
    days, walks = open_days(book, first, last), _walks(book)
    # What the plan's own limits forbid is not offered: then it is the walk that bridges the gap.
    days = days if walks else tuple(day for day in days if may_run(book, day))
    shortest = ShortForm(SESSION_MIN, SessionKind.EASY) if days and not walks else _walk(book, last)
    session = open_session(book, call.for_day)
    return GapWarning(last, shortest, days, call.slot, session, book.off_outside(last))


def _morning(book: Book, call: Call) -> MorningReminder:
    session = reminded_session(book, call.for_day)
    if session is None:
        raise ValueError(call)
    state = rhythm(book, call.for_day)
    keeps = state is not None and state.last_allowed == call.for_day
    moved = says_moved(book, call.for_day)
    limit = book.limit_on(call.for_day)
    usual = book.profile.open_minutes[call.for_day.weekday()]
    # A run that was moved to this day brought its room with it: that is no busy day.
    if limit is None or limit.reason is not LimitReason.BUSY or limit.minutes >= max(usual, session.minutes):
        return MorningReminder(session, None, keeps, moved)
    short: ShortForm | None = None
    if limit.minutes < SESSION_MIN:
        short = ShortForm(RUN_DAY_FROM.value, SessionKind.WALK)
    elif session.minutes > SESSION_MIN:
        short = ShortForm(SESSION_MIN, SessionKind.EASY if session.kind is SessionKind.LONG else session.kind)
    return MorningReminder(session, short, keeps, moved)


def _check_in(book: Book, call: Call) -> CheckIn:
    session = open_session(book, call.for_day)
    if session is None:
        raise ValueError(call)
    tomorrow = call.for_day + timedelta(days=1)
    later = may_run(book, tomorrow) if session.kind is not SessionKind.WALK else open_on(book, tomorrow)
    return CheckIn(session, bool(later))


def _week_review(book: Book, call: Call) -> WeekReview:
    week = book.week_of(call.for_day)
    if week is None:
        raise ValueError(call)
    tomorrow = call.for_day + timedelta(days=1)
    names_next = call.slot == MORNING or evening_before(book)
    return WeekReview(week, open_session(book, tomorrow) if names_next else None)


def _shortest(book: Book, day: date) -> ShortForm:
    """The smallest session that keeps the rhythm on `day`; a walk in a return, on walk-run and while walking."""
    return ShortForm(SESSION_MIN, SessionKind.EASY) if may_run(book, day) and not _walks(book) else _walk(book, day)


def _walks(book: Book) -> bool:
    return book.returning is not None or book.walk_run is not None or isinstance(book.standing, Walking)


def _walk(book: Book, day: date) -> ShortForm:
    short = RUN_DAY_FROM.value <= open_on(book, day) < SESSION_MIN
    return ShortForm(RUN_DAY_FROM.value if short else WALK_BRIDGE.value, SessionKind.WALK)
