"""The standing week of a runner: which weekdays hold a session, how long, and which is the long run."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SESSION_MIN, Session, SessionKind, WeekKind, floor5
from nudgebot.domain.planning import dose
from nudgebot.domain.planning.run_days import Layout, lengths, run_days

SINGLE_KINDS = {WeekKind.WALK_RUN: SessionKind.WALK_RUN, WeekKind.WALKING: SessionKind.WALK}


@dataclass(frozen=True, slots=True)
class Pattern:
    """Minutes by weekday (0 = Monday) before any cap, and how the days were chosen.

    `long_day` is the weekday of the long run, None if the sessions are alike.
    """

    minutes: tuple[int, int, int, int, int, int, int]
    long_day: int | None
    layout: Layout
    kind: WeekKind

    def session(self, day: date) -> Session | None:
        """The session that the pattern has on `day`."""
        minutes = self.minutes[day.weekday()]
        if not minutes:
            return None
        single = SINGLE_KINDS.get(self.kind)
        if single is not None:
            return Session(day, minutes, single)
        return Session(day, minutes, SessionKind.LONG if day.weekday() == self.long_day else SessionKind.EASY)

    def week(self, start: date) -> tuple[Session, ...]:
        """The sessions of the week that begins on `start`."""
        days = (start + timedelta(days=n) for n in range(7))
        return tuple(session for day in days if (session := self.session(day)) is not None)


def pattern_of(book: Book, full: int, long_run: int, kind: WeekKind) -> Pattern:
    """The standing week for `full` minutes with a long run of `long_run` (min, 0: sessions alike).

    Where fewer days can be run on than the week has sessions, each keeps its ordinary length and the week
    shrinks; with a single day it is an ordinary session.
    """
    profile = book.profile
    open_days = sum(minutes >= SESSION_MIN for minutes in profile.open_minutes)
    usual = dose.sessions_for(profile, full, open_days)
    gentle = kind in {WeekKind.RETURN, WeekKind.WALK_RUN, WeekKind.WALKING, WeekKind.REGAIN}
    count = min(usual, rules.RETURN_SESSIONS.value) if gentle else usual
    # A return drops sessions and keeps the length of the others: its share is one of the sessions as they were.
    parts = _walk_run_parts(full, count) if kind in SINGLE_KINDS else _parts(book, full, usual, long_run)[:count]
    layout = run_days(
        profile.open_minutes,
        count,
        profile.long_day,
        rules.RUN_DAYS_COMING_BACK.value if gentle else dose.run_days_allowed(profile),
        ordinary=parts[-1],
        long_run=parts[0],
    )
    others = list(parts[1:]) if len(layout.days) > 1 else [parts[-1]]
    minutes = [0] * 7
    long_on = layout.long_day if len(layout.days) > 1 else None
    for day in layout.days:
        most = profile.open_minutes[day]
        wanted = parts[0] if day == long_on else others.pop(0)
        if kind in SINGLE_KINDS:
            minutes[day] = wanted if wanted <= most else rules.WALK_RUN_SHORT.value
        else:
            minutes[day] = min(wanted, floor5(most))
    a, b, c, d, e, f, g = minutes
    return Pattern((a, b, c, d, e, f, g), long_on if long_run else None, layout, kind)


def _parts(book: Book, full: int, count: int, long_run: int) -> tuple[int, ...]:
    """Session lengths, the long run first, which is at most its share of the week."""
    most = floor5(full * dose.dose_of(book.profile.goal).share / 100)
    return lengths(full, count, min(long_run, most) if long_run else 0)


def _walk_run_parts(full: int, count: int) -> tuple[int, ...]:
    """Session lengths of a walk-run week: as many whole ones as fit, the others in the short form."""
    short, whole = rules.WALK_RUN_SHORT.value, rules.WALK_RUN_SESSION.value
    longer = min(count, max(0, full - count * short) // (whole - short))
    return (whole,) * longer + (short,) * (count - longer)
