"""The best plan of a problem, level by level of the objective, and why it lets minutes go. (docs/replanning.md)"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from nudgebot.domain.solver.days import (
    WINDOW_DAYS,
    WITHOUT_END,
    Bar,
    Days,
    Ways,
    fewest_gap_days,
    may_run_on,
    run_day_choices,
    ways_of,
)
from nudgebot.domain.solver.minutes import (
    Frame,
    bends_beyond,
    cheapest_plan,
    earliest,
    frame_of,
    largest_total,
    raised,
    room_in,
)
from nudgebot.domain.solver.nearest import nearest_plans
from nudgebot.domain.solver.problem import Limit, Objective, Problem, days_of, gap_days_of, objective_of


class Fit(NamedTuple):
    """The fewest gap days, and the best total for them in units."""

    ways: Ways
    gaps: int
    total: int


class Candidate(NamedTuple):
    """Run days and a frame in which every plan has the best long run and the least stretch."""

    runs: tuple[int, ...]
    frame: Frame


def best_fit(ways: Ways, planned: int, wanted: int) -> Fit:
    """The fewest gap days and, with them, the total nearest to `wanted` units, from above if that can be.

    `planned` is the choice of run days that is tried first. The totals of a choice have no holes: from its shortest
    sessions to the most it can hold, every number of units can be reached.
    """
    gaps = fewest_gap_days(ways)
    while True:
        bar = Bar()
        total = -1
        for choice, _ in run_day_choices(ways, gaps, planned, bar):
            low = choice.bit_count() * ways.days.least
            high = largest_total(ways.days, run_days(choice))
            if high >= wanted and (total < wanted or max(wanted, low) < total):
                total = max(wanted, low)
                if total == wanted:
                    break
                bar.floor, bar.ceiling = wanted, total - 1
            elif total < high < wanted:
                total = high
                bar.floor = high + 1
        if total >= 0:
            return Fit(ways, gaps, total)
        gaps += 1


def holds(ways: Ways, planned: int, units: int) -> bool:
    """Can `units` or more be held with the fewest gap days?"""
    gaps = fewest_gap_days(ways)
    while True:
        for choice, _ in run_day_choices(ways, gaps, planned, Bar(floor=units)):
            if largest_total(ways.days, run_days(choice)) >= units:
                return True
        if any(run_day_choices(ways, gaps, planned, Bar())):
            return False
        gaps += 1


def run_days(choice: int) -> tuple[int, ...]:
    """The days of a choice, in order."""
    return tuple([d for d in range(choice.bit_length()) if choice >> d & 1])


def best_plan(problem: Problem, fit: Fit) -> tuple[int, ...]:
    """The plan (min a day) that is best on every level after those of `fit`."""
    return _nearest(problem, _least_stretched(problem, fit))


def plan_on_own_days(problem: Problem, days: Days) -> tuple[int, ...] | None:
    """The best plan (min a day) where the run days of the plan as it stands can do all that is asked, as mostly.

    None if that costs a gap day, a minute of the target or of the long run, or stretches a session. Else no other run
    days come near: they are as good on the levels before `moved`, and worse on that.
    """
    runs = run_days(planned_choice(problem))
    if not runs or not may_run_on(days, runs) or gap_days_of(problem, problem.planned):
        return None
    total = -(-problem.target // problem.step)
    calm = [
        Candidate(runs, least[1])
        for held in _holding(frame_of(days, runs, total), _long_run_wanted(problem, days, total))
        if (least := _stretch(problem, runs, held, 0)) is not None
    ]
    return _nearest(problem, calm) if calm else None


def _nearest(problem: Problem, candidates: list[Candidate]) -> tuple[int, ...]:
    """Of the plans of the candidates the one nearest to the plan as it stands, then the earliest."""
    n = len(problem.planned)
    best: tuple[tuple[int, ...], tuple[int, ...]] = ((n + 1,), ())
    for candidate in candidates:
        for key, minutes in nearest_plans(problem, candidate.runs, candidate.frame, best[0]):
            x = [0] * n
            for d, units in zip(candidate.runs, minutes, strict=True):
                x[d] = units * problem.step
            late = sum([d * m for d, m in enumerate(x)])
            best = min(best, ((*key, late), tuple([-m for m in x])))
    return tuple([-m for m in best[1]])


def _least_stretched(problem: Problem, fit: Fit) -> list[Candidate]:
    """The candidates of the best long run, then the least stretch, then the fewest days moved."""
    total, step = fit.total, problem.step
    days = fit.ways.days
    planned = planned_choice(problem)
    longest = _longest_session(problem, fit)
    # What a run day may hold before a unit of it is stretched as a whole, and in minutes before any is.
    calm_most, calm = [], []
    for p, most in zip(problem.planned, days.most, strict=True):
        free = p + problem.stretch_free if p else WITHOUT_END
        calm.append(min(most * step, free))
        calm_most.append(min(most, max(days.least, -(-free // step))))
    calm_days = days._replace(most=tuple(calm_most))
    calm_minutes = days._replace(
        least=days.least * step,
        most=tuple([max(days.least * step, m) for m in calm]),
        window=tuple([units * step for units in days.window]),
    )
    # Up to a week there are so few choices that the table costs more than it saves.
    ways = ways_of(calm_days) if len(calm) > WINDOW_DAYS else fit.ways
    ceiling = min(total, total - longest + days.least)  # room for the long run beside shortest sessions
    stretch, moved = WITHOUT_END, WITHOUT_END
    found: list[Candidate] = []
    for stretched_at_most in (0, WITHOUT_END):
        bar = Bar(max(0, total - stretched_at_most), ceiling)
        for choice, differs in run_day_choices(ways, fit.gaps, planned, bar):
            runs = run_days(choice)
            if (total * step - sum([calm[d] for d in runs]), differs) > (stretch, moved):
                continue
            if stretched_at_most and (total * step - largest_total(calm_minutes, runs), differs) > (stretch, moved):
                continue
            if largest_total(days, runs) < total:
                continue
            for held in _holding(frame_of(days, runs, total), longest):
                least = _stretch(problem, runs, held, stretch if differs <= moved else stretch - 1)
                if least is None:
                    continue
                if (least[0], differs) < (stretch, moved):
                    stretch, moved, found = least[0], differs, []
                found.append(Candidate(runs, least[1]))
            if stretch == 0:
                bar.moved = moved
            bar.floor = max(bar.floor, total - stretch // step)
        if found and stretch <= stretched_at_most:
            break
        if not stretched_at_most:
            found = []  # met again in the second round
            moved += 1
    return found


def planned_choice(problem: Problem) -> int:
    """The plan's own run days."""
    return sum([1 << d for d, p in enumerate(problem.planned) if p])


def _longest_session(problem: Problem, fit: Fit) -> int:
    """The longest session, up to the long run, that some plan that fits can hold; in units."""
    days, total = fit.ways.days, fit.total
    wanted = _long_run_wanted(problem, days, total)
    best = 0
    if wanted:
        bar = Bar(floor=total, ceiling=total)
        for choice, _ in run_day_choices(fit.ways, fit.gaps, planned_choice(problem), bar):
            runs = run_days(choice)
            if max([days.most[d] for d in runs]) > best and largest_total(days, runs) >= total:
                best = _longer(frame_of(days, runs, total), wanted, best)
                if best == wanted:
                    break
                # Room for a longer one beside shortest sessions.
                bar.ceiling = min(total, total - best - 1 + days.least)
    return best


def _long_run_wanted(problem: Problem, days: Days, total: int) -> int:
    """The long run in units, or as much of it as one session could hold at most."""
    return min(-(-problem.long_run // problem.step), max(days.most), total)


def _longer(frame: Frame, wanted: int, known: int) -> int:
    """The longest session, up to `wanted`, that some plan of the frame holds, or `known` where that is more."""
    for i, room in enumerate(room_in(frame)):
        top = min(wanted, room)
        if top <= known:
            continue
        if earliest(raised(frame, i, top)) is not None:
            known = top
            continue
        bottom = known
        # One more than is known is asked first: mostly there is no more.
        middle = bottom + 1
        while top - bottom > 1:
            if earliest(raised(frame, i, middle)) is not None:
                bottom = max(middle, frame.low[i])
            else:
                top = middle
            middle = (top + bottom) // 2
        known = bottom
    return known


def _holding(frame: Frame, longest: int) -> Iterator[Frame]:
    """Parts of the frame that cover its plans with a session of at least `longest`, some of them empty perhaps.

    Where the long run is at matters, there is one for each run day.
    """
    if all(longest <= low for low in frame.low):
        yield frame
        return
    for i, room in enumerate(room_in(frame)):
        if room >= longest:
            yield raised(frame, i, longest)


def _stretch(problem: Problem, runs: tuple[int, ...], frame: Frame, limit: int) -> tuple[int, Frame] | None:
    """The least stretch (min) in a frame, and the part of the frame that has it.

    None if the frame is empty, or where that is more than `limit`.
    """
    step = problem.step
    free = [problem.planned[d] + problem.stretch_free if problem.planned[d] else WITHOUT_END for d in runs]
    forced = sum([low * step - m for low, m in zip(frame.low, free, strict=True) if low * step > m])
    if forced > limit:
        return None
    high = tuple([max(low, min(top, m // step)) for low, top, m in zip(frame.low, frame.high, free, strict=True)])
    calm = frame._replace(high=high)
    if earliest(calm) is not None:
        return forced, calm
    if forced == limit or earliest(frame) is None:
        return None
    tight, x = cheapest_plan(frame, [bends_beyond(m, step) for m in free])
    least = sum([units * step - m for units, m in zip(x, free, strict=True) if units * step > m])
    return (least, tight) if least <= limit else None


@dataclass(frozen=True, slots=True)
class Replan:
    """The best plan for a problem, and why it lets minutes go where it does."""

    x: tuple[int, ...]  # min on day 0 … N-1
    objective: Objective
    binding: tuple[Limit, ...]  # limits that, taken away alone, would let go less
    gap_on: tuple[int, ...]  # gap days that cannot be avoided; N and N+1 are the first two days of `after`

    @property
    def let_go(self) -> int:
        """Minutes that find no place."""
        return self.objective.short

    @property
    def only_several_limits_together(self) -> bool:
        """Minutes are let go, and no single limit is the reason."""
        return self.let_go > 0 and not self.binding


def solve(problem: Problem) -> Replan:
    """The one plan that the contract calls best; there is one for every problem."""
    days = days_of(problem)
    x = plan_on_own_days(problem, days)
    if x is not None:
        return Replan(x, objective_of(problem, x), binding=(), gap_on=())
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
    return Replan(x, objective, tuple(binding), gap_days_of(problem, x))
