"""Gap days that could be avoided, found by trying every choice of run days that the limits allow."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import product

from nudgebot.domain.model.week import week_start
from nudgebot.tools.simulate.judge import published as rule
from nudgebot.tools.simulate.judge import weeks
from nudgebot.tools.simulate.judge.findings import Breach, Finding
from nudgebot.tools.simulate.judge.record import DAY, Record

LOOKED_BACK = 7  # days; further back nothing bears on a gap, a streak or seven days


def needless(record: Record, first: date, *, shut: bool) -> Iterator[Finding]:
    """The gap day of the rest of the week that another choice would avoid, whatever the next week brings.

    `first` is the first day that may still change, `shut` whether it is too late for a run on it.
    """
    book = record.book
    week = book.week_of(first)
    if week is None or book.returning is not None or record.is_coming_back(first) or record.is_coming_back(week.end):
        return
    days = [first + DAY * n for n in range((week.end - first).days + 1)]
    planned = {s.day for s in book.plan}
    ours = tuple(day in planned and not (shut and day == first) for day in days)
    before = [record.active.get(first - DAY * n, 0) >= rule.RUN_FROM for n in range(LOOKED_BACK, 0, -1)]
    if not _gaps(before, ours, (True, True, True)):
        return
    open_ = [record.room(day) >= rule.SHORTEST and not (shut and day == first) for day in days]
    choices = [
        runs
        for runs in product(*((False, True) if each else (False,) for each in open_))
        if _allowed(record, days, runs)
    ]
    # What the next week holds is not known: a gap is needless where another choice has fewer, whatever comes.
    for after in product((False, True), repeat=3):
        fitting = [runs for runs in choices if _streaks(record, days, runs, after)]
        if _gaps(before, ours, after) <= min((_gaps(before, runs, after) for runs in fitting), default=99):
            return
    on = next(n for n in range(len(days)) if _gap_at(before, ours, (True,) * 3, n))
    yield Finding(Breach.NEEDLESS_GAP, days[on])


def _line(before: list[bool], runs: tuple[bool, ...], after: tuple[bool, ...]) -> list[bool]:
    return [*before, *runs, *after]


def _gap_at(before: list[bool], runs: tuple[bool, ...], after: tuple[bool, ...], n: int) -> bool:
    line = _line(before, runs, after)
    at = len(before) + n
    return not any(line[max(0, at - rule.REST_DAYS) : at + 1])


def _gaps(before: list[bool], runs: tuple[bool, ...], after: tuple[bool, ...]) -> int:
    """Days of the horizon and the two after it that end more than two days in a row without activity."""
    return sum(_gap_at(before, runs, after, n) for n in range(len(runs) + 2))


def _allowed(record: Record, days: list[date], runs: tuple[bool, ...]) -> bool:
    """Whether the shortest sessions on these days keep the seven-day cap.

    Every hard limit is an upper one, so the shortest are allowed wherever longer ones are.
    """
    week = record.book.week_of(days[0])
    most = rule.week_cap(record.mean_week(week_start(days[0])), record.window_percent)
    most = max(most, week.target + week.longest if week else 0)
    minutes = {day: rule.SHORTEST for day, run in zip(days, runs, strict=True) if run}
    for day in minutes:
        seven = (day - DAY * n for n in range(7))
        if sum(minutes.get(each, 0) or (record.ran.get(each, 0) if each < days[0] else 0) for each in seven) > most:
            return False
    return True


def _streaks(record: Record, days: list[date], runs: tuple[bool, ...], after: tuple[bool, ...]) -> bool:
    past = [record.ran.get(days[0] - DAY * n, 0) >= rule.RUN_FROM for n in range(LOOKED_BACK, 0, -1)]
    week = record.book.week_of(days[0])
    # After a week made light there is a rest day after each run, until one is full again.
    gently = week is not None and weeks.follows_a_light_one(record, week)
    most = 1 if gently else record.run_days_in_a_row(days[0])
    streak, ours = 0, False
    for n, run in enumerate(_line(past, runs, after)):
        streak, ours = (streak + 1, ours or len(past) <= n < len(past) + len(runs)) if run else (0, False)
        if ours and streak > most:
            return False
    return True
