"""HiGHS as a judge of the replanner: the contract as a mixed-integer program, one solve for each of the ten levels."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import highspy

from nudgebot.domain.solver.problem import Problem
from tests.replan_judges import LIMITS, Verdict, allowed, measure, relaxed

MOST_A_DAY = 20_160  # min; where a day has no cap at all


def by_highs(problem: Problem) -> Verdict:
    """The answer of HiGHS: levels one by one, each held at its best while the next is sought."""
    solver, units, levels = _program(problem)
    for line in levels:
        best = _least(solver, line)
        solver.addConstr(line <= best + 0.5)
    for unit in units:
        most = -_least(solver, -1 * unit)
        solver.addConstr(unit >= most - 0.5)
    x = tuple(problem.step * round(solver.val(unit)) for unit in units)
    if not allowed(problem, x):
        raise AssertionError((problem, x))
    return x, measure(problem, x)


def binding_by_highs(problem: Problem, short: int) -> list[str]:
    """The limits that alone would let go less."""
    binding = []
    for limit in LIMITS if short else ():
        free = relaxed(problem, limit)
        capped = min(max(free.target, *free.planned, free.long_run) + free.session_min + free.step, MOST_A_DAY)
        solver, _, levels = _program(_within(free, capped))
        gap = _least(solver, levels[0])
        solver.addConstr(levels[0] <= gap + 0.5)
        if _least(solver, levels[1]) < short:
            binding.append(limit)
    return binding


def _within(problem: Problem, most: int) -> Problem:
    return replace(
        problem,
        available=tuple(min(room, most) for room in problem.available),
        session_max=min(problem.session_max, most),
        max_run_days=min(problem.max_run_days, 60),
        window_max=min(problem.window_max, 7 * most + sum(problem.past)),
    )


def _least(solver: Any, line: Any) -> int:
    solver.minimize(line)
    best: float = solver.getObjectiveValue()
    return round(best)


def _program(problem: Problem) -> tuple[Any, list[Any], list[Any]]:
    n, step, p = len(problem.planned), problem.step, len(problem.past)
    least = max(1, -(-problem.session_min // step))
    tops = [min(room, problem.session_max) // step for room in problem.available]
    tops = [top if top >= least else 0 for top in tops]
    h = highspy.Highs()  # type: ignore[no-untyped-call]
    h.silent()
    h.setOptionValue("mip_rel_gap", 0.0)
    units = [h.addIntegral(lb=0, ub=top) for top in tops]
    runs = [h.addBinary() for _ in range(n)]
    for d in range(n):
        h.addConstr(units[d] >= least * runs[d])
        h.addConstr(units[d] <= tops[d] * runs[d])
        before = sum(problem.past[p + e] for e in range(d - 6, 0) if p + e >= 0)
        room = (problem.window_max - before) // step
        window = range(max(0, d - 6), d + 1)
        slack = max(0, sum(tops[e] for e in window) - room)
        if slack:
            h.addConstr(h.qsum(units[e] for e in window) <= room + slack * (1 - runs[d]))
    _streaks(h, problem, runs, p, n)
    gaps = []
    for e in range(n + 2):
        window = range(e - problem.max_rest_gap, e + 1)
        if any(_active(problem, k, p, n) for k in window):
            continue
        gap = h.addBinary()
        h.addConstr(gap + h.qsum(runs[k] for k in window if 0 <= k < n) >= 1)
        gaps.append(gap)
    total = step * h.qsum(units)
    short, over, loss, peak = (h.addVariable(lb=0) for _ in range(4))
    h.addConstr(short >= problem.target - total)
    h.addConstr(over >= total - problem.target)
    chosen = [h.addBinary() for _ in range(n)]
    longest = h.addVariable(lb=0)
    h.addConstr(h.qsum(chosen) == 1)
    stretched, changed, apart = [], [], []
    for d in range(n):
        minutes, wanted = step * units[d], problem.planned[d]
        h.addConstr(longest <= minutes + step * max(tops) * (1 - chosen[d]))
        h.addConstr(peak >= minutes - wanted)
        away = h.addVariable(lb=0)
        h.addConstr(away >= minutes - wanted)
        h.addConstr(away >= wanted - minutes)
        apart.append(away)
        other = h.addBinary()
        h.addConstr(away <= (step * tops[d] + wanted) * other)
        changed.append(other)
        if wanted:
            beyond = h.addVariable(lb=0)
            h.addConstr(beyond >= minutes - wanted - problem.stretch_free)
            stretched.append(beyond)
    h.addConstr(loss >= problem.long_run - longest)
    moved = [1 - runs[d] if problem.planned[d] else 1 * runs[d] for d in range(n)]
    nothing = 0 * units[0]
    late = h.qsum(step * d * units[d] for d in range(1, n)) if n > 1 else nothing
    levels = [
        h.qsum(gaps) if gaps else nothing, 1 * short, 1 * over, 1 * loss, h.qsum(stretched) if stretched else nothing,
        h.qsum(moved), h.qsum(changed), h.qsum(apart), 1 * peak, late,
    ]  # fmt: skip
    return h, units, levels


def _active(problem: Problem, k: int, p: int, n: int) -> bool:
    if k >= n:
        return problem.after[k - n] > 0
    if k >= 0 or p + k < 0:
        return False
    return problem.past[p + k] >= 10 or bool(problem.cross and problem.cross[p + k] >= 10)


def _streaks(h: Any, problem: Problem, runs: list[Any], p: int, n: int) -> None:
    """No stretch of one run day more than allowed that holds a day of the horizon."""
    line: list[Any] = [int(m >= 10) for m in problem.past] + runs + [int(m > 0) for m in problem.after]
    size = problem.max_run_days + 1
    for first in range(len(line) - size + 1):
        stretch = range(first, first + size)
        fixed = [line[k] for k in stretch if isinstance(line[k], int)]
        inside = [line[k] for k in stretch if not isinstance(line[k], int)]
        if inside and all(fixed):
            h.addConstr(h.qsum(inside) <= len(inside) - 1)
    # A run that touches a streak of the past or of the days after joins it, however long that is already.
    tail = next((k for k in range(p) if not line[p - 1 - k]), p)
    head = next((k for k in range(3) if not line[p + n + k]), 3)
    if tail >= size:
        h.addConstr(runs[0] <= 0)
    if head >= size:
        h.addConstr(runs[n - 1] <= 0)
