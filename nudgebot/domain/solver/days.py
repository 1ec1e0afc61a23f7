"""Which days may hold a run: open days, run days in a row, gap days. (docs/replanning.md, "How it is solved")

Minutes are counted here in units of the plan's grid. A choice of run days is a bit mask: bit d is day d.

The last days are remembered as one whole number, the *trail*: a positive trail is that many run days
in a row up to yesterday; 0 means that yesterday ended a gap without a run; a negative trail is that many
days without a run.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from nudgebot.domain.model.parameters import RUN_DAY_FROM

WINDOW_DAYS = 7
WITHOUT_END = 1 << 40  # units; more than any sum of minutes
UNREACHED = WITHOUT_END**2  # more than any number of gap days


class Days(NamedTuple):
    """What the days of a horizon allow. Minutes in units of the grid."""

    least: int  # shortest session, at least one unit
    most: tuple[int, ...]  # the longest session day by day; 0 if the day is closed
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
    least = RUN_DAY_FROM.value
    streak = 0
    for minutes in reversed(past):
        if minutes < least:
            break
        streak += 1
    if streak:
        return streak
    for rest, minutes in enumerate(reversed(past)):
        if rest == max_rest_gap or minutes >= least or (cross and cross[-1 - rest] >= least):
            return -rest
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


def may_run_on(days: Days, runs: tuple[int, ...]) -> bool:
    """Whether each of the days `runs`, of which there is one at least, has room, and no more follow in a row than may.

    Seven-day caps are looked at only where one leaves no room for the shortest session.
    """
    streak, before = max(0, days.trail), -1
    for d in runs:
        streak = streak + 1 if d == before + 1 else 1
        if not days.most[d] or streak > days.max_run_days:
            return False
        before = d
    return before < len(days.most) - 1 or streak + days.run_days_after <= days.max_run_days


class Turn(NamedTuple):
    """Where a trail leads."""

    rested: int  # the trail after a day without a run
    is_gap: bool  # such a day is a gap day
    run: int  # the trail after a run day, or 0 if that would be one too many in a row


class Ways(NamedTuple):
    """What may still come, from each day on.

    `ahead[d]` holds, for each trail before day d that can be ended within the limit on run days in a row: the
    fewest gap days from day d on and, of the ways that have so few, the largest sum of `most`. Both in one number,
    gap days * WITHOUT_END - sum: the smaller the better. Seven-day caps are not looked at.
    """

    days: Days
    turns: dict[int, Turn]
    ahead: list[dict[int, int]]
    rest: list[int]  # the most minutes from day d on, run days in a row and gap days not looked at


def ways_of(days: Days) -> Ways:
    """The table of what may still come."""
    most, window = days.most, days.window
    n, gap, limit = len(most), days.max_rest_gap, days.max_run_days
    turns: dict[int, Turn] = {}
    trails = {days.trail}
    for _ in range(n):
        new = [trail for trail in trails if trail not in turns]
        if not new:
            break
        for trail in new:
            streak, idle = (trail, 0) if trail > 0 else (0, -trail)
            turn = Turn(-min(idle + 1, gap), idle >= gap, streak + 1 if streak < limit else 0)
            turns[trail] = turn
            trails.add(turn.rested)
            if turn.run:
                trails.add(turn.run)
    last = {}
    for trail in trails:
        if trail <= 0 or trail + days.run_days_after <= limit:
            last[trail] = len(list(gap_days(trail, days.after[:2], gap))) * WITHOUT_END
    ahead = [last]
    rest = [0]
    for d in range(n - 1, -1, -1):
        later, now, units = ahead[-1], {}, most[d]
        for trail, (rested, is_gap, run) in turns.items():
            best = later.get(rested, UNREACHED)
            if is_gap:
                best += WITHOUT_END
            if run and units and run in later and later[run] - units < best:
                best = later[run] - units
            if best < UNREACHED:
                now[trail] = best
        ahead.append(now)
        week_end = min(d + WINDOW_DAYS - 1, n - 1)
        rest.append(min(units + rest[-1], max(0, window[week_end]) + rest[n - 1 - week_end]))
    ahead.reverse()
    rest.reverse()
    return Ways(days, turns, ahead, rest)


@dataclass(slots=True)
class Bar:
    """What a choice of run days must reach to be worth a look; raised by the search as it goes."""

    floor: int = 0  # units it may hold in all, at least
    ceiling: int = WITHOUT_END  # units of shortest sessions, at most
    moved: int = WITHOUT_END  # days where having a run differs from the plan, at most


def fewest_gap_days(ways: Ways) -> int:
    """The fewest gap days, seven-day caps not looked at."""
    return -(-ways.ahead[0][ways.days.trail] // WITHOUT_END)


def run_day_choices(ways: Ways, gaps: int, planned: int, bar: Bar) -> Iterator[tuple[int, int]]:
    """Choices of run days with at most `gaps` gap days and room for shortest sessions: (choice, days moved).

    `planned` is the plan's own choice, the first to be tried where it can be. Leaves out what certainly does not
    reach the bar, not all that does not.
    """
    days, turns, ahead, rest = ways
    most, window, least = days.most, days.window, days.least
    n = len(most)
    # Day, trail, choice so far, gap days left, running totals that the windows so far allow at most, days
    # moved, the most in all.
    start: tuple[int, ...] = (0,)
    todo = [(0, days.trail, 0, gaps, start, 0, WITHOUT_END)]
    while todo:
        d, trail, choice, left, sums, moved, bound = todo.pop()
        if moved > bar.moved or bound < bar.floor or choice.bit_count() * least > bar.ceiling:
            continue
        if d == n:
            yield choice, moved
            continue
        rested, is_gap, run = turns[trail]
        later, so_far, still, differs = ahead[d + 1], sums[d], rest[d + 1], planned >> d & 1
        calm = None
        if rested in later:
            after_rest = left - 1 if is_gap else left
            fewest = -(-later[rested] // WITHOUT_END)
            if fewest <= after_rest:
                more = fewest * WITHOUT_END - later[rested] if fewest == after_rest else still
                most_in_all = so_far + (min(still, more))
                if most_in_all >= bar.floor:
                    calm = (d + 1, rested, choice, after_rest, (*sums, so_far), moved + differs, most_in_all)
        if calm and differs:
            todo.append(calm)
        if run and most[d] and run in later:
            recent = choice >> d - 6 if d > 6 else choice
            fewest = -(-later[run] // WITHOUT_END)
            if fewest <= left and (recent.bit_count() + 1) * least <= window[d]:
                more = fewest * WITHOUT_END - later[run] if fewest == left else still
                held = min(so_far + most[d], sums[d - 6 if d > 6 else 0] + window[d])
                most_in_all = held + (min(still, more))
                if most_in_all >= bar.floor:
                    todo.append((d + 1, run, choice | 1 << d, left, (*sums, held), moved + 1 - differs, most_in_all))
        if calm and not differs:
            todo.append(calm)
