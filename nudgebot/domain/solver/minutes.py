"""How many minutes each run day holds, once the run days are chosen. (docs/replanning.md, "How it is solved")

All in units of the plan's grid. With the run days chosen, what is allowed is a *frame*: bounds on each run day,
bounds on the sums of neighbouring run days, and the total. Written in running totals, each of these
bounds a difference of two totals, so whole numbers come of themselves and shortest paths decide everything.
"""

from typing import NamedTuple

from nudgebot.domain.solver.days import WITHOUT_END, Days


class Frame(NamedTuple):
    """Bounds on the minutes of the run days, in the order of the days.

    Windows are (first, last, units): the run days `first` to `last` (index, inclusive) hold at most `units`
    together; one ends on each run day. `full` are those that hold exactly that.
    """

    low: tuple[int, ...]
    high: tuple[int, ...]
    windows: tuple[tuple[int, int, int], ...]
    full: tuple[tuple[int, int, int], ...]
    total: int


class Bend(NamedTuple):
    """A convex cost of one run day gets steeper by `steeper` for each unit beyond `at`."""

    at: int
    steeper: int


def windows_of(days: Days, runs: tuple[int, ...]) -> tuple[tuple[int, int, int], ...]:
    """The seven-day windows that end on the run days `runs`."""
    windows = []
    first = 0
    for last, d in enumerate(runs):
        while runs[first] < d - 6:
            first += 1
        windows.append((first, last, days.window[d]))
    return tuple(windows)


def frame_of(days: Days, runs: tuple[int, ...], total: int) -> Frame:
    """All that the run days `runs` may hold with so many units in all."""
    n = len(runs)
    return Frame((days.least,) * n, tuple(days.most[d] for d in runs), windows_of(days, runs), (), total)


def raised(frame: Frame, i: int, units: int) -> Frame:
    """The part of a frame with at least so many units on its run day `i`."""
    low = frame.low
    return frame._replace(low=(*low[:i], max(units, low[i]), *low[i + 1 :]))


def room_in(frame: Frame) -> list[int]:
    """No plan of the frame holds more than this on a run day; mostly, some plan holds as much."""
    low = frame.low
    spare = frame.total - sum(low)
    room = [min(h, m + spare) for m, h in zip(low, frame.high, strict=True)]
    for first, last, units in frame.windows:
        spare = units - sum(low[first : last + 1])
        for i in range(first, last + 1):
            room[i] = min(room[i], low[i] + spare)
    return room


def largest_total(days: Days, runs: tuple[int, ...]) -> int:
    """The most that the run days `runs` can hold together; they must have room for shortest sessions.

    Filling each day in turn as far as all windows allow is enough: a unit moved to an earlier day of a full
    window frees as much as it takes.
    """
    least = days.least
    room = []  # (first run day of the window, what is left in it above shortest sessions)
    first = 0
    for last, d in enumerate(runs):
        while runs[first] < d - 6:
            first += 1
        room.append((first, days.window[d] - least * (last - first + 1)))
    above = [0]
    for i, d in enumerate(runs):
        top = above[i] + days.most[d] - least
        for first, left in room[i:]:
            if first > i:
                break
            top = min(top, above[first] + left)
        above.append(top)
    return above[-1] + least * len(runs)


def earliest(frame: Frame) -> list[int] | None:
    """The minutes that reach every running total's largest value at once, or None if the frame is empty.

    These are the shortest paths from total 0. They have the smallest sum of day times minutes, and are the
    greatest of the frame compared day by day.
    """
    low, high, windows, full, total = frame
    n = len(low)
    sums = [0]
    for most, (first, _, units) in zip(high, windows, strict=True):
        sums.append(min(sums[-1] + most, sums[first] + units))
    if sums[n] < total:
        return None
    sums[n] = total
    for _ in range(n + 2):  # totals that have not settled after as many rounds as there are totals never will
        changed = False
        for i in range(n - 1, -1, -1):
            if sums[i + 1] - low[i] < sums[i]:
                sums[i] = sums[i + 1] - low[i]
                changed = True
        for first, last, units in full:
            if sums[last + 1] - units < sums[first]:
                sums[first] = sums[last + 1] - units
                changed = True
        if sums[0] < 0:
            return None
        if not changed:
            return [sums[i + 1] - sums[i] for i in range(n)]
        for i, (first, _, units) in enumerate(windows):
            sums[i + 1] = min(sums[i + 1], sums[i] + high[i], sums[first] + units)
        if sums[n] < total:
            return None
    return None


def cheapest(frame: Frame, bends: list[list[Bend]]) -> Frame:
    """The part of a frame, which is not empty, that has the least cost.

    The cost of a run day is the sum over its bends of `steeper` times the units beyond `at`.
    Its dual is a flow that goes round through the running totals: an arc for each bound and each bend, and a
    flow is worth sending round as long as its way has a negative length. At the end, what carries flow is tight in
    every solution of least cost, and a bend that carries less than it could is reached by none.
    """
    low, high, windows, full, total = frame
    n = len(low)
    # Arc k leads from tails[k] to heads[k]; arc k ^ 1 is its way back. Rooms are what may still flow.
    tails: list[int] = []
    heads: list[int] = []
    lengths: list[int] = []
    rooms: list[int] = []

    def arc(tail: int, head: int, length: int, room: int) -> int:
        tails.extend((tail, head))
        heads.extend((head, tail))
        lengths.extend((length, -length))
        rooms.extend((room, 0))
        return len(tails) - 2

    arc(n, 0, -total, WITHOUT_END)
    top = [arc(i, i + 1, high[i], WITHOUT_END) for i in range(n)]
    bottom = [arc(i + 1, i, -low[i], WITHOUT_END) for i in range(n)]
    over = [arc(first, last + 1, units, WITHOUT_END) for first, last, units in windows]
    for first, last, units in full:
        arc(last + 1, first, -units, WITHOUT_END)
    curve = [
        [(max(at, low[i]), arc(i, i + 1, max(at, low[i]), steeper)) for at, steeper in bends[i] if at < high[i]]
        for i in range(n)
    ]
    while way := _negative_round(n, tails, heads, lengths, rooms):
        amount = min([rooms[k] for k in way])
        for k in way:
            rooms[k] -= amount
            rooms[k ^ 1] += amount
    new_low, new_high = list(low), list(high)
    for i in range(n):
        if rooms[top[i] ^ 1]:
            new_low[i] = high[i]
        if rooms[bottom[i] ^ 1]:
            new_high[i] = low[i]
        for at, k in curve[i]:
            if rooms[k ^ 1]:
                new_low[i] = max(new_low[i], at)
            if rooms[k]:
                new_high[i] = min(new_high[i], at)
    tight = tuple(window for window, k in zip(windows, over, strict=True) if rooms[k ^ 1])
    return Frame(tuple(new_low), tuple(new_high), windows, full + tight, total)


def bends_beyond(minutes: int, step: int, *, times: int = 1) -> list[Bend]:
    """The bends of a run day on which each minute beyond `minutes` costs one, or so many times as much."""
    at, over = divmod(minutes, step)
    return [Bend(at, times * (step - over)), Bend(at + 1, times * over)]


def cheapest_plan(frame: Frame, bends: list[list[Bend]]) -> tuple[Frame, list[int]]:
    """The part of a frame that has the least cost, and its earliest plan."""
    part = cheapest(frame, bends)
    x = earliest(part)
    assert x is not None  # noqa: S101 - the least cost is reached
    return part, x


def _negative_round(n: int, tails: list[int], heads: list[int], lengths: list[int], rooms: list[int]) -> list[int]:
    """The arcs of a round trip of negative length over arcs with room; empty if there is none."""
    far = [0] * (n + 1)
    by = [-1] * (n + 1)
    arcs = [(k, tails[k], heads[k], lengths[k]) for k in range(len(tails)) if rooms[k]]
    changed = True
    while changed:
        changed = False
        for k, tail, head, length in arcs:
            if far[tail] + length < far[head]:
                far[head] = far[tail] + length
                by[head] = k
                changed = True
        # Where the arcs that set the distances last go round, the round is negative.
        for start in range(n + 1):
            node, seen = start, 0
            while by[node] >= 0 and seen <= n:
                node = tails[by[node]]
                seen += 1
            if seen > n:
                way = [by[node]]
                while tails[way[-1]] != node:
                    way.append(by[tails[way[-1]]])
                return way
    return []
