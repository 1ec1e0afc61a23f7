"""The standing week of a runner: which weekdays hold a session and how long, and whether they can hold the dose."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import combinations
from typing import TypeAlias

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.intake import OpenDays
from nudgebot.domain.model.parameters import DAYS_OPENED
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SESSION_MIN, STEP, Session, SessionKind, WeekKind, floor5
from nudgebot.domain.planning import dose
from nudgebot.domain.planning.dose import Layout, lengths, longest_gap, run_days

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


Opened: TypeAlias = tuple[tuple[int, int], ...]  # weekdays (0 = Monday), and the most minutes on each


@dataclass(frozen=True, slots=True)
class Shortfall:
    """The open days hold `held` min a week, the goal asks for `wanted` at least.

    `opens` are the weekdays (0 = Monday) that would make the room, each with the minutes it would need; empty if
    more than two days would have to change.
    """

    held: int
    wanted: int
    opens: Opened


def shortfall(book: Book) -> Shortfall | None:
    """What the open days lack at the top of the dose, by the standing week alone; None if they hold the dose."""
    wanted, held = dose.band(book.profile)[0], sum(_standing_week(book, book.profile.open_minutes).minutes)
    return Shortfall(held, wanted, _to_open(book, wanted)) if held < wanted else None


def _standing_week(book: Book, open_minutes: OpenDays) -> Pattern:
    """The week at the top of the dose."""
    profile = replace(book.profile, open_minutes=open_minutes)
    top = dose.band(profile)[1]
    return pattern_of(replace(book, profile=profile), top, dose.long_run_length(profile), WeekKind.STEADY)


def _is_enough(book: Book, opened: Opened, wanted: int) -> bool:
    return sum(_standing_week(book, _with(book.profile.open_minutes, opened)).minutes) >= wanted


def _to_open(book: Book, wanted: int) -> Opened:
    """The fewest days that make the room: without a gap, open ones first, then the fewest minutes, the most even."""
    minutes = book.profile.open_minutes
    lengths = sorted({dose.dose_of(book.profile.goal).ordinary, dose.long_run_length(book.profile)} - {0})
    for count in range(1, DAYS_OPENED.value + 1):
        found: list[tuple[tuple[bool, int, int, int, bool], Opened]] = []
        for days in combinations(range(7), count):
            for length in lengths:
                opened = tuple((day, max(length, minutes[day])) for day in days)
                if _is_enough(book, opened, wanted):
                    least = _least(book, opened, wanted)
                    layout = _standing_week(book, _with(minutes, least)).layout
                    closed = sum(minutes[day] < SESSION_MIN for day in days)
                    more = sum(most - minutes[day] for day, most in least)
                    other = book.profile.long_day not in days
                    found.append(((not layout.gap_ok, closed, more, longest_gap(layout.days), other), least))
        if found:
            return min(found)[1]
    return ()


def _least(book: Book, opened: Opened, wanted: int) -> Opened:
    """The same days with as few minutes as still make the room, on the grid."""
    minutes = book.profile.open_minutes
    for place, (day, _) in enumerate(opened):
        for most in range(max(SESSION_MIN, minutes[day] // STEP * STEP), opened[place][1], STEP):
            tried = (*opened[:place], (day, most), *opened[place + 1 :])
            if _is_enough(book, tried, wanted):
                opened = tried
                break
    return opened


def _with(minutes: OpenDays, opened: Opened) -> OpenDays:
    most = dict(opened)
    a, b, c, d, e, f, g = (most.get(day, held) for day, held in enumerate(minutes))
    return (a, b, c, d, e, f, g)
