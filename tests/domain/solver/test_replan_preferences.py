"""One class for each line of what the replanner prefers, and one for the tie (docs/replanning.md).

Each holds the answer against every allowed plan of a small problem: of the plans that are as good on all lines
before, none may be better on this one. The line is measured here a second time, from its words.
"""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.solver.problem import Problem
from nudgebot.domain.solver.search import solve
from tests import replan_judges as judges
from tests import replan_problems as drawn

Plan = tuple[int, ...]
Line = Callable[[Problem, Plan], int]


def _few_plans(problem: Problem) -> bool:
    return judges.plan_count(problem) <= 2_000


PROBLEMS = st.builds(drawn.small, st.integers(0, 2**40)).filter(_few_plans)
TRIES = settings(max_examples=40, deadline=None)


def equals(problem: Problem, lines: int) -> list[Plan]:
    """The allowed plans that are as good as the answer on the first `lines` lines; none of them is better there."""
    ours = judges.measure(problem, solve(problem).x)[:lines]
    plans = [x for x in judges.plans(problem) if judges.allowed(problem, x)]
    assert all(judges.measure(problem, x)[:lines] >= ours for x in plans)
    return [x for x in plans if judges.measure(problem, x)[:lines] == ours]


def holds(problem: Problem, number: int, line: Line) -> None:
    """Line `number`, the first is 1, is as the answer says, and least among the equals of the lines before."""
    found = solve(problem)
    mine = line(problem, found.x)
    assert found.objective[number - 1] == mine
    assert mine == min(line(problem, x) for x in equals(problem, number - 1))


class TestGapDays:
    """Fewest days, of the horizon and the first two after it, that end more than `max_rest_gap` days without a run."""

    @TRIES
    @given(PROBLEMS)
    def test_no_plan_has_fewer(self, problem: Problem) -> None:
        holds(problem, 1, lambda given, x: len(judges.gap_days_of(given, x)))


class TestShort:
    """Least under the target."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_is_less_short(self, problem: Problem) -> None:
        holds(problem, 2, lambda given, x: given.target - sum(x) if sum(x) < given.target else 0)


class TestOver:
    """Least over the target."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_is_less_over(self, problem: Problem) -> None:
        holds(problem, 3, lambda given, x: sum(x) - given.target if sum(x) > given.target else 0)


class TestLongLoss:
    """Least that the longest session lacks of the long run."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_has_a_longer_long_run(self, problem: Problem) -> None:
        holds(problem, 4, lambda given, x: min(max(0, given.long_run - minutes) for minutes in x))


class TestStretched:
    """Least growth beyond `stretch_free` on planned days: a run on another day beats one run blown up."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_stretches_less(self, problem: Problem) -> None:
        def stretched(given: Problem, x: Plan) -> int:
            grown = [after - before for before, after in zip(given.planned, x, strict=True) if before]
            return sum(growth - given.stretch_free for growth in grown if growth > given.stretch_free)

        holds(problem, 5, stretched)


class TestMoved:
    """Fewest days where having a run differs from the plan."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_moves_fewer(self, problem: Problem) -> None:
        def moved(given: Problem, x: Plan) -> int:
            before = {d for d, minutes in enumerate(given.planned) if minutes}
            return len(before ^ {d for d, minutes in enumerate(x) if minutes})

        holds(problem, 6, moved)


class TestChanged:
    """Fewest days with other minutes."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_changes_fewer(self, problem: Problem) -> None:
        holds(problem, 7, lambda given, x: len(x) - sum(map(int.__eq__, given.planned, x)))


class TestReshaped:
    """Least difference in minutes."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_differs_by_less(self, problem: Problem) -> None:
        def reshaped(given: Problem, x: Plan) -> int:
            return sum(max(a, b) - min(a, b) for a, b in zip(given.planned, x, strict=True))

        holds(problem, 8, reshaped)


class TestPeak:
    """Least growth of any one day."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_grows_less_where_it_grows_most(self, problem: Problem) -> None:
        def peak(given: Problem, x: Plan) -> int:
            return max(0, *(after - before for before, after in zip(given.planned, x, strict=True)))

        holds(problem, 9, peak)


class TestLate:
    """Of equals, the earlier one."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_is_earlier(self, problem: Problem) -> None:
        holds(problem, 10, lambda _, x: sum(sum(x[d:]) for d in range(1, len(x))))


class TestTie:
    """Where several plans reach the same, the one that is greatest compared day by day from day 0."""

    @TRIES
    @given(PROBLEMS)
    def test_no_equal_is_greater_day_by_day(self, problem: Problem) -> None:
        same = equals(problem, 10)
        assert solve(problem).x == max(same)
