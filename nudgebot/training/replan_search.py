"""The best plan of a problem, level by level of the objective. (docs/replanning.md, "How it is solved")"""

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from nudgebot.training.replan_days import Days, run_day_choices
from nudgebot.training.replan_minutes import Bend, Frame, cheapest, earliest, largest_total, windows_of
from nudgebot.training.replan_problem import Problem


class Fit(NamedTuple):
    """The fewest gap days, the best total for them in units, and the choices of run days that reach both."""

    gaps: int
    total: int
    choices: list[tuple[int, ...]]


class Candidate(NamedTuple):
    """Run days and a frame in which every plan has the best long run and the least stretch."""

    runs: tuple[int, ...]
    frame: Frame
    long_at: int  # index of the run day that holds the long run, -1 where it does not matter


def best_fit(days: Days, target: int, step: int) -> Fit:
    """The fewest gap days and the total nearest to `target` (min), from above if that can be."""
    gaps, masks = run_day_choices(days)
    wanted = -(-target // step)
    sized = []
    for mask in masks:
        runs = tuple(d for d in range(len(days.most)) if mask >> d & 1)
        sized.append((len(runs) * days.least, largest_total(days, runs), runs))
    enough = [max(wanted, low) for low, high, _ in sized if high >= wanted]
    total = min(enough) if enough else max(high for _, high, _ in sized)
    return Fit(gaps, total, [runs for low, high, runs in sized if low <= total <= high])


def best_plan(problem: Problem, days: Days, fit: Fit) -> tuple[int, ...]:
    """The plan (min a day) that is best on every level after those of `fit`."""
    best: tuple[tuple[int, ...], tuple[int, ...]] | None = None
    for candidate in _least_stretched(problem, days, fit):
        found = _closest(problem, candidate, best[0][0] if best else len(days.most) + 1)
        for key, minutes in found:
            x = [0] * len(days.most)
            for d, units in zip(candidate.runs, minutes, strict=True):
                x[d] = units * problem.step
            late = sum(d * m for d, m in enumerate(x))
            ranked = ((*key, late), tuple(-m for m in x))
            if best is None or ranked < best:
                best = ranked
    assert best is not None  # noqa: S101 - a choice that fits the total has at least one plan
    return tuple(-m for m in best[1])


def _moved(problem: Problem, runs: tuple[int, ...]) -> int:
    """Days where having a run differs from the plan."""
    return len(set(runs).symmetric_difference(d for d, p in enumerate(problem.planned) if p))


def _frame(days: Days, runs: tuple[int, ...], total: int) -> Frame:
    n = len(runs)
    return Frame((days.least,) * n, tuple(days.most[d] for d in runs), windows_of(days, runs), (), total)


def _raised(frame: Frame, i: int, units: int) -> Frame:
    low = frame.low
    return frame._replace(low=(*low[:i], max(units, low[i]), *low[i + 1 :]))


def _longest(frame: Frame, wanted: int) -> int:
    """The longest session, up to `wanted`, that some plan of the frame holds."""
    best = 0
    for i, high in enumerate(frame.high):
        top = min(wanted, high)
        if top <= best:
            continue
        if earliest(_raised(frame, i, top)) is not None:
            best = top
            continue
        bottom = max(best, frame.low[i] - 1)  # the longest known to fit, or just under the shortest
        while top - bottom > 1:
            middle = (top + bottom) // 2
            if earliest(_raised(frame, i, middle)) is not None:
                bottom = middle
            else:
                top = middle
        best = max(best, bottom)
    return best


def _least_stretched(problem: Problem, days: Days, fit: Fit) -> list[Candidate]:
    """The candidates of the best long run, then the least stretch, then the fewest days moved."""
    ordered = sorted((_moved(problem, runs), runs) for runs in fit.choices)
    frames = [(moved, runs, _frame(days, runs, fit.total)) for moved, runs in ordered]
    wanted = min(-(-problem.long_run // problem.step), max(days.most))
    longest = 0
    for _, _, frame in frames:
        if longest == wanted:
            break
        longest = max(longest, _longest(frame, wanted))
    best = (-1, -1)
    found: list[Candidate] = []
    for moved, runs, frame in frames:
        if best[0] == 0 and moved > best[1]:
            break
        for long_at, held in _holding(frame, longest):
            stretch, calm = _stretch(problem, runs, held)
            if not found or (stretch, moved) < best:
                best, found = (stretch, moved), []
            if (stretch, moved) == best:
                found.append(Candidate(runs, calm, long_at))
    return found


def _holding(frame: Frame, longest: int) -> Iterator[tuple[int, Frame]]:
    """The parts of the frame, one for each run day that can hold a session of at least `longest`."""
    if all(longest <= low for low in frame.low):
        yield -1, frame
        return
    for i, high in enumerate(frame.high):
        if high >= longest:
            raised = _raised(frame, i, longest)
            if earliest(raised) is not None:
                yield i, raised


def _stretch(problem: Problem, runs: tuple[int, ...], frame: Frame) -> tuple[int, Frame]:
    """The least stretch (min) in a frame that is not empty, and the part of the frame that has it."""
    step, free = problem.step, problem.stretch_free
    planned = [problem.planned[d] for d in runs]
    high = tuple(min(h, (p + free) // step) if p else h for h, p in zip(frame.high, planned, strict=True))
    calm = frame._replace(high=high)
    if earliest(calm) is not None:
        return 0, calm
    bends = []
    for p in planned:
        if p:
            at, rest = divmod(p + free, step)
            bends.append([Bend(at, step - rest), Bend(at + 1, rest)])
        else:
            bends.append([])
    tight = cheapest(frame, bends)
    x = earliest(tight)
    assert x is not None  # noqa: S101 - the least cost is reached
    return sum(max(0, units * step - p - free) for units, p in zip(x, planned, strict=True) if p), tight


def _closest(problem: Problem, candidate: Candidate, most_changed: int) -> list[tuple[tuple[int, int, int], list[int]]]:
    """Plans of a candidate with fewest days changed: (changed, reshaped, peak) and the units of each run day.

    Empty where all plans change more than `most_changed` days.
    """
    step, runs, frame = problem.step, candidate.runs, candidate.frame
    planned = [problem.planned[d] for d in runs]
    keepable = [i for i, p in enumerate(planned) if p and p % step == 0 and frame.low[i] <= p // step <= frame.high[i]]
    outside = sum(problem.planned) - sum(planned)
    base = _moved(problem, runs) + sum(1 for p in planned if p)
    for size in range(len(keepable), max(-1, base - most_changed - 1), -1):
        found = []
        for kept in combinations(keepable, size):
            fixed = _fixed(frame, planned, kept, step)
            if fixed is None or earliest(fixed) is None:
                continue
            reshaped, near = _least_reshaped(planned, fixed, step)
            peak, x = _least_peak(planned, near, step)
            found.append(((base - size, reshaped + outside, peak), x))
        if found:
            return found
    return []


def _fixed(frame: Frame, planned: list[int], kept: tuple[int, ...], step: int) -> Frame | None:
    low, high = list(frame.low), list(frame.high)
    for i in kept:
        low[i] = high[i] = planned[i] // step
    if not sum(low) <= frame.total <= sum(high):
        return None
    return frame._replace(low=tuple(low), high=tuple(high))


def _least_reshaped(planned: list[int], frame: Frame, step: int) -> tuple[int, Frame]:
    """The least minutes of difference on the run days, and the part of the frame that has it."""
    near = [min(max(p, low * step), high * step) for p, low, high in zip(planned, frame.low, frame.high, strict=True)]
    # No day on the wrong side of its plan: then the difference is the least that the total allows.
    if sum(near) <= frame.total * step:
        one_way = frame._replace(low=tuple(-(-m // step) for m in near))
    else:
        one_way = frame._replace(high=tuple(m // step for m in near))
    x = earliest(one_way)
    if x is None:
        bends = []
        for p in planned:
            at, rest = divmod(p, step)
            bends.append([Bend(at, 2 * (step - rest)), Bend(at + 1, 2 * rest)])
        one_way = cheapest(frame, bends)
        x = earliest(one_way)
        assert x is not None  # noqa: S101 - the least cost is reached
    return sum(abs(units * step - p) for units, p in zip(x, planned, strict=True)), one_way


def _least_peak(planned: list[int], frame: Frame, step: int) -> tuple[int, list[int]]:
    """The least growth of the day that grows most (min), and the earliest plan of the frame that has it."""
    x = earliest(frame)
    assert x is not None  # noqa: S101 - callers hand over frames that are not empty
    top = _peak(planned, x, step)
    bottom = -1
    while top - bottom > 1:
        middle = (top + bottom) // 2
        lower = earliest(_under(planned, frame, step, middle))
        if lower is None:
            bottom = middle
        else:
            x = lower
            top = _peak(planned, x, step)
    final = earliest(_under(planned, frame, step, top))
    assert final is not None  # noqa: S101 - `x` itself is under this peak
    return top, final


def _peak(planned: list[int], x: list[int], step: int) -> int:
    return max(0, *(units * step - p for units, p in zip(x, planned, strict=True)), 0)


def _under(planned: list[int], frame: Frame, step: int, peak: int) -> Frame:
    high = tuple(min(h, (p + peak) // step) for h, p in zip(frame.high, planned, strict=True))
    return frame._replace(high=high)
