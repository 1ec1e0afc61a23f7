"""Whether a nudge may go out when it does, and whether it offers only what the rules of the plan allow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from nudgebot.domain.model.nudged import Nudged, NudgeKind
from nudgebot.domain.model.runner import Book, Ill, LimitReason, OnHold, Walking
from nudgebot.domain.model.week import SessionKind
from nudgebot.tools.simulate.judge import published as rule
from nudgebot.tools.simulate.judge.findings import Breach, Finding
from nudgebot.tools.simulate.judge.record import DAY, Record

A_DAY, A_WEEK = 2, 8  # nudges to one runner at most, what was asked for and safety follow-ups aside
UNCOUNTED = frozenset({NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED, NudgeKind.COACH_DIGEST})
ON_HOLD = frozenset({NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED})
LOW_MOOD = frozenset({"low mood for weeks", "thoughts of self-harm"})
WHILE_ILL = frozenset({NudgeKind.HOW_ARE_YOU, NudgeKind.SNOOZED})


@dataclass(frozen=True, slots=True)
class Offer:
    """A session that a nudge names: on which day, how long (min), and whether it is a walk."""

    day: date
    minutes: int
    kind: SessionKind

    @property
    def is_run(self) -> bool:
        """Whether running is in it."""
        return self.kind is not SessionKind.WALK


def is_quiet(book: Book, at: datetime) -> bool:
    """Whether the runner's wall clock shows quiet hours at `at`; a reminder time chosen inside them ends them."""
    profile = book.profile
    clock = at.astimezone(profile.tz).time()
    start, end, remind = profile.quiet_from, profile.quiet_to, profile.remind_at
    if start == end:
        return False
    minutes = [_minute(each) for each in (clock, start, end, remind)]
    now, end_, remind_ = ((minute - minutes[1]) % 1440 for minute in (minutes[0], minutes[2], minutes[3]))
    # Counted from the beginning of the quiet hours, whatever midnight lies between.
    return now < min(end_, remind_)


def too_many(sent: Sequence[tuple[datetime, date]], at: datetime, day: date) -> bool:
    """Whether one more nudge at `at`, on the calendar date `day`, is a third of the day or a ninth of seven days."""
    a_day = sum(other == day for _, other in sent)
    a_week = sum(at - when < timedelta(days=7) for when, _ in sent)
    return a_day >= A_DAY or a_week >= A_WEEK


def paused(book: Book, nudged: Nudged, day: date) -> Iterator[Finding]:
    """A nudge of a kind that illness or a hold leaves no room for."""
    match book.standing:
        case OnHold() if nudged.kind not in ON_HOLD and not _asks_after_low_mood(book, nudged):
            yield Finding(Breach.NUDGED_PAUSED, day, f"{nudged.kind} on hold")
        case Ill() if nudged.kind not in WHILE_ILL:
            yield Finding(Breach.NUDGED_PAUSED, day, f"{nudged.kind} while ill")
        case _:
            return


def _asks_after_low_mood(book: Book, nudged: Nudged) -> bool:
    """The kind question a day or three days after low mood was told; a hold that came with it stops no such word."""
    told = {nudged.for_day - timedelta(days=1), nudged.for_day - timedelta(days=3)}
    moods = [note.day for note in book.symptoms if note.sign in LOW_MOOD]
    return nudged.kind is NudgeKind.HOW_ARE_YOU and not told.isdisjoint(moods)


def offered(record: Record, offers: Sequence[Offer]) -> Iterator[Finding]:
    """What a nudge offers and a cap, a return, a rest day or the runner's own word forbids."""
    cap = record.session_cap(record.today)
    for offer in offers:
        day = offer.day
        if not offer.is_run:
            continue
        if isinstance(record.book.standing, Walking):
            yield Finding(Breach.OFFER, day, "a run to who walks until cleared")
        if offer.minutes > cap:
            yield Finding(Breach.OFFER, day, f"{offer.minutes} of {cap} min")
        limit = record.book.limit_on(day)
        closed = {LimitReason.REST, LimitReason.ILL, LimitReason.PAIN, LimitReason.AWAY}
        if limit is not None and not limit.minutes and limit.reason in closed:
            yield Finding(Breach.OFFER, day, f"a run on a day closed by {limit.reason}")
        ran = sum(record.counted_on(day - DAY * n) for n in range(1, 7))
        most = _seven_days(record, day)
        if most and ran + offer.minutes > most:
            yield Finding(Breach.OFFER, day, f"{ran + offer.minutes} of {most} min in seven days")
        streak = 1
        while record.ran.get(day - DAY * streak, 0) >= rule.RUN_FROM:
            streak += 1
        if streak > record.run_days_in_a_row(day):
            yield Finding(Breach.OFFER, day, f"run day {streak} in a row")


def _seven_days(record: Record, day: date) -> int:
    """The most that seven days may hold (min); 0 on the way back, which has a cap of its own."""
    week = record.book.week_of(day)
    if week is None or record.is_coming_back(day):
        return 0
    return max(rule.week_cap(record.mean_week(week.start), record.window_percent), week.target + week.longest)


def _minute(wall: time) -> int:
    return wall.hour * 60 + wall.minute
