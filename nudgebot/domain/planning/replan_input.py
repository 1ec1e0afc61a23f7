"""From a runner's book to the replanner's problem: what is still wanted, and what each day can hold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from nudgebot.domain.model.logbook import counted_minutes, other_minutes, run_minutes
from nudgebot.domain.model.parameters import (
    AFTER_ILLNESS,
    LONG_DONE,
    REST_GAP,
    REST_GAP_COMING_BACK,
    RUN_DAYS_COMING_BACK,
    SHORT_FROM,
    STRETCH,
    WALK_RUN_SESSION,
    WALK_RUN_SHORT,
)
from nudgebot.domain.model.runner import Book, LimitReason, Training, Walking
from nudgebot.domain.model.week import GENTLE, SESSION_MIN, STEP, Session, SessionKind, Week, WeekKind, floor5
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.run_days import lengths
from nudgebot.domain.planning.week_template import pattern_of
from nudgebot.domain.solver.solve import Problem

DAY = timedelta(days=1)
PAST_DAYS = 35
AFTER_DAYS = 3
# What is not made up: minutes that a day lost for one of these reasons are let go.
LET_GO = frozenset(
    {LimitReason.AWAY, LimitReason.ILL, LimitReason.PAIN, LimitReason.REST, LimitReason.LET_GO, LimitReason.EVENT}
)


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
        first_laid = next((s.minutes for s in self.week.sessions if s.day == day), 0)
        most = planned or self._ordinary(day)
        if half:
            most = planned or max(SESSION_MIN, floor5(AFTER_ILLNESS.of(most)))
        else:
            share = limits.share_on(self.book.returning, day)
            if first_laid and planned and self.grow and not is_coming_back(self.book, day):
                # Measured from the first layout, so that one replan after the other does not add up.
                most = max(planned, first_laid + STRETCH.value)
            most = max(most, floor5(self.long_run * share / 100))
        if self.book.walk_run is not None:
            most = min(most, WALK_RUN_SESSION.value)
        return min(open_on(self.book, day), most)

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
    planned = {day: session.minutes if (session := book.session_on(day)) else 0 for day in days}
    lost = {day: _lost_for_good(book, day, planned[day]) for day in days}
    ordinary = ordinary_length(book, week)
    has_jumped = jumped(book, week)
    long_to_come = _long_to_come(book, week, days, has_jumped=has_jumped)
    shut = today if today_closed and first == today else None
    wanted = sum(planned.values()) - sum(lost.values())
    # Minutes beyond plan are taken off once: first from what is to be made up, the rest by what the week has left,
    # since an earlier replan may have shortened the days to come for them already.
    if not has_jumped:
        make_up = _to_make_up(book, week, first, shut, ordinary, long_to_come)
        wanted += max(0, make_up - _beyond(book, week, first, book.plan))
    done = counted_minutes(book.log, week.start, (first - week.start).days)
    left = week.target - _gone_for_good(book, week, first) - done
    left -= max(0, _lost_so_far(book, week, first, shut) - ordinary)
    step = grid(book)
    placed = any(
        session.kind is SessionKind.LONG
        and session.day in planned
        and open_on(book, session.day) > 0
        and session.day != shut
        for session in book.plan
    )
    half_until = _half_until(book, days)
    can = Room(book, week, grow=not has_jumped, long_run=0 if placed else long_to_come)
    available = tuple(
        0 if day == shut else can.on(day, planned[day], half=half_until is not None and day <= half_until)
        for day in days
    )
    target = max(0, min(wanted, left))
    if long_to_come and not is_coming_back(book, days[-1]) and not has_jumped:
        others = sum(1 for session in book.plan if session.day in planned and session.kind is not SessionKind.LONG)
        most = min(limits.session_max(book, first), max(available))
        target = _with_long_run(
            target, long_to_come, others, _beyond(book, week, first, book.plan, runs_alone=True), most
        )
    target = target // step * step
    problem = framed(
        book,
        days,
        tuple(planned.values()),
        available,
        target,
        long_to_come,
        window_max=limits.window_max(book, week.end),
    )
    return Framed(first, problem, sum(lost.values()))


def _with_long_run(target: int, long_run: int, others: int, beyond: int, most: int) -> int:
    """The target that takes nothing of the long run to come, whatever was run beside the plan.

    After minutes run `beyond` plan the other sessions to come keep the shortest length at least. Where there are no
    `others`, a remainder that is no session goes onto the long run, up to `most` on its day, and the rest of it is let
    go: else it would come out of the long run.
    """
    beside = target - long_run
    if others:
        return long_run + max(beside, SESSION_MIN) if beyond else target
    if beside >= SESSION_MIN or (beside <= 0 and not beyond):
        return target
    return max(long_run, min(target, most))


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
        max_rest_gap=REST_GAP_COMING_BACK.value if back else REST_GAP.value,
        max_run_days=RUN_DAYS_COMING_BACK.value
        if back or _is_gentle(book, first)
        else dose.run_days_allowed(book.profile),
        stretch_free=STRETCH.value,
        step=grid(book),
    )


def grid(book: Book) -> int:
    """The grid of the plan (min); walk-run knows its sessions in two lengths only, 20 and 30."""
    return WALK_RUN_SESSION.value - WALK_RUN_SHORT.value if book.walk_run is not None else STEP


def is_coming_back(book: Book, day: date) -> bool:
    """Whether `day` lies in a return, or the runner is on walk-run."""
    return book.walk_run is not None or limits.share_on(book.returning, day) < 100


def _is_gentle(book: Book, day: date) -> bool:
    week = book.week_of(day)
    return week is not None and week.kind in GENTLE


def history(book: Book, first: date) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Minutes run, and of other aerobic work, on the 35 days before `first`; walks are runs to who walks so far."""
    start = first - DAY * PAST_DAYS
    past, cross = run_minutes(book.log, start, PAST_DAYS), other_minutes(book.log, start, PAST_DAYS)
    if not _walks(book):
        return past, cross
    return tuple(max(ran, counted_minutes(book.log, start + DAY * n, 1)) for n, ran in enumerate(past)), cross


def ordinary_length(book: Book, week: Week) -> int:
    """Length of a session of the week other than the long run (min)."""
    others = [session.minutes for session in week.sessions if session.kind is not SessionKind.LONG]
    if others:
        return max(others)
    count = dose.sessions(book.profile)[0]
    return max(SESSION_MIN, floor5((week.base - week.long_run) / max(1, count - 1)))


def jumped(book: Book, week: Week) -> bool:
    """Whether a log of the week was a big jump."""
    return any(limits.is_jump(book, entry) for entry in book.log if week.holds(entry.day))


def _ran(book: Book, day: date) -> bool:
    return day in limits.running_days(book) or counted_minutes(book.log, day, 1) >= SHORT_FROM.value


def _walks(book: Book) -> bool:
    return isinstance(book.standing, Walking) or (book.walk_run is not None and book.walk_run.step == 0)


def _lost_for_good(book: Book, day: date, planned: int) -> int:
    """Minutes of the day's session that are let go because of illness, pain, rest or being away."""
    limit = book.limit_on(day)
    return max(0, planned - limit.minutes) if limit is not None and limit.reason in LET_GO else 0


def _gone_for_good(book: Book, week: Week, first: date) -> int:
    """Minutes of the week's first layout, on days before `first`, that illness, pain, rest or being away took."""
    past = (session for session in week.sessions if session.day < first)
    return sum(max(0, _lost_for_good(book, s.day, s.minutes) - counted_minutes(book.log, s.day, 1)) for s in past)


def _short(book: Book, session: Session) -> int:
    """Minutes that a session of a past day lacks and that may be made up; under ten are none."""
    limit = book.limit_on(session.day)
    if limit is not None and limit.reason in LET_GO:
        return 0
    short = session.minutes - counted_minutes(book.log, session.day, 1)
    return short if short >= SHORT_FROM.value else 0


def _to_make_up(book: Book, week: Week, first: date, shut: date | None, ordinary: int, long_to_come: int) -> int:
    """At most one missed ordinary session, and the long run if it was missed: of a week without a big jump.

    What today's session lost by the hour is still among the planned minutes, so it is not added again.
    """
    over = [s for s in book.plan if week.start <= s.day < first and s.day != shut]
    planned_today = sum(s.minutes for s in book.plan if s.day == shut and s.kind is not SessionKind.LONG)
    missed = sum(_short(book, s) for s in over if s.kind is not SessionKind.LONG)
    long_run = sum(_short(book, s) for s in over if s.kind is SessionKind.LONG) if long_to_come else 0
    return long_run + max(0, min(ordinary, missed + planned_today) - planned_today)


def _lost_so_far(book: Book, week: Week, first: date, shut: date | None) -> int:
    """Minutes of ordinary sessions, as the week was first laid, that were missed and not run on other days.

    However often the week was replanned since, no more than one session of them is made up.
    """
    first_laid = {s.day: s for s in week.sessions if s.day < first or s.day == shut}
    missed = sum(_short(book, s) for s in first_laid.values() if s.kind is not SessionKind.LONG)
    return missed - _beyond(book, week, first, first_laid.values())


def _beyond(book: Book, week: Week, first: date, laid: Iterable[Session], *, runs_alone: bool = False) -> int:
    """Minutes of past days of the week beyond the sessions laid on them: of all that counts, or of runs alone."""
    planned = {session.day: session.minutes for session in laid}
    done: Counter[date] = Counter()
    for entry in book.log:
        if week.start <= entry.day < first and (entry.is_run if runs_alone else entry.counts):
            done[entry.day] += entry.minutes
    return sum(max(0, minutes - planned.get(day, 0)) for day, minutes in done.items())


def _long_to_come(book: Book, week: Week, days: tuple[date, ...], *, has_jumped: bool) -> int:
    """Length of the week's long run where it is still to come: not run at 90 %, not let go."""
    if not week.long_run:
        return 0
    longest = max((e.minutes for e in book.log if e.counts and week.holds(e.day) and e.day < days[0]), default=0)
    if longest * 100 >= LONG_DONE.value * week.long_run:
        return 0
    for session in book.plan:
        if session.kind is not SessionKind.LONG or not week.holds(session.day):
            continue
        if session.day in days and not _lost_for_good(book, session.day, session.minutes):
            return week.long_run
        if session.day < days[0] and _short(book, session) and not has_jumped:
            return week.long_run
    return 0


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
