"""From a runner's book to the replanner's problem: the days that are left, and what each can hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.logbook import counted_minutes, other_minutes, run_minutes
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.model.week import GENTLE, SESSION_MIN, STEP, SessionKind, Week, WeekKind, floor5
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.dose import lengths
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.still_wanted import (
    jumped,
    long_to_come,
    lost_for_good,
    minutes_wanted,
    ordinary_length,
    with_long_run,
)
from nudgebot.domain.planning.week_template import pattern_of
from nudgebot.domain.solver.problem import Problem

DAY = timedelta(days=1)
PAST_DAYS = 35
AFTER_DAYS = 3


@dataclass(frozen=True, slots=True)
class Framed:
    """A problem with its place in the calendar: day 0, and the minutes that are let go before it is asked."""

    first_day: date
    problem: Problem
    let_go: int


@dataclass(frozen=True, slots=True)
class Room:
    """What a replan may put on a day of `week` (min).

    `grow` lets a planned session grow by 15; `long_run` is the length of the long run while it has no day.
    """

    book: Book
    week: Week
    grow: bool
    long_run: int = 0

    def on(self, day: date, planned: int, *, half: bool = False) -> int:
        """The most on `day`, where `planned` minutes are planned; `half` while runs are at half after an illness."""
        room = open_on(self.book, day)
        if not room:
            return 0
        first_laid = self.week.minutes_on(day)
        most = planned or self._ordinary(day)
        if half:
            most = planned or max(SESSION_MIN, floor5(rules.AFTER_ILLNESS.of(most)))
        else:
            share = limits.share_on(self.book.returning, day)
            if first_laid and planned and self.grow and not is_coming_back(self.book, day):
                # Measured from the first layout, so that one replan after the other does not add up.
                most = max(planned, first_laid + rules.STRETCH.value)
            most = max(most, floor5(self.long_run * share / 100))
        if self.book.walk_run is not None:
            most = min(most, rules.WALK_RUN_SESSION.value)
        return min(room, most)

    def _ordinary(self, day: date) -> int:
        """Length of an ordinary session on `day`; in a return its share of one of the old week."""
        old = self.book.returning
        if old is None or self.week.kind is not WeekKind.RETURN:
            return ordinary_length(self.book, self.week)
        open_days = sum(minutes >= SESSION_MIN for minutes in self.book.profile.open_minutes)
        count = dose.sessions_for(self.book.profile, old.old_target, open_days)
        whole = lengths(old.old_target, count, old.old_long)[-1]
        return max(SESSION_MIN, floor5(whole * limits.share_on(old, day) / 100))


def replan_problem(book: Book, today: date, today_closed: bool) -> Framed | None:
    """The rest of the week as a problem; None if no day of it is left or nothing may be replanned.

    Today's session that can no longer be run counts as missed, like one of an earlier day. Work in place of a
    run is weighed against the session of its day, then against what is left.
    """
    if not isinstance(book.standing, Training | Walking):
        return None
    book = limits.as_planned(book)
    week = week_at_hand(book, today)
    first = today + DAY if _ran(book, today) else today
    if week is not None and week.start > today:
        first, today_closed = week.start, False
    if week is None or first > week.end or (first == week.end == today and today_closed):
        return None
    days = tuple(first + DAY * n for n in range((week.end - first).days + 1))
    planned = tuple(session.minutes if (session := book.session_on(day)) else 0 for day in days)
    shut = today if today_closed and first == today else None
    has_jumped = jumped(book, week)
    long_run = long_to_come(book, week, days, has_jumped=has_jumped)
    half_until = _half_until(book, days)
    placed = any(
        s.kind is SessionKind.LONG and s.day in days and open_on(book, s.day) and s.day != shut for s in book.plan
    )
    can = Room(book, week, grow=not has_jumped, long_run=0 if placed else long_run)
    available = tuple(
        0 if day == shut else can.on(day, minutes, half=half_until is not None and day <= half_until)
        for day, minutes in zip(days, planned, strict=True)
    )
    target = minutes_wanted(book, week, days, shut, long_run, has_jumped=has_jumped)
    if long_run and not is_coming_back(book, days[-1]) and not has_jumped:
        most = min(limits.session_max(book, first), max(available))
        target = with_long_run(book, week, days, target, long_run, most)
    window_max = limits.window_max(book, week.end)
    target = target // grid(book) * grid(book)
    problem = framed(book, days, planned, available, target, long_run, window_max=window_max)
    return Framed(first, problem, sum(lost_for_good(book, *each) for each in zip(days, planned, strict=True)))


def week_at_hand(book: Book, today: date) -> Week | None:
    """The week of `today`, or the first week where it lies ahead."""
    if book.weeks and book.weeks[-1].start > today and len(book.weeks) == 1:
        return book.weeks[-1]
    return book.week_of(today)


def framed(
    book: Book,
    days: tuple[date, ...],
    planned: tuple[int, ...],
    available: tuple[int, ...],
    target: int,
    long_run: int,
    *,
    window_max: int,
) -> Problem:
    """The problem of `days` with what the log and the caps say about them."""
    first = days[0]
    back = is_coming_back(book, days[0]) or is_coming_back(book, days[-1])
    past, cross = history(book, first)
    return Problem(
        past=past,
        cross=cross,
        planned=planned,
        available=available,
        after=_after(book, days[-1] + DAY),
        target=target,
        session_max=limits.session_max(book, first),
        window_max=window_max,
        long_run=long_run,
        session_min=SESSION_MIN,
        max_rest_gap=rules.REST_GAP_COMING_BACK.value if back else rules.REST_GAP.value,
        max_run_days=most_run_days(book, days[0], days[-1]),
        stretch_free=rules.STRETCH.value,
        step=grid(book),
    )


def grid(book: Book) -> int:
    """The grid of the plan (min); walk-run knows its sessions in two lengths only, 20 and 30."""
    return rules.WALK_RUN_SESSION.value - rules.WALK_RUN_SHORT.value if book.walk_run is not None else STEP


def is_coming_back(book: Book, day: date) -> bool:
    """Whether `day` lies in a return, or the runner is on walk-run."""
    return book.walk_run is not None or limits.share_on(book.returning, day) < 100


def most_run_days(book: Book, first: date, last: date) -> int:
    """Most run days in a row from `first` to `last`: one on the way back, on walk-run and in a gentle week."""
    week = book.week_of(first)
    gentle = week is not None and week.kind in GENTLE
    back = gentle or is_coming_back(book, first) or is_coming_back(book, last)
    return rules.RUN_DAYS_COMING_BACK.value if back else dose.run_days_allowed(book.profile)


def history(book: Book, first: date) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Minutes run, and of other aerobic work, on the 35 days before `first`; walks are runs to who walks so far."""
    start = first - DAY * PAST_DAYS
    past, cross = run_minutes(book.log, start, PAST_DAYS), other_minutes(book.log, start, PAST_DAYS)
    if not _walks(book):
        return past, cross
    return tuple(max(ran, counted_minutes(book.log, start + DAY * n, 1)) for n, ran in enumerate(past)), cross


def _ran(book: Book, day: date) -> bool:
    return day in limits.running_days(book, day) or counted_minutes(book.log, day, 1) >= rules.SHORT_FROM.value


def _walks(book: Book) -> bool:
    return isinstance(book.standing, Walking) or (book.walk_run is not None and book.walk_run.step == 0)


def _half_until(book: Book, days: tuple[date, ...]) -> date | None:
    """The day of the last run that is still at half after a short illness."""
    if not book.half_runs:
        return None
    coming = [session.day for session in book.plan if session.day in days]
    return coming[book.half_runs - 1] if len(coming) >= book.half_runs else days[-1]


def _after(book: Book, first: date) -> tuple[int, ...]:
    """Minutes planned on the three days from `first` on: the next week, laid out or as it usually is."""
    days = [first + DAY * n for n in range(AFTER_DAYS)]
    if any(session.day >= first for session in book.plan):
        return tuple(session.minutes if (session := book.session_on(day)) else 0 for day in days)
    if not book.weeks:
        return (0,) * AFTER_DAYS
    last = book.weeks[-1]
    usual = pattern_of(book, last.base, last.long_run, last.kind)
    return tuple(min(usual.minutes[day.weekday()], open_on(book, day)) for day in days)
