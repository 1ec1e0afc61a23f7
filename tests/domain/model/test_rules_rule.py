"""A row of the rules rules: another value gives another plan, another nudge, another answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from nudgebot.domain.model import parameters
from nudgebot.domain.model.intake import Goal, GoalTold, Intake
from nudgebot.domain.model.logbook import LogEntry, run_days
from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.model.runner import Book, Profile, Runner, Training
from nudgebot.domain.model.week import Session, Week, WeekKind
from nudgebot.domain.nudging import payloads
from nudgebot.domain.planning import dose, gap, limits, planner, season, ways_back
from nudgebot.domain.profile import intake
from nudgebot.domain.solver.days import trail_of

DAY = timedelta(days=1)
MONDAY = date(2027, 3, 1)
JOINED = datetime(2027, 1, 4, 9, tzinfo=UTC)


@contextmanager
def changed(row: Rule, value: int) -> Iterator[None]:
    """The row with another value, wherever it is read."""
    was = row.value
    object.__setattr__(row, "value", value)
    try:
        yield
    finally:
        object.__setattr__(row, "value", was)


def book() -> Book:
    """Two weeks of 3 x 50 done, by a profile made as the intake makes it."""
    told = replace(
        intake.profile(Intake(goal=GoalTold(Goal.CUSTOM, 300), weekly=150, longest=50)), open_minutes=(90,) * 7
    )
    weeks = tuple(
        Week(start, 150, 0, WeekKind.STEP, tuple(Session(start + DAY * n, 50) for n in (0, 2, 5)))
        for start in (MONDAY - 14 * DAY, MONDAY - 7 * DAY)
    )
    log = tuple(LogEntry(f"{s.day}", s.day, s.minutes, effort=5) for week in weeks for s in week.sessions)
    return Book(Runner(1, "talk", "ana", "Ana", JOINED, JOINED), told, Training(), log=log, weeks=weeks)


# For each row another value, and something that a runner meets and that must change with it.
ROWS: tuple[tuple[Rule, int, Callable[[], object]], ...] = (
    (parameters.WEEK_STEP, 15, lambda: season.next_week(book(), MONDAY).full),
    (parameters.WINDOW_GROWTH, 110, lambda: limits.week_max(book(), MONDAY)),
    (parameters.WINDOW_FLOOR, 300, lambda: limits.week_max(book(), MONDAY)),
    (parameters.RUN_DAYS, 1, lambda: dose.run_days_allowed(book().profile)),
    (parameters.REST_GAP, 3, lambda: gap.rhythm(book(), MONDAY)),
    (parameters.EASY_EFFORT, 5, lambda: ways_back.too_hard(book(), MONDAY)),
    (parameters.DAY_CLOSES, 18, lambda: planner.today_closed(Profile(), datetime.combine(MONDAY, time(19), UTC))),
    (parameters.RUN_DAY_FROM, 60, lambda: run_days(book().log)),
    (parameters.RUN_DAY_FROM, 60, lambda: trail_of((50, 50), (), 2)),
    (parameters.WALK_BRIDGE, 25, lambda: payloads._walk(book(), MONDAY)),
    (parameters.SESSION_GROWTH, 150, lambda: limits.session_max(book(), MONDAY)),
    (parameters.SESSION_STEP, 15, lambda: limits.session_max(book(), MONDAY)),
    (parameters.SESSION_FLOOR, 80, lambda: limits.session_max(book(), MONDAY)),
    (parameters.LONGEST_DAYS, 1, lambda: limits.session_max(book(), MONDAY)),
    (parameters.MEAN_DAYS, 7, lambda: limits.mean_week(replace(book(), log=book().log[:4]), MONDAY)),
    (parameters.STEP_UP_FROM, 101, lambda: season.next_week(book(), MONDAY).kind),
    (parameters.LIGHTER_AFTER, 2, lambda: season.next_week(book(), MONDAY).kind),
)


@pytest.mark.parametrize(("row", "value", "met"), ROWS, ids=[f"{row.name}, {n}" for n, (row, _, _) in enumerate(ROWS)])
def test_another_value_of_the_row_is_met_by_the_runner(row: Rule, value: int, met: Callable[[], object]) -> None:
    before = met()
    with changed(row, value):
        assert met() != before
    assert met() == before


def test_a_profile_starts_from_the_rows() -> None:
    with changed(parameters.WEEK_STEP, 7), changed(parameters.WINDOW_GROWTH, 120), changed(parameters.RUN_DAYS, 3):
        for told in (Profile(), intake.profile(Intake())):
            assert (told.coach_step, told.coach_window, told.coach_run_days) == (7, 120, 3)
