"""Which days may hold a run: open days, run days in a row, gap days. (docs/replanning.md, "How it is solved")

Minutes are counted here in units of the plan's grid. A choice of run days is a bit mask: bit d is day d.

The last days are remembered as one whole number, the *trail*: a positive trail is that many run days
in a row up to yesterday; 0 means that yesterday ended a gap without a run; a negative trail is that many
days without a run.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

RUN_DAY_FROM = 10  # min; under it a day that was run does not count as a run day, nor other work as ending a gap
WINDOW_DAYS = 7
WITHOUT_END = 1 << 40  # units; more than any sum of minutes


class Days(NamedTuple):
    """What the days of a horizon allow. Minutes in units of the grid."""

    least: int  # shortest session, at least one unit
    most: tuple[int, ...]  # the longest session day by day; 0 where the day is closed
    window: tuple[int, ...]  # the most in the seven days that end on a day, the past already taken off
    max_run_days: int
    max_rest_gap: int
    trail: int  # before day 0
    run_days_after: int  # run days in a row that follow the horizon at once
    after: tuple[bool, ...]  # is there a run on the days after the horizon


def trail_of(past: tuple[int, ...], cross: tuple[int, ...], max_rest_gap: int) -> int:
    """The trail that `past` and `cross` leave (min, oldest first; an empty `cross` is zeros).

    Days without a run are counted up to `max_rest_gap`; the days before `past` are such days.
    """
    streak = 0
    for minutes in reversed(past):
        if minutes < RUN_DAY_FROM:
            break
        streak += 1
    if streak:
        return streak
    rest = 0
    for i in range(len(past) - 1, -1, -1):
        if rest == max_rest_gap or past[i] >= RUN_DAY_FROM or (cross and cross[i] >= RUN_DAY_FROM):
            return -rest
        rest += 1
    return -max_rest_gap


def gap_days(trail: int, runs: Iterable[bool], max_rest_gap: int) -> Iterator[int]:
    """The days, counted from the first of `runs`, on which more than `max_rest_gap` days pass without a run."""
    rest = max(0, -trail)
    for day, run in enumerate(runs):
        if run:
            rest = 0
        else:
            rest += 1
            if rest > max_rest_gap:
                yield day


def fewest_gap_days(days: Days) -> list[dict[int, int]]:
    """For each day and each trail before it that can come about: the fewest gap days from that day on.

    Windows are not looked at. A trail that breaks the limit on run days in a row is left out.
    """
    n = len(days.most)
    gap, limit = days.max_rest_gap, days.max_run_days
    reached = [{days.trail}]
    for most in days.most:
        here = set()
        for trail in reached[-1]:
            here.add(max(min(trail, 0) - 1, -gap))
            if most and max(trail, 0) < limit:
                here.add(max(trail, 0) + 1)
        reached.append(here)
    last: dict[int, int] = {}
    for trail in reached[n]:
        if trail <= 0 or trail + days.run_days_after <= limit:
            last[trail] = sum(1 for _ in gap_days(trail, days.after[:2], gap))
    table = [last]
    for d in range(n - 1, -1, -1):
        later, here_fewest = table[-1], {}
        for trail in reached[d]:
            fewest = WITHOUT_END
            rested = max(min(trail, 0) - 1, -gap)
            if rested in later:
                fewest = later[rested] + (max(0, -trail) >= gap)
            if days.most[d] and max(trail, 0) < limit:
                run = later.get(max(trail, 0) + 1, WITHOUT_END)
                fewest = min(fewest, run)
            if fewest < WITHOUT_END:
                here_fewest[trail] = fewest
        table.append(here_fewest)
    table.reverse()
    return table


def run_day_choices(days: Days) -> tuple[int, list[int]]:
    """The fewest gap days, and every choice of run days that reaches them and leaves room for shortest sessions."""
    table = fewest_gap_days(days)
    gaps = table[0][days.trail]
    while True:
        found = list(_choices(days, table, gaps))
        if found:
            return gaps, found
        gaps += 1


def _choices(days: Days, table: list[dict[int, int]], gaps: int) -> Iterator[int]:
    n, gap, limit, least = len(days.most), days.max_rest_gap, days.max_run_days, days.least
    most, window = days.most, days.window
    todo = [(0, days.trail, 0, gaps)]
    while todo:
        d, trail, mask, left = todo.pop()
        if d == n:
            yield mask
            continue
        later = table[d + 1]
        if most[d] and max(trail, 0) < limit:
            run = trail + 1 if trail > 0 else 1
            if later.get(run, WITHOUT_END) <= left:
                recent = mask >> (d - 6) if d > 6 else mask
                if (recent.bit_count() + 1) * least <= window[d]:
                    todo.append((d + 1, run, mask | 1 << d, left))
        rested = max(min(trail, 0) - 1, -gap)
        still = left - (-trail >= gap if trail < 0 else gap == 0)
        if later.get(rested, WITHOUT_END) <= still:
            todo.append((d + 1, rested, mask, still))
