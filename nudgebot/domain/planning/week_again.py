"""The week under way laid out again: after days without a run, a late log, a changed setting."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from nudgebot.domain.model.logbook import counted_minutes, entries_between
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.model.week import SESSION_MIN, STEP, SessionKind, Week, WeekKind
from nudgebot.domain.planning import limits, walk_run
from nudgebot.domain.planning.event_weeks import figures_of
from nudgebot.domain.planning.replan_input import DAY
from nudgebot.domain.planning.season import CALM
from nudgebot.domain.planning.ways_back import coming_back
from nudgebot.domain.planning.week_builder import lay


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
    plan = tuple(s if s.day < today else walk_run.labelled(book, s) for s in book.plan)
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
