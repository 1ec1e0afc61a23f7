"""The replanner's problem, and how an answer to it is judged. (docs/replanning.md)"""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from nudgebot.domain.solver.days import WINDOW_DAYS, WITHOUT_END, Days, gap_days, trail_of


class Limit(StrEnum):
    """A hard limit that can be the reason why minutes are let go, in the order they are named."""

    AVAILABLE = "available"  # closed days, and the time the runner has on open ones
    SESSION_MAX = "session_max"  # the single-session cap
    WINDOW_MAX = "window_max"  # the seven-day cap
    MAX_RUN_DAYS = "max_run_days"  # run days in a row


@dataclass(frozen=True, slots=True)
class Problem:
    """Minutes to place on days 0 … N-1, N from 1 to 14. All minutes whole and not negative."""

    past: tuple[int, ...]  # min run, oldest day first, the last is yesterday; at most 35 days
    planned: tuple[int, ...]  # min planned on day 0 … N-1
    available: tuple[int, ...]  # min, the most the runner can do on day d; 0 closes the day
    after: tuple[int, ...]  # min planned on the three days after the horizon, never changed
    target: int  # min still wanted over the horizon
    session_max: int  # min, the single-session cap
    window_max: int  # min, the most in the seven days that end on any day of the horizon
    long_run: int = 0  # min, the week's long run if it is still to come
    session_min: int = 20  # min, the shortest session worth planning
    max_rest_gap: int = 2  # days in a row without a run
    max_run_days: int = 2  # days in a row with one
    stretch_free: int = 15  # min a planned session may grow before it counts as stretched
    step: int = 5  # min, the grid of the plan
    cross: tuple[int, ...] = ()  # min of other aerobic work on the days of `past`; empty means none


class Objective(NamedTuple):
    """What is preferred, the first line first; less is better everywhere."""

    gap_days: int  # days that end more than `max_rest_gap` days without a run
    short: int  # min under the target
    over: int  # min over it
    long_loss: int  # min the longest session lacks of the long run
    stretched: int  # min beyond `stretch_free` on planned days
    moved: int  # days where having a run differs from the plan
    changed: int  # days whose minutes differ from the plan
    reshaped: int  # min of difference from the plan
    peak: int  # min, the most that a day grows
    late: int  # sum of day number times minutes


def gap_days_of(problem: Problem, x: tuple[int, ...]) -> tuple[int, ...]:
    """The gap days of a plan: days of the horizon, N and N+1 for the first two days after it."""
    trail = trail_of(problem.past, problem.cross, problem.max_rest_gap)
    runs = [minutes > 0 for minutes in (*x, *problem.after[:2])]
    return tuple(gap_days(trail, runs, problem.max_rest_gap))


def objective_of(problem: Problem, x: tuple[int, ...]) -> Objective:
    """How the plan `x` fares; the hard limits are not looked at."""
    total = sum(x)
    changed = [(m, p) for m, p in zip(x, problem.planned, strict=True) if m != p]
    return Objective(
        gap_days=len(gap_days_of(problem, x)),
        short=max(0, problem.target - total),
        over=max(0, total - problem.target),
        long_loss=max(0, problem.long_run - max(x)),
        stretched=sum([max(0, m - p - problem.stretch_free) for m, p in changed if p]),
        moved=sum([not m or not p for m, p in changed]),
        changed=len(changed),
        reshaped=sum([abs(m - p) for m, p in changed]),
        peak=max([0, *[m - p for m, p in changed]]),
        late=sum([d * m for d, m in enumerate(x)]),
    )


def days_of(problem: Problem, without: Limit | None = None) -> Days:
    """What the hard limits leave of each day, on the grid; one limit may be taken away."""
    step = problem.step
    least = max(1, -(-problem.session_min // step))
    cap = WITHOUT_END if without is Limit.SESSION_MAX else problem.session_max
    past = problem.past
    most, window = [], []
    for d, minutes in enumerate(problem.available):
        units = (cap if without is Limit.AVAILABLE else min(minutes, cap)) // step
        if without is Limit.WINDOW_MAX:
            room = WITHOUT_END
        else:
            reach = WINDOW_DAYS - 1 - d
            room = (problem.window_max - (sum(past[-reach:]) if reach > 0 else 0)) // step
        most.append(units if units >= least and room >= least else 0)
        window.append(room)
    after = tuple([minutes > 0 for minutes in problem.after])
    return Days(
        least=least,
        most=tuple(most),
        window=tuple(window),
        max_run_days=WITHOUT_END if without is Limit.MAX_RUN_DAYS else problem.max_run_days,
        max_rest_gap=problem.max_rest_gap,
        trail=trail_of(past, problem.cross, problem.max_rest_gap),
        run_days_after=(*after, False).index(False),
        after=after,
    )
