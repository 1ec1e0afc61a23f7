"""Place what was missed in the days that are left, or let it go, exactly. (docs/replanning.md)"""

from dataclasses import dataclass

from nudgebot.domain.solver.days import ways_of
from nudgebot.domain.solver.problem import Limit, Objective, Problem, days_of, gap_days_of, objective_of
from nudgebot.domain.solver.search import best_fit, best_plan, holds, plan_on_own_days, planned_choice


@dataclass(frozen=True, slots=True)
class Replan:
    """The best plan for a problem, and why it lets minutes go where it does."""

    x: tuple[int, ...]  # min on day 0 … N-1
    objective: Objective
    let_go: int  # min; equals `objective.short`
    binding: tuple[Limit, ...]  # limits that, taken away alone, would let go less
    gap_on: tuple[int, ...]  # gap days that cannot be avoided; N and N+1 are the first two days of `after`

    @property
    def only_several_limits_together(self) -> bool:
        """Minutes are let go, and no single limit is the reason."""
        return self.let_go > 0 and not self.binding


def solve(problem: Problem) -> Replan:
    """The one plan that the contract calls best; there is one for every problem."""
    days = days_of(problem)
    x = plan_on_own_days(problem, days)
    if x is not None:
        return Replan(x, objective_of(problem, x), let_go=0, binding=(), gap_on=())
    planned = planned_choice(problem)
    fit = best_fit(ways_of(days), planned, -(-problem.target // problem.step))
    x = best_plan(problem, fit)
    objective = objective_of(problem, x)
    binding: list[Limit] = []
    if objective.short:
        for limit in Limit:
            free = days_of(problem, limit)
            # What changes no day lets go no less; nor do days that cannot hold more at all.
            if free != days and sum(free.most) > fit.total and holds(ways_of(free), planned, fit.total + 1):
                binding.append(limit)
    return Replan(x, objective, objective.short, tuple(binding), gap_days_of(problem, x))
