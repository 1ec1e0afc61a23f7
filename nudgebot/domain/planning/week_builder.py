"""A week laid on its dates: the standing week, bent to the days that are closed and to the caps; and the week under way
laid out again, after days without a run, a late log, a changed setting.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache

from nudgebot.domain.model.logbook import active_days, counted_minutes, entries_between, run_minutes
from nudgebot.domain.model.parameters import AFTER_ILLNESS, LONG_STEP, REST_GAP, SECOND_HALF, WEEK_FLOOR
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.model.week import SESSION_MIN, STEP, Session, SessionKind, Week, WeekKind, floor5
from nudgebot.domain.planning import event_weeks, limits, ways_back
from nudgebot.domain.planning.event_weeks import figures_of
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.replan_input import DAY, Room, framed
from nudgebot.domain.planning.season import CALM, Figures
from nudgebot.domain.planning.still_wanted import LET_GO, lost_for_good
from nudgebot.domain.planning.ways_back import coming_back, labelled, old_longest
from nudgebot.domain.planning.week_template import pattern_of
from nudgebot.domain.solver.problem import Problem
from nudgebot.domain.solver.search import solve


def lay(book: Book, start: date, figures: Figures, first_day: date) -> Week:
    """The week that begins on `start`, with sessions from `first_day` on.

    No session breaks a cap, falls on a closed day or leaves a gap that could be avoided. A first week is laid
    as the runner's days have it: of the days before it nothing is known.
    """
    book = limits.as_planned(book)
    full = figures.full
    most = limits.week_max(book, start)
    gentle = figures.kind in {WeekKind.RETURN, WeekKind.PAUSE}  # these have caps of their own
    cap = figures.most if gentle else most
    while True:
        week = _lay(book, start, replace(figures, full=full), first_day, most)
        if full <= WEEK_FLOOR.value or not cap or week.target <= cap:
            return week
        full -= STEP


def _lay(book: Book, start: date, figures: Figures, first_day: date, most: int) -> Week:
    empty = Week(start, 0, 0, figures.kind, full=figures.full)
    if figures.kind is WeekKind.PAUSE:
        return empty
    around = event_weeks.fitted(book, start) if figures.kind is WeekKind.EVENT else book
    pattern = pattern_of(around, figures.full, figures.long_run, figures.kind)
    cap = limits.session_max(book, start)
    wanted = [
        labelled(book, replace(session, minutes=_sized(book, session, cap, figures.kind)))
        for session in pattern.week(start)
        if session.day >= first_day
    ]
    wanted = [
        replace(session, minutes=max(SESSION_MIN, floor5(AFTER_ILLNESS.of(session.minutes))))
        if n < book.half_runs
        else session
        for n, session in enumerate(wanted)
    ]
    wanted = event_weeks.lightened(book, figures.full, wanted)
    if not book.weeks:
        fitting = [replace(s, minutes=floor5(min(s.minutes, open_on(book, s.day)))) for s in wanted]
        return _week(empty, [s for s in fitting if s.minutes >= SESSION_MIN])
    if not wanted and figures.kind is WeekKind.RETURN:
        wanted = _any_open_day(book, first_day, empty)
    if not wanted:
        return empty
    return _bent(book, _week(empty, within_return(book, wanted)), first_day, most)


def _any_open_day(book: Book, first_day: date, week: Week) -> list[Session]:
    """The shortest session on the first open day left, where none of the usual run days is: no week is left empty."""
    days = (first_day + DAY * n for n in range((week.end - first_day).days + 1))
    day = next((day for day in days if open_on(book, day) >= SESSION_MIN), None)
    return [] if day is None else [labelled(book, Session(day, SESSION_MIN))]


def _sized(book: Book, session: Session, cap: int, kind: WeekKind) -> int:
    """The session's minutes under the single-session cap, and at its share in a return."""
    if session.kind in {SessionKind.WALK, SessionKind.WALK_RUN}:
        return session.minutes if limits.share_on(book.returning, session.day) == 100 else SESSION_MIN
    # A return's share is one of the sessions as they were laid, and those had a cap of their own.
    whole = min(session.minutes, old_longest(book) or session.minutes) if kind is WeekKind.RETURN else session.minutes
    minutes = max(SESSION_MIN, floor5(whole * limits.share_on(book.returning, session.day) / 100))
    out_of_it = book.returning is not None and session.day > book.returning.end
    if kind is WeekKind.RETURN and out_of_it and session.kind is SessionKind.LONG:
        minutes = min(minutes, floor5(SECOND_HALF.of(session.minutes)) + LONG_STEP.value)
    return min(minutes, cap)


def _bent(book: Book, week: Week, first_day: date, most: int) -> Week:
    """The week solved as a problem of its own: closed days, what was run before it, the caps.

    `most` is the most that the week may be planned with (min).
    """
    days = tuple(first_day + DAY * n for n in range((week.end - first_day).days + 1))
    planned = tuple(week.minutes_on(day) for day in days)
    lost = sum(lost_for_good(book, *each) for each in zip(days, planned, strict=True))
    long_on = next((s.day for s in week.sessions if s.kind is SessionKind.LONG), None)
    long_lost = long_on is not None and (limit := book.limit_on(long_on)) is not None and limit.reason in LET_GO
    long_run = 0 if long_lost else week.long_run
    room = Room(book, week, grow=True, long_run=long_run if long_on and not open_on(book, long_on) else 0)
    # No session outgrows the week's longest: the seven-day cap rests on its length.
    available = tuple(min(room.on(day, minutes), week.longest) for day, minutes in zip(days, planned, strict=True))
    laid, target = week, sum(planned) - lost
    while True:
        problem = framed(
            replace(book, weeks=(*book.weeks, laid)),
            days,
            planned,
            available,
            max(0, target),
            long_run,
            window_max=limits.window_for(book, week.end, laid.target, laid.longest, most),
        )
        x = _solved(problem)
        placed = within_return(book, dated(week.kind, week.sessions, days, x, long_run))
        laid = _no_fuller(book, _week(week, [labelled(book, session) for session in placed]))
        # The seven-day cap rests on the week's target and its longest session; where they shrank, so did the cap.
        # It ends: what is laid keeps the cap it was laid under, so each further round is under a lower one.
        if limits.window_for(book, week.end, laid.target, laid.longest, most) >= _peak(problem, laid, days):
            return laid
        target = laid.target


def most_of(book: Book, week: Week) -> int:
    """The most minutes that a week may be laid with; `book` holds the weeks before it.

    A gap that the days before have opened, or that other run days bring, is closed first, by one of the shortest;
    not in a lighter week.
    """
    active = active_days(book.log)
    opened = not any(week.start - DAY * n in active for n in range(1, REST_GAP.value + 1))
    closes = opened or book.weeks[-1].kind is WeekKind.REGAIN
    return week.base + (SESSION_MIN if closes and week.kind is not WeekKind.LIGHTER else 0)


def _no_fuller(book: Book, week: Week) -> Week:
    """The week without the last of the sessions that a gap would add to what it should hold."""
    if week.kind in {WeekKind.RETURN, WeekKind.WALK_RUN, WeekKind.WALKING}:
        return week
    while week.target > most_of(book, week) and len(week.sessions) > 1:
        week = _week(week, week.sessions[:-1])
    return week


@lru_cache(maxsize=256)
def _solved(problem: Problem) -> tuple[int, ...]:
    """The best plan; a week not yet begun is laid out again each day, and mostly it is the same problem."""
    return solve(problem).x


def _peak(problem: Problem, week: Week, days: Sequence[date]) -> int:
    """Most minutes in the seven days that end on a run day of `week`, of which `days` are what the problem is about."""
    x = tuple(week.minutes_on(day) for day in days)
    minutes = (*problem.past, *x)
    before = len(problem.past)
    return max((sum(minutes[max(0, before + d - 6) : before + d + 1]) for d, today in enumerate(x) if today), default=0)


def _week(week: Week, sessions: Sequence[Session]) -> Week:
    long_run = max((s.minutes for s in sessions if s.kind is SessionKind.LONG), default=0)
    return replace(week, sessions=tuple(sessions), target=sum(s.minutes for s in sessions), long_run=long_run)


def dated(
    week: WeekKind, stood: Sequence[Session], days: Sequence[date], x: Sequence[int], long_run: int
) -> list[Session]:
    """The minutes of a plan as sessions; the longest is the long run where one is to come.

    `stood` are the sessions of the week before: of equals the long run is on the day that it had in them.
    """
    kinds = {WeekKind.WALK_RUN: SessionKind.WALK_RUN, WeekKind.WALKING: SessionKind.WALK}
    kind = kinds.get(week, SessionKind.EASY)
    sessions = [Session(day, minutes, kind) for day, minutes in zip(days, x, strict=True) if minutes]
    if not long_run or not sessions:
        return sessions
    planned = next((s.day for s in stood if s.kind is SessionKind.LONG), None)
    longest = max(sessions, key=lambda s: (s.minutes, s.day == planned))
    return [replace(s, kind=SessionKind.LONG) if s == longest else s for s in sessions]


def within_return(book: Book, sessions: Sequence[Session]) -> list[Session]:
    """The sessions cut, or left out, so that no seven days of a return pass its share of the old week."""
    book = limits.as_planned(book)
    kept: list[Session] = []
    for session in sessions:
        if limits.share_on(book.returning, session.day) == 100 or book.walk_run is not None:
            kept.append(session)
            continue
        first = session.day - DAY * 6
        had = sum(run_minutes(book.log, first, 7)) + sum(s.minutes for s in kept if first <= s.day)
        minutes = floor5(min(session.minutes, limits.window_for(book, session.day, 0, 0, 0) - had))
        if minutes >= SESSION_MIN:
            kept.append(replace(session, minutes=minutes))
    return kept


def settle(book: Book, today: date) -> Book:
    """The week of `today` as it should stand: laid out again, or left as it is."""
    week = book.week_of(today)
    if week is None:
        return book
    came = coming_back(book, today)
    # A break that goes on moves the return: the week is laid out again with it.
    moved = week.kind is not WeekKind.RETURN or came.returning != book.returning
    back = came.returning is not None and moved and came.walk_run is None
    restarted = came.walk_run is not None and book.walk_run is None
    if back or restarted or week.kind is WeekKind.PAUSE:
        relaid = lay_again(came, today)
        if back and week.kind is WeekKind.RETURN and not relaid.weeks[-1].target:
            return came  # no day of its pattern is left: the week stays as it was, and does not fall to nothing
        return relaid if week.kind is WeekKind.PAUSE or restarted else _no_longer_than(relaid, week.target, today)
    book = _relabelled(came, today)
    if _touched(book, week) or len(book.weeks) == 1:
        return book
    before = replace(book, weeks=book.weeks[:-1], plan=())
    anew = lay(before, week.start, figures_of(before, week.start), week.start)
    if anew == week:
        return book
    return replace(book, weeks=(*before.weeks, anew), plan=anew.sessions)


def lay_again(book: Book, today: date) -> Book:
    """The book with the rest of the current week laid out again; its past days stay as they are."""
    week = book.week_of(today)
    if week is None or week is not book.weeks[-1] or not isinstance(book.standing, Training | Walking):
        return book
    first_day = today + DAY if today in limits.running_days(book, today) else today
    before = replace(book, weeks=book.weeks[:-1])
    figures = figures_of(before, week.start)
    # The week's own sessions say how long a run on the way back was planned: that is how long it counts.
    counted = replace(before, log=limits.as_planned(book).log)
    anew = lay(counted, week.start, figures, first_day) if first_day <= week.end else replace(week, sessions=())
    past = tuple(session for session in book.plan if session.day < first_day)
    ran_days = {s.day for s in week.sessions if s.day < first_day and counted_minutes(book.log, s.day, 1)}
    dropped = ran_days - {session.day for session in past}  # by a hold or an illness of the same day
    done = counted_minutes(book.log, week.start, (first_day - week.start).days)
    plan = tuple(sorted((*past, *anew.sessions)))
    # The target holds what was done and what is to come: in a return that moves on, what was missed is in neither.
    stood = (*past, *(s for s in week.sessions if s.day in dropped))
    ran = (s for s in stood if anew.kind is not WeekKind.RETURN or counted_minutes(book.log, s.day, 1))
    laid = replace(
        anew, target=done + sum(s.minutes for s in anew.sessions), sessions=tuple(sorted((*ran, *anew.sessions)))
    )
    return replace(book, weeks=(*before.weeks, laid), plan=plan)


def _no_longer_than(book: Book, target: int, today: date) -> Book:
    """The book whose current week, laid out again without a word of the runner's, holds no more than `target` minutes.

    The longest session to come gives way, by the grid, then the last: silence never raises the load. One stays.
    """
    week = book.weeks[-1]
    sessions = list(week.sessions)
    spare = target - week.target
    while spare < 0:
        coming = [s for s in sessions if s.day >= today]
        if len(coming) < 2 and all(s.minutes <= SESSION_MIN for s in coming):
            break
        longest = max(coming, key=lambda s: (s.minutes, s.day))
        place = sessions.index(longest)
        if longest.minutes > SESSION_MIN:
            sessions[place] = replace(longest, minutes=longest.minutes - STEP)
            spare += STEP
        else:
            del sessions[place]
            spare += longest.minutes
    if tuple(sessions) == week.sessions:
        return book
    cut = sum(s.minutes for s in week.sessions) - sum(s.minutes for s in sessions)
    long_run = max((s.minutes for s in sessions if s.kind is SessionKind.LONG), default=0)
    shorter = replace(week, target=week.target - cut, long_run=long_run, sessions=tuple(sessions))
    past = tuple(s for s in book.plan if s.day < today)
    return replace(
        book, weeks=(*book.weeks[:-1], shorter), plan=(*past, *(s for s in shorter.sessions if s.day >= today))
    )


def _relabelled(book: Book, today: date) -> Book:
    """The book with the sessions to come named after where the runner is on the walk-run ladder."""
    plan = tuple(s if s.day < today else ways_back.labelled(book, s) for s in book.plan)
    return book if plan == book.plan else replace(book, plan=plan)


def _touched(book: Book, week: Week) -> bool:
    """Whether something in the week was run, replanned, or said about its days."""
    return (
        any(entry.counts for entry in entries_between(book.log, week.start, 7))
        or any(week.holds(limit.day) for limit in book.limits)
        or tuple(session for session in book.plan if week.holds(session.day)) != week.sessions
        or week is not book.weeks[-1]
        or week.kind in CALM
    )
