"""Other ways to solve the replanner's problem, written from its contract alone, to judge ours by.

Nothing here uses the replanner's own arithmetic: `measure` and `allowed` are a second reading of
docs/replanning.md. The general-purpose solvers are OR-tools CP-SAT and HiGHS.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Any

from ortools.sat.python import cp_model

from nudgebot.domain.solver.problem import Problem

LEVELS = (
    "gap_days", "short", "over", "long_loss", "stretched", "moved", "changed", "reshaped", "peak", "late",
)  # fmt: skip
LIMITS = ("available", "session_max", "window_max", "max_run_days")
WEEK = 7
HUGE = 10**7

Vector = tuple[int, ...]
Verdict = tuple[Vector, Vector]  # x, objective vector


def relaxed(problem: Problem, limit: str) -> Problem:
    """The same problem without one limit."""
    n = len(problem.planned)
    match limit:
        case "available":
            return replace(problem, available=(HUGE,) * n)
        case "session_max":
            return replace(problem, session_max=HUGE)
        case "window_max":
            return replace(problem, window_max=HUGE)
        case _:
            return replace(problem, max_run_days=HUGE)


def gap_days_of(problem: Problem, x: Vector) -> list[int]:
    """The days e in 0 … N+1 such that e and the `max_rest_gap` days before it all have no run and no cross."""
    n, p = len(x), len(problem.past)
    cross = problem.cross or (0,) * p
    line = [*x, *problem.after]

    def active(day: int) -> bool:
        if day >= 0:
            return line[day] > 0
        return p + day >= 0 and (problem.past[p + day] >= 10 or cross[p + day] >= 10)

    return [e for e in range(n + 2) if not any(active(e - back) for back in range(problem.max_rest_gap + 1))]


def allowed(problem: Problem, x: Vector) -> bool:
    """Do the three hard limits hold?"""
    n, p = len(x), len(problem.past)
    for d in range(n):
        if x[d] == 0:
            continue
        if x[d] % problem.step or not problem.session_min <= x[d] <= min(problem.available[d], problem.session_max):
            return False
        week = sum(x[max(0, d - 6) : d + 1]) + sum(problem.past[p + e] for e in range(d - 6, 0) if p + e >= 0)
        if week > problem.window_max:
            return False
    days = (
        [(m >= 10, False) for m in problem.past] + [(m > 0, m > 0) for m in x] + [(m > 0, False) for m in problem.after]
    )
    streak, ours = 0, False
    for run, mine in [*days, (False, False)]:
        if run:
            streak, ours = streak + 1, ours or mine
            continue
        if ours and streak > problem.max_run_days:
            return False
        streak, ours = 0, False
    return True


def measure(problem: Problem, x: Vector) -> Vector:
    """The objective vector of `x`, in the order of `LEVELS`."""
    days = range(len(x))
    planned = problem.planned
    stretched = 0
    for d in days:
        if planned[d] > 0:
            stretched += max(0, x[d] - planned[d] - problem.stretch_free)
    return (
        len(gap_days_of(problem, x)),
        max(0, problem.target - sum(x)),
        max(0, sum(x) - problem.target),
        max(0, problem.long_run - max(x)),
        stretched,
        len([d for d in days if bool(x[d]) != bool(planned[d])]),
        len([d for d in days if x[d] != planned[d]]),
        sum([abs(x[d] - planned[d]) for d in days]),
        max(0, *(x[d] - planned[d] for d in days)),
        sum([d * x[d] for d in days]),
    )


def plans(problem: Problem) -> Iterator[Vector]:
    """Every plan on the grid up to the day's limits; the other limits are not looked at."""
    step = problem.step
    days = []
    for room in problem.available:
        top = min(room, problem.session_max)
        days.append([0, *(m for m in range(step, top + 1, step) if m >= problem.session_min)])
    return product(*days)


def plan_count(problem: Problem) -> int:
    count = 1
    for room in problem.available:
        count *= 1 + min(room, problem.session_max) // problem.step
    return count


def brute_force(problem: Problem) -> Verdict:
    """The best of all plans, by trying every one."""
    vector, minus = min((measure(problem, x), tuple(-m for m in x)) for x in plans(problem) if allowed(problem, x))
    return tuple(-m for m in minus), vector


def _top(problem: Problem, limit: str) -> int:
    """Minutes in a day that no optimum needs more of, once `limit` is away.

    One session never has to exceed the target by more than a step or two, or the shortest session.
    """
    return max(problem.target, problem.session_min) + 2 * problem.step


def brute_force_binding(problem: Problem, short: int) -> list[str]:
    if not short:
        return []
    binding = []
    for limit in LIMITS:
        free = relaxed(problem, limit)
        top = _top(problem, limit)
        free = replace(
            free, available=tuple(min(room, top) for room in free.available), session_max=min(free.session_max, top)
        )
        best = min(measure(free, x)[:2] for x in plans(free) if allowed(free, x))
        if best[1] < short:
            binding.append(limit)
    return binding


class Model:
    """The problem for CP-SAT, in units of the grid; `levels` are its ten objective lines in minutes."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.model = model = cp_model.CpModel()
        step, n, p = problem.step, len(problem.planned), len(problem.past)
        past, planned, after = problem.past, problem.planned, problem.after
        least = max(1, -(-problem.session_min // step))
        span = -(-_top(problem, "") // step)
        self.tops = tops = [min(room, problem.session_max) // step for room in problem.available]
        tops[:] = [top if top >= least else 0 for top in tops]
        # A run longer than all minutes wanted (and the shortest session) is never needed: see `_top`.
        longest = max(span, -(-max(planned) // step), -(-problem.long_run // step), least)
        tops[:] = [min(top, longest) for top in tops]
        self.units = units = [
            model.new_int_var_from_domain(
                cp_model.Domain.from_intervals([[0, 0], [least, top]] if top else [[0, 0]]), f"x{d}"
            )
            for d, top in enumerate(tops)
        ]
        self.runs = runs = [model.new_bool_var(f"run{d}") for d in range(n)]
        for d in range(n):
            model.add(units[d] >= least * runs[d])
            model.add(units[d] <= tops[d] * runs[d])
            before = sum(past[p + e] for e in range(d - 6, 0) if p + e >= 0)
            room = (problem.window_max - before) // step
            if room < sum(tops[max(0, d - 6) : d + 1]):
                model.add(sum(units[max(0, d - 6) : d + 1]) <= room).only_enforce_if(runs[d])
        # Run days in a row: no stretch of one day more than allowed that touches the horizon.
        line: list[cp_model.IntVar | int] = [*(int(m >= 10) for m in past), *runs, *(int(m > 0) for m in after)]
        for first in range(len(line) - problem.max_run_days):
            stretch = range(first, first + problem.max_run_days + 1)
            if any(p <= k < p + n for k in stretch):
                self._not_all(line, stretch, p, n)
        self._streaks_touching(line, p, n)
        gaps: list[cp_model.IntVar | int] = []
        for e in range(n + 2):
            window = range(e - problem.max_rest_gap, e + 1) if problem.max_rest_gap < 60 else range(-40, e + 1)
            fixed = any(
                (k < 0 and p + k >= 0 and (past[p + k] >= 10 or (problem.cross and problem.cross[p + k] >= 10)))
                or (k >= n and after[k - n] > 0)
                for k in window
            )
            if fixed:
                continue
            inside = [runs[k] for k in window if 0 <= k < n]
            gap = model.new_bool_var(f"gap{e}")
            model.add(gap + sum(inside) >= 1)
            gaps.append(gap)
        total = step * sum(units)
        short = model.new_int_var(0, problem.target, "short")
        over = model.new_int_var(0, step * sum(tops), "over")
        model.add(total + short - over == problem.target)
        # `short` and `over` are both least at the truth, as the first is preferred and then the other.
        long_loss = model.new_int_var(0, problem.long_run, "long_loss")
        if problem.long_run:
            longest_run = model.new_int_var(0, max(tops), "longest")
            model.add_max_equality(longest_run, units)
            model.add(long_loss >= problem.long_run - step * longest_run)
        stretched: list[Any] = []
        changed: list[Any] = []
        moved, reshaped = [], []
        peak = model.new_int_var(0, step * max(tops), "peak")
        for d in range(n):
            moved.append(1 - runs[d] if planned[d] else runs[d])
            difference = model.new_int_var(0, max(step * tops[d], planned[d]), f"difference{d}")
            model.add(difference >= step * units[d] - planned[d])
            model.add(difference >= planned[d] - step * units[d])
            reshaped.append(difference)
            model.add(peak >= step * units[d] - planned[d])
            if planned[d]:
                growth = model.new_int_var(0, step * tops[d], f"stretch{d}")
                model.add(growth >= step * units[d] - planned[d] - problem.stretch_free)
                stretched.append(growth)
            if planned[d] == 0:
                changed.append(runs[d])
            elif planned[d] % step or not least <= planned[d] // step <= tops[d]:
                changed.append(1)
            else:
                differs = model.new_bool_var(f"changed{d}")
                model.add(units[d] == planned[d] // step).only_enforce_if(~differs)
                changed.append(differs)
        late = sum(d * step * units[d] for d in range(n))
        self.levels = [
            sum(gaps), short, over, long_loss, sum(stretched), sum(moved), sum(changed), sum(reshaped), peak, late,
        ]  # fmt: skip
        self.bounds = [
            n + 2, problem.target, step * sum(tops), problem.long_run, step * sum(tops), n, n,
            step * sum(tops) + sum(planned), step * max(tops), step * sum(d * top for d, top in enumerate(tops)),
        ]  # fmt: skip
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = 1
        # Every linear bound in the relaxation: a hundred times faster where seven-day caps overlap.
        self.solver.parameters.linearization_level = 2

    def _not_all(self, line: list[cp_model.IntVar | int], stretch: range, p: int, n: int) -> None:
        """Not all days of the stretch run, where a run of the horizon is among them."""
        inside = [line[k] for k in stretch if p <= k < p + n]
        if all(line[k] for k in stretch if not p <= k < p + n):
            self.model.add(sum(inside) <= len(inside) - 1)

    def _streaks_touching(self, line: list[cp_model.IntVar | int], p: int, n: int) -> None:
        """A streak of the past, or of the days after, that a run would lengthen beyond the limit.

        Stretches of limit + 1 days see it too, unless the streak outside is itself longer than the limit.
        """
        limit = self.problem.max_run_days
        for day, outside in ((p, line[:p][::-1]), (p + n - 1, line[p + n :])):
            streak = 0
            for run in outside:
                if not run:
                    break
                streak += 1
            if streak >= limit:
                self.model.add(line[day] == 0)

    def least(self, line: "cp_model.LinearExprT", hint: bool) -> int:
        """Solve for the least of `line`, and hold it there."""
        model, solver = self.model, self.solver
        model.minimize(line)
        status = solver.solve(model)
        assert status == cp_model.OPTIMAL, solver.status_name(status)
        best = solver.value(line)  # not the solver's own figure, a float
        model.clear_objective()  # type: ignore[no-untyped-call]
        model.add(line == best)
        if hint:
            model.clear_hints()  # type: ignore[no-untyped-call]
            for var in (*self.units, *self.runs):
                model.add_hint(var, solver.value(var))
        return best

    def answer(self) -> Vector:
        return tuple(self.problem.step * self.solver.value(unit) for unit in self.units)


def level_by_level(problem: Problem) -> Verdict:
    """CP-SAT, one solve for each level, then one for each day."""
    model = Model(problem)
    for line in model.levels:
        if not isinstance(line, int):
            model.least(line, hint=True)
    for unit in model.units:
        model.least(-unit, hint=True)
    x = model.answer()
    return x, measure(problem, x)


def packed(problem: Problem, room: int = 1 << 40) -> Verdict:
    """CP-SAT in few solves: neighbouring levels weighted into one line, as long as that stays under `room`."""
    model = Model(problem)
    lines = [(line, bound) for line, bound in zip(model.levels, model.bounds, strict=True)]
    lines += [(top - unit, top) for unit, top in zip(model.units, model.tops, strict=True)]
    heap: list[tuple[Any, int]] = []
    size = 1

    def settle() -> None:
        weight: int = 1
        whole: Any = 0
        for line, bound in reversed(heap):
            whole = whole + weight * line
            weight *= bound + 1
        if not isinstance(whole, int):
            model.least(whole, hint=True)

    for line, bound in lines:
        if size * (bound + 1) >= room:
            settle()
            heap, size = [], 1
        heap.append((line, bound))
        size *= bound + 1
    settle()
    x = model.answer()
    return x, measure(problem, x)


def binding_by_cp_sat(problem: Problem, short: int) -> list[str]:
    """The limits that alone would let go less: gap days and short weighted into one line."""
    if not short:
        return []
    binding = []
    for limit in LIMITS:
        free = relaxed(problem, limit)
        model = Model(free)
        best = model.least((problem.target + 1) * model.levels[0] + model.levels[1], hint=False)
        if best % (problem.target + 1) < short:
            binding.append(limit)
    return binding
