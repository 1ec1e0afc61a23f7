"""Compares the replanner with CP-SAT on many problems: `python -m tests.bench.replan_compare --problems 20000`."""

from __future__ import annotations

import argparse
import sys

from nudgebot.domain.solver.search import solve
from tests import replan_judges as judges
from tests import replan_problems as drawn


def main(arguments: list[str] | None = None) -> int:
    """Prints how many were compared and every one that differs; 1 where any does."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--problems", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1_000_000)
    options = parser.parse_args(arguments)
    different = 0
    for number in range(options.problems):
        problem = drawn.mixed(options.seed + number)
        found = solve(problem)
        x, objective = judges.packed(problem)
        binding = judges.binding_by_cp_sat(problem, found.let_go)
        if (found.x, tuple(found.objective), [each.value for each in found.binding]) != (x, tuple(objective), binding):
            different += 1
            sys.stdout.write(f"different: {problem}\n  ours {found}\n  theirs {x} {objective} {binding}\n")
    sys.stdout.write(f"{options.problems} problems, {different} different\n")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
