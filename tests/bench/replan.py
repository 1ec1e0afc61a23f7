"""The cost of one replan beside general-purpose solvers on the same problems: `python -m tests.bench.replan`."""

from __future__ import annotations

import argparse
import resource
import sys
from collections.abc import Callable
from statistics import median
from time import perf_counter

from nudgebot.domain.solver.problem import Problem
from nudgebot.domain.solver.search import solve
from tests import replan_judges as judges
from tests import replan_problems as drawn
from tests.replan_highs import binding_by_highs, by_highs

Solver = Callable[[Problem], object]


def _packed(problem: Problem) -> object:
    x, objective = judges.packed(problem)
    return x, judges.binding_by_cp_sat(problem, objective[1])


def _by_levels(problem: Problem) -> object:
    x, objective = judges.level_by_level(problem)
    return x, judges.binding_by_cp_sat(problem, objective[1])


def _highs(problem: Problem) -> object:
    x, objective = by_highs(problem)
    return x, binding_by_highs(problem, objective[1])


def _times(solver: Solver, problems: list[Problem]) -> list[float]:
    found = []
    for problem in problems:
        start = perf_counter()
        solver(problem)
        found.append((perf_counter() - start) * 1e3)
    return sorted(found)


def main(arguments: list[str] | None = None) -> int:
    """Prints median, p99 and largest time by horizon, with the ratio to ours; binding reasons are included."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--problems", type=int, default=300)
    parser.add_argument("--memory", type=int, default=0, help="also solve so many and print the memory along the way")
    options = parser.parse_args(arguments)
    mixes = {
        "N <= 7": [drawn.mixed(seed, 1 + seed % 7) for seed in range(options.problems)],
        "N = 14": [drawn.mixed(seed, 14) for seed in range(options.problems)],
    }
    solvers: dict[str, Solver] = {
        "ours": solve, "CP-SAT, packed": _packed, "CP-SAT, by levels": _by_levels, "HiGHS": _highs,
    }  # fmt: skip
    for mix, problems in mixes.items():
        ours = 0.0
        for name, solver in solvers.items():
            times = _times(solver, problems)
            ours = ours or median(times)
            row = f"{median(times):9.3f} {times[len(times) * 99 // 100]:9.2f} {times[-1]:9.2f}"
            sys.stdout.write(f"{mix}  {name:18} median, p99, max ms {row}   x{median(times) / ours:.0f}\n")
    for number in range(options.memory):
        solve(drawn.mixed(number))
        if number % max(1, options.memory // 4) == 0:
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
            sys.stdout.write(f"after {number} problems: {peak} MB at the most\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
