"""What must never happen, looked for with a reading of the rules of its own.

Nothing here asks the replanner, the caps on a session or the nudge rules what they think of themselves: gap days are
counted and their fewest found by trying every choice of run days, the single-session cap is worked out anew, and quiet
hours are read off the wall clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from itertools import product

from nudgebot.domain.model.runner import Book, LimitReason, NudgeKind
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.dose import run_days_allowed
from nudgebot.domain.planning.replan_input import is_coming_back, open_on
from nudgebot.domain.solver.solve import Problem

DAY = timedelta(days=1)
RUN_FROM = 10  # min; a shorter run makes no run day
SHORTEST = 20  # min; the shortest session worth planning
GRID = 5  # min
WINDOW_FROM = 90  # min; seven days may always hold so much, but for a way back
A_DAY, A_WEEK = 2, 8  # nudges to one runner at most, what was asked for and safety follow-ups aside
UNCOUNTED = frozenset({NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED, NudgeKind.COACH_DIGEST})


def gap_days(problem: Problem, runs: Sequence[bool]) -> int:
    """Gap days of a choice of run days: days e of 0 … N+1 that end more than `max_rest_gap` days without activity."""
    cross = problem.cross or (0,) * len(problem.past)
    before = [ran >= RUN_FROM or other >= RUN_FROM for ran, other in zip(problem.past, cross, strict=True)]
    line = [*before, *runs, *(minutes > 0 for minutes in problem.after)]
    reach = problem.max_rest_gap
    first = len(before)
    return sum(not any(line[max(0, e - reach) : e + 1]) for e in range(first, first + len(runs) + 2))


def fewest_gap_days(problem: Problem) -> int:
    """The fewest gap days that any allowed choice of run days has, by trying all of them.

    Every hard limit is an upper one, so the shortest sessions are allowed wherever longer ones are.
    """
    least = -(-max(problem.session_min, 1) // problem.step) * problem.step
    can = [least <= min(minutes, problem.session_max) for minutes in problem.available]
    return min(
        gap_days(problem, runs)
        for runs in product(*((False, True) if open_ else (False,) for open_ in can))
        if _allowed(problem, runs, least)
    )


def _allowed(problem: Problem, runs: Sequence[bool], least: int) -> bool:
    """Whether sessions of `least` minutes on these days keep the seven-day cap and the run days in a row."""
    line = [*problem.past, *(least if run else 0 for run in runs)]
    first = len(problem.past)
    for day, run in enumerate(runs, first):
        if run and sum(line[max(0, day - 6) : day + 1]) > problem.window_max:
            return False
    days = [(minutes >= RUN_FROM, False) for minutes in problem.past]
    days += [(run, run) for run in runs]
    days += [(minutes > 0, False) for minutes in problem.after]
    streak, ours = 0, False
    for run, chosen in days:
        streak, ours = (streak + 1, ours or chosen) if run else (0, False)
        if ours and streak > problem.max_run_days:
            return False
    return True


def has_needless_gaps(problem: Problem) -> bool:
    """Whether the problem's own plan has more gap days than the fewest that its limits allow."""
    gaps = gap_days(problem, [minutes > 0 for minutes in problem.planned])
    return gaps > 0 and gaps > fewest_gap_days(problem)


def longest_before(runs: Iterable[tuple[date, int]], told: tuple[date, int], monday: date) -> int:
    """The longest run (min) of the 30 days before `monday`; `runs` with what a leap counts as, `told` at the intake."""
    # What was told counts from the day before the first session, which may lie in this very week.
    reach = monday - 30 * DAY
    return max(
        (minutes for day, minutes in (told, *(run for run in runs if run[0] < monday)) if reach <= day), default=0
    )


def session_cap(longest: int) -> int:
    """The single-session cap (min) after a longest run: a tenth or five minutes more, 30 always, on the grid."""
    return max(30, longest + 5, longest * 11 // 10) // GRID * GRID


def broken(book: Book, first: date, cap: int, ran: dict[date, int]) -> list[str]:
    """The hard limits that the plan breaks in the week of `first`, from that day on; `ran` holds minutes by day."""
    week = book.week_of(first)
    if week is None:
        return []
    sessions = {s.day: s.minutes for s in book.plan if s.day >= first and week.holds(s.day)}
    done = {day: minutes for day, minutes in ran.items() if day < first}
    found: list[str] = []
    for day, minutes in sessions.items():
        if minutes > cap:
            found.append("single session")
        if minutes > _room(book, day):
            found.append("the runner's time")
        if minutes % GRID or minutes < SHORTEST:
            found.append("grid")
        seven = sum(done.get(day - n * DAY, 0) + sessions.get(day - n * DAY, 0) for n in range(7))
        back = is_coming_back(book, day)
        if (back or seven > WINDOW_FROM) and seven > limits.window_max(book, day):
            found.append("seven days")
        streak = 1
        while sessions.get(day - streak * DAY, 0) or done.get(day - streak * DAY, 0) >= RUN_FROM:
            streak += 1
        if streak > (1 if back else run_days_allowed(book.profile)):
            found.append("run days in a row")
    return found


def _room(book: Book, day: date) -> int:
    """The most minutes of the runner's time on `day`; a flight takes of it and gives none."""
    limit, usual = book.limit_on(day), book.profile.open_minutes[day.weekday()]
    return min(open_on(book, day), usual) if limit and limit.reason is LimitReason.FLIGHT else open_on(book, day)


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


def _minute(wall: time) -> int:
    return wall.hour * 60 + wall.minute
