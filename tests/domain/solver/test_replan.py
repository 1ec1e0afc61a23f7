"""The replanner against its contract (docs/replanning.md): judges of another make, then one class for each clause.

The judges are CP-SAT (OR-tools), HiGHS and, where a problem is small, every plan that there is.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.solver.days import ways_of
from nudgebot.domain.solver.problem import Limit, Objective, Problem, days_of
from nudgebot.domain.solver.search import Replan, best_fit, best_plan, plan_on_own_days, planned_choice, solve
from tests import replan_judges as judges
from tests import replan_problems as drawn
from tests.replan_highs import binding_by_highs, by_highs

SEEDS = st.integers(0, 2**40)
PROBLEMS = st.builds(drawn.mixed, SEEDS)
WEEK = Problem(
    past=(0, 45, 0, 0, 90, 0, 0),
    planned=(0, 45, 0, 0, 90, 0),
    available=(60, 60, 60, 60, 105, 60),
    after=(45, 0, 45),
    target=180,
    session_max=95,
    window_max=230,
    long_run=90,
)


@pytest.mark.parametrize("block", range(8))
def test_no_answer_differs_from_that_of_cp_sat(block: int) -> None:
    for seed in range(40 * block, 40 * block + 40):
        problem = drawn.mixed(seed)
        found = solve(problem)
        x, objective = judges.packed(problem)
        assert (found.x, tuple(found.objective)) == (x, tuple(objective)), problem
        assert [limit.value for limit in found.binding] == judges.binding_by_cp_sat(problem, found.let_go), problem


@pytest.mark.parametrize("seed", range(12))
def test_level_by_level_cp_sat_agrees_as_well(seed: int) -> None:
    problem = drawn.ordinary(seed, 5)
    assert (solve(problem).x, tuple(solve(problem).objective)) == judges.level_by_level(problem)


@pytest.mark.parametrize("seed", range(20))
def test_highs_agrees_as_well(seed: int) -> None:
    problem = drawn.mixed(seed, 4)
    found = solve(problem)
    assert (found.x, tuple(found.objective)) == by_highs(problem)
    assert [limit.value for limit in found.binding] == binding_by_highs(problem, found.let_go)


@pytest.mark.parametrize("block", range(4))
def test_no_answer_differs_from_the_best_of_all_plans(block: int) -> None:
    checked = 0
    for seed in range(120 * block, 120 * block + 120):
        problem = drawn.small(seed)
        if max(judges.plan_count(judges.relaxed(problem, limit.value)) for limit in Limit) > 20_000:
            continue
        checked += 1
        found = solve(problem)
        x, objective = judges.brute_force(problem)
        assert (found.x, tuple(found.objective)) == (x, tuple(objective)), problem
        assert [limit.value for limit in found.binding] == judges.brute_force_binding(problem, found.let_go), problem
    assert checked >= 30


def test_a_plan_that_was_an_answer_is_answered_on_its_own_days_as_the_best_of_all_plans() -> None:
    """As a book asks after a run: the plan was an answer before, and a little more or less is wanted of it now."""
    on_own_days = 0
    for seed in range(800):
        drawn_one = drawn.small(seed)
        problem = replace(drawn_one, planned=solve(drawn_one).x)
        more = drawn_one.step * (seed % 5 - 1)
        problem = replace(problem, target=max(0, sum(problem.planned) + more))
        if judges.plan_count(problem) > 5_000 or plan_on_own_days(problem, days_of(problem)) is None:
            continue
        on_own_days += 1
        found = solve(problem)
        x, objective = judges.brute_force(problem)
        assert (found.x, tuple(found.objective)) == (x, tuple(objective)), problem
        assert (found.let_go, found.binding, found.gap_on) == (0, (), ()), problem
    assert on_own_days >= 50


@given(PROBLEMS, st.integers(-2, 5), st.integers(0, 3))
def test_the_plans_own_days_are_taken_only_where_the_whole_search_ends_there(
    problem: Problem, more: int, longer: int
) -> None:
    x = solve(problem).x
    asked = replace(
        problem,
        planned=x,
        target=max(0, sum(x) + more * problem.step),
        long_run=(max(x) + longer * problem.step) * (longer < 3),
    )
    days = days_of(asked)
    own = plan_on_own_days(asked, days)
    if own is not None:
        fit = best_fit(ways_of(days), planned_choice(asked), -(-asked.target // asked.step))
        assert own == best_plan(asked, fit)


def best(problem: Problem) -> Replan:
    return solve(problem)


class TestHardLimit1:
    """x[d] is 0, or a multiple of step with session_min <= x[d] <= min(available[d], session_max)."""

    @given(PROBLEMS)
    def test_every_session_is_within_it(self, problem: Problem) -> None:
        for minutes, open_for in zip(best(problem).x, problem.available, strict=True):
            assert minutes == 0 or (
                minutes % problem.step == 0 and problem.session_min <= minutes <= min(open_for, problem.session_max)
            )


class TestHardLimit2:
    """The minutes of the 7 days ending on day d are at most window_max whenever x[d] > 0."""

    @given(PROBLEMS)
    def test_no_window_that_ends_on_a_run_is_over_the_cap(self, problem: Problem) -> None:
        trail = (0,) * 7 + problem.past + best(problem).x
        first = len(trail) - len(problem.planned)
        for day in range(first, len(trail)):
            if trail[day]:
                assert sum(trail[day - 6 : day + 1]) <= problem.window_max

    def test_where_the_past_is_over_the_cap_the_only_answer_is_rest(self) -> None:
        assert best(replace(WEEK, past=(0, 0, 0, 0, 0, 0, 400), window_max=300)).x == (0,) * 6


class TestHardLimit3:
    """No more than max_run_days run days in a row through past, x and after, for a run of days with x[d] > 0."""

    @given(PROBLEMS)
    def test_no_streak_with_a_run_of_ours_is_too_long(self, problem: Problem) -> None:
        x = best(problem).x
        trail = [minutes >= 10 for minutes in problem.past] + [m > 0 for m in (*x, *problem.after)]
        first, last = len(problem.past), len(problem.past) + len(x)
        day = 0
        while day < len(trail):
            end = day
            while end < len(trail) and trail[end]:
                end += 1
            if any(first <= place < last for place in range(day, end)):
                assert end - day <= problem.max_run_days
            day = end + 1


class TestRestIsAlwaysAllowed:
    """x = 0 everywhere is always allowed, so every problem has an answer."""

    @given(PROBLEMS)
    def test_every_problem_has_an_answer(self, problem: Problem) -> None:
        found = best(problem)
        assert len(found.x) == len(problem.planned)
        assert judges.allowed(problem, (0,) * len(problem.planned))
        assert tuple(found.objective) <= tuple(judges.measure(problem, (0,) * len(problem.planned)))

    def test_a_cap_under_the_shortest_session_means_rest(self) -> None:
        assert best(replace(WEEK, session_max=15)).x == best(replace(WEEK, window_max=0)).x == (0,) * 6


PREFERENCES = [
    # 1 gap_days: "fewest days e ... such that day e and the max_rest_gap days before it all have no run"
    (replace(WEEK, past=(45,), planned=(0, 0, 45), available=(60, 60, 60), after=(0, 0, 45), target=45, long_run=0),
     (0, 0, 45), "one run on day 2 leaves no gap, since days 0 and 1 are two rest days"),
    # 2 short, by catching up as far as the caps allow
    (replace(WEEK, planned=(0, 45, 0, 0, 90, 0)), (45, 45, 0, 0, 90, 0), "Monday missed: Tue 45, Wed 45, Sat 90"),
    # 3 over: no more than is wanted
    (replace(WEEK, past=(0, 45, 0, 0, 90, 0, 45), target=135), (0, 45, 0, 0, 90, 0),
     "what is wanted is what was planned"),
    # 4 long_loss: the long run is kept whole
    (replace(WEEK, available=(0, 60, 0, 0, 0, 105), planned=(0, 45, 0, 0, 90, 0), target=135, after=(0, 45, 0)),
     (0, 45, 0, 0, 0, 90), "rain on Saturday, Sunday open: Sunday 90"),
    # 5 stretched: "a run on another day beats one run blown up"
    (replace(WEEK, planned=(0, 40, 0, 0, 0, 0), target=60, long_run=0, past=(45,), after=(0, 0, 45)),
     None, "twenty more minutes go to another day"),
    # 10 late: "of equals, the earlier one"
    (replace(WEEK, past=(0, 0, 30), planned=(0, 0, 0), available=(30, 30, 30), target=30, long_run=0,
             after=(30, 0, 0), session_max=30), (30, 0, 0), "a free choice of day is the earliest"),
]  # fmt: skip


@pytest.mark.parametrize(("problem", "x", "why"), PREFERENCES)
def test_what_is_preferred_comes_out(problem: Problem, x: tuple[int, ...] | None, why: str) -> None:
    found = best(problem)
    assert x is None or found.x == x, why
    if x is None:
        assert found.objective.stretched == 0, why


class TestPreferences:
    """In this order, lexicographic: a later line never costs an earlier one."""

    @given(PROBLEMS, SEEDS)
    def test_no_other_allowed_plan_is_better(self, problem: Problem, seed: int) -> None:
        found = best(problem)
        other = solve(drawn.mixed(seed, len(problem.planned))).x
        if judges.allowed(problem, other):
            mine, theirs = tuple(found.objective), tuple(judges.measure(problem, other))
            assert mine < theirs or (mine == theirs and found.x >= other)

    @given(PROBLEMS)
    def test_the_objective_is_that_of_the_plan(self, problem: Problem) -> None:
        found = best(problem)
        assert tuple(found.objective) == tuple(judges.measure(problem, found.x))
        assert list(found.gap_on) == judges.gap_days_of(problem, found.x)
        assert len(found.gap_on) == found.objective.gap_days
        assert found.let_go == found.objective.short

    @given(PROBLEMS)
    def test_the_same_problem_always_has_the_same_answer(self, problem: Problem) -> None:
        assert best(problem) == best(problem)

    def test_the_ten_lines_are_those_of_the_contract(self) -> None:
        assert Objective._fields == (
            "gap_days", "short", "over", "long_loss", "stretched", "moved", "changed", "reshaped", "peak", "late",
        )  # fmt: skip


class TestBinding:
    """A limit binds when the same problem without that limit alone has a smaller short."""

    @given(PROBLEMS)
    def test_nothing_binds_where_nothing_is_let_go(self, problem: Problem) -> None:
        found = best(problem)
        assert found.let_go or not found.binding
        assert list(found.binding) == [limit for limit in Limit if limit in found.binding]

    def test_only_wednesday_and_saturday_open_lets_25_go(self) -> None:
        found = best(replace(WEEK, available=(0, 60, 0, 0, 105, 0)))
        assert (found.x, found.let_go) == ((0, 60, 0, 0, 95, 0), 25)
        assert found.binding == (Limit.AVAILABLE, Limit.SESSION_MAX) or Limit.AVAILABLE in found.binding


def test_the_largest_problem_of_the_contract_is_answered() -> None:
    problem = Problem(
        past=(0,) * 35,
        planned=(7,) * 14,
        available=(1_440,) * 14,
        after=(0, 0, 0),
        target=20_160,
        session_max=20_160,
        window_max=20_160,
        session_min=1,
        max_run_days=14,
        step=1,
    )
    assert best(problem).let_go == 0
