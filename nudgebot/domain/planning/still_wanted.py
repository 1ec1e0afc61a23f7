"""What is still wanted of a week: what is planned, what may be made up, and what is let go."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from nudgebot.domain.model.logbook import counted_minutes, entries_between
from nudgebot.domain.model.parameters import LONG_DONE, SHORT_FROM
from nudgebot.domain.model.runner import Book, LimitReason
from nudgebot.domain.model.week import SESSION_MIN, Session, SessionKind, Week, floor5
from nudgebot.domain.planning import dose, limits

# What is not made up: minutes that a day lost for one of these reasons are let go.
LET_GO = frozenset(
    {LimitReason.AWAY, LimitReason.ILL, LimitReason.PAIN, LimitReason.REST, LimitReason.LET_GO, LimitReason.EVENT}
)


def minutes_wanted(
    book: Book, week: Week, days: tuple[date, ...], shut: date | None, long_run: int, *, has_jumped: bool
) -> int:
    """Minutes still wanted on `days`, the rest of `week`; `shut` is today where it is too late for a run.

    `long_run` is the length of the long run that is still to come, else 0 (min). After a big jump nothing is made up.
    """
    first, ordinary = days[0], ordinary_length(book, week)
    coming = [session for session in book.plan if session.day in days]
    wanted = sum(s.minutes - lost_for_good(book, s.day, s.minutes) for s in coming)
    # Minutes beyond plan are taken off once: first from what is to be made up, the rest by what the week has left,
    # since an earlier replan may have shortened the days to come for them already.
    if not has_jumped:
        make_up = _to_make_up(book, week, first, shut, ordinary, long_run)
        wanted += max(0, make_up - _beyond(book, week, first, book.plan))
    left = week.target - _gone_for_good(book, week, first)
    left -= counted_minutes(book.log, week.start, (first - week.start).days)
    left -= max(0, _lost_so_far(book, week, first, shut) - ordinary)
    return max(0, min(wanted, left))


def with_long_run(book: Book, week: Week, days: tuple[date, ...], target: int, long_run: int, most: int) -> int:
    """The target that takes nothing of the long run to come, whatever was run beside the plan.

    After minutes run beyond plan the other sessions to come keep the shortest length at least. Where there are no
    others, a remainder that is no session goes onto the long run, up to `most` on its day, and the rest of it is let
    go: else it would come out of the long run.
    """
    others = any(session.day in days and session.kind is not SessionKind.LONG for session in book.plan)
    beyond = _beyond(book, week, days[0], book.plan, runs_alone=True)
    beside = target - long_run
    if others:
        return long_run + max(beside, SESSION_MIN) if beyond else target
    if beside >= SESSION_MIN or (beside <= 0 and not beyond):
        return target
    return max(long_run, min(target, most))


def ordinary_length(book: Book, week: Week) -> int:
    """Length of a session of the week other than the long run (min)."""
    others = [session.minutes for session in week.sessions if session.kind is not SessionKind.LONG]
    if others:
        return max(others)
    count = dose.sessions(book.profile)[0]
    return max(SESSION_MIN, floor5((week.base - week.long_run) / max(1, count - 1)))


def jumped(book: Book, week: Week) -> bool:
    """Whether a log of the week was a big jump."""
    return any(limits.is_jump(book, entry) for entry in entries_between(book.log, week.start, 7))


def lost_for_good(book: Book, day: date, planned: int) -> int:
    """Minutes of the day's session that are let go because of illness, pain, rest or being away."""
    limit = book.limit_on(day)
    return max(0, planned - limit.minutes) if limit is not None and limit.reason in LET_GO else 0


def long_to_come(book: Book, week: Week, days: tuple[date, ...], *, has_jumped: bool) -> int:
    """Length of the week's long run where it is still to come: not run at 90 %, not let go."""
    if not week.long_run:
        return 0
    so_far = entries_between(book.log, week.start, (days[0] - week.start).days)
    longest = max((entry.minutes for entry in so_far if entry.counts), default=0)
    if longest * 100 >= LONG_DONE.value * week.long_run:
        return 0
    for session in book.plan:
        if session.kind is not SessionKind.LONG or not week.holds(session.day):
            continue
        if session.day in days and not lost_for_good(book, session.day, session.minutes):
            return week.long_run
        if session.day < days[0] and _short(book, session) and not has_jumped:
            return week.long_run
    return 0


def _gone_for_good(book: Book, week: Week, first: date) -> int:
    """Minutes of the week's first layout, on days before `first`, that illness, pain, rest or being away took."""
    past = (session for session in week.sessions if session.day < first)
    return sum(max(0, lost_for_good(book, s.day, s.minutes) - counted_minutes(book.log, s.day, 1)) for s in past)


def _short(book: Book, session: Session) -> int:
    """Minutes that a session of a past day lacks and that may be made up; under ten are none."""
    limit = book.limit_on(session.day)
    if limit is not None and limit.reason in LET_GO:
        return 0
    short = session.minutes - counted_minutes(book.log, session.day, 1)
    return short if short >= SHORT_FROM.value else 0


def _to_make_up(book: Book, week: Week, first: date, shut: date | None, ordinary: int, long_run: int) -> int:
    """At most one missed ordinary session, and the long run if it was missed.

    What today's session lost by the hour is still among the planned minutes, so it is not added again.
    """
    over = [s for s in book.plan if week.start <= s.day < first and s.day != shut]
    planned_today = sum(s.minutes for s in book.plan if s.day == shut and s.kind is not SessionKind.LONG)
    missed = sum(_short(book, s) for s in over if s.kind is not SessionKind.LONG)
    long_missed = sum(_short(book, s) for s in over if s.kind is SessionKind.LONG) if long_run else 0
    return long_missed + max(0, min(ordinary, missed + planned_today) - planned_today)


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
    done: dict[date, int] = {}
    for entry in entries_between(book.log, week.start, (first - week.start).days):
        if entry.is_run if runs_alone else entry.counts:
            done[entry.day] = done.get(entry.day, 0) + entry.minutes
    return sum(max(0, minutes - planned.get(day, 0)) for day, minutes in done.items())
