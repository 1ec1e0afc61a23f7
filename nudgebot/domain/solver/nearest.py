"""Of the plans of a frame those nearest to the plan as it stands: fewest days changed, least reshaped, least peak."""

from itertools import combinations

from nudgebot.domain.solver.minutes import Frame, bends_beyond, cheapest_plan, earliest
from nudgebot.domain.solver.problem import Problem


def nearest_plans(
    problem: Problem, runs: tuple[int, ...], frame: Frame, best: tuple[int, ...]
) -> list[tuple[tuple[int, int, int], list[int]]]:
    """Plans of a frame with fewest days changed: (changed, reshaped, peak) and the units of each of the days `runs`.

    Leaves out plans that are worse than `best`, a key of this kind or its beginning.
    """
    step = problem.step
    planned = [problem.planned[d] for d in runs]
    keepable = [i for i, p in enumerate(planned) if p and p % step == 0 and frame.low[i] <= p // step <= frame.high[i]]
    outside = sum(problem.planned) - sum(planned)
    base = len(runs) + sum([1 for p in problem.planned if p]) - sum([1 for p in planned if p])
    for size in range(len(keepable), max(-1, base - best[0] - 1), -1):
        fits = False
        found = []
        for kept in combinations(keepable, size):
            fixed = _fixed(frame, planned, kept, step)
            least = _least_reshaped(planned, fixed, step) if fixed is not None else None
            if least is None:
                continue
            fits = True
            reshaped, near, x = least
            if (base - size, reshaped + outside) > best[:2]:
                continue
            peak, x = _least_peak(planned, near, step, x)
            best = min(best, (base - size, reshaped + outside, peak))
            found.append(((base - size, reshaped + outside, peak), x))
        if fits:
            return found
    return []


def _fixed(frame: Frame, planned: list[int], kept: tuple[int, ...], step: int) -> Frame | None:
    low, high = list(frame.low), list(frame.high)
    for i in kept:
        low[i] = high[i] = planned[i] // step
    if not sum(low) <= frame.total <= sum(high):
        return None
    return frame._replace(low=tuple(low), high=tuple(high))


def _least_reshaped(planned: list[int], frame: Frame, step: int) -> tuple[int, Frame, list[int]] | None:
    """The least minutes of difference on the run days, the part of the frame that has it, its earliest plan.

    None if the frame is empty.
    """
    near = [min(max(p, low * step), high * step) for p, low, high in zip(planned, frame.low, frame.high, strict=True)]
    # No day on the wrong side of its plan: then the difference is the least that the total allows.
    if sum(near) <= frame.total * step:
        one_way = frame._replace(low=tuple(-(-m // step) for m in near))
    else:
        one_way = frame._replace(high=tuple(m // step for m in near))
    x = earliest(one_way)
    if x is None:
        if earliest(frame) is None:
            return None
        one_way, x = cheapest_plan(frame, [bends_beyond(p, step, times=2) for p in planned])
    return sum([abs(units * step - p) for units, p in zip(x, planned, strict=True)]), one_way, x


def _least_peak(planned: list[int], frame: Frame, step: int, x: list[int]) -> tuple[int, list[int]]:
    """The least growth of the day that grows most (min), and the earliest plan of the frame that has it.

    `x` is the earliest plan of the frame; so is each that is found under a lower peak, among those under its own.
    """
    top = _peak(planned, x, step)
    if top == 0 or sum([low < high for low, high in zip(frame.low, frame.high, strict=True)]) < 2:
        return top, x  # no growth, or the only plan of the frame
    bottom = max([0, *[low * step - p for low, p in zip(frame.low, planned, strict=True)]]) - 1
    while top - bottom > 1:
        middle = (top + bottom) // 2
        lower = earliest(_under(planned, frame, step, middle))
        if lower is None:
            bottom = middle
        else:
            x = lower
            top = _peak(planned, x, step)
    return top, x


def _peak(planned: list[int], x: list[int], step: int) -> int:
    return max([0, *[units * step - p for units, p in zip(x, planned, strict=True)]])


def _under(planned: list[int], frame: Frame, step: int, peak: int) -> Frame:
    high = tuple([min(h, (p + peak) // step) for h, p in zip(frame.high, planned, strict=True)])
    return frame._replace(high=high)
