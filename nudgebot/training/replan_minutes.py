"""How many minutes each run day holds, once the run days are chosen. (docs/replanning.md, "How it is solved")

All in units of the plan's grid. With the run days chosen, what is allowed is a *frame*: bounds on each run day,
bounds on the sums of neighbouring run days, and the total. Written in running totals, each of these
bounds a difference of two totals, so whole numbers come of themselves and shortest paths decide everything.
"""

from typing import NamedTuple

from nudgebot.training.replan_days import WITHOUT_END, Days


class Frame(NamedTuple):
    """Bounds on the minutes of the run days, in the order of the days.

    Windows are (first, last, units): the run days `first` to `last` (index, inclusive) hold at most `units`
    together. `full` windows hold exactly that.
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
            if above[first] + left < top:
                top = above[first] + left
        above.append(top)
    return above[-1] + least * len(runs)


def earliest(frame: Frame) -> list[int] | None:
    """The minutes that reach every running total's largest value at once, or None where the frame is empty.

    These are the shortest paths from total 0. They have the smallest sum of day times minutes, and are the
    greatest of the frame compared day by day.
    """
    low, high, windows, full, total = frame
    n = len(low)
    sums = [0] * (n + 1)
    if n == 0:
        return [] if total == 0 else None
    for i in range(n):
        sums[i + 1] = sums[i] + high[i]
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
        for i in range(n):
            if sums[i] + high[i] < sums[i + 1]:
                sums[i + 1] = sums[i] + high[i]
                changed = True
        for first, last, units in windows:
            if sums[first] + units < sums[last + 1]:
                sums[last + 1] = sums[first] + units
                changed = True
        if sums[n] < total:
            return None
        if not changed:
            return [sums[i + 1] - sums[i] for i in range(n)]
    return None


def cheapest(frame: Frame, bends: list[list[Bend]]) -> tuple[int, Frame]:
    """The least cost in a frame that is not empty, and the part of the frame that reaches it.

    The cost of a run day is the sum over its bends of `steeper` times the units beyond `at`.
    By duality the least cost is the best of a flow through the running totals: successive shortest paths, each
    worth (total - length) a unit. What carries flow is tight in every solution of least cost.
    """
    low, high, windows, full, total = frame
    n = len(low)
    # Arcs: from, to, length, room for flow; arc k ^ 1 is the way back of arc k.
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

    top = [arc(i, i + 1, high[i], WITHOUT_END) for i in range(n)]
    bottom = [arc(i + 1, i, -low[i], WITHOUT_END) for i in range(n)]
    over = [arc(first, last + 1, units, WITHOUT_END) for first, last, units in windows]
    for first, last, units in full:
        arc(last + 1, first, -units, WITHOUT_END)
    curve = [
        [(bend, arc(i, i + 1, max(bend.at, low[i]), bend.steeper)) for bend in bends[i] if bend.at < high[i]]
        for i in range(n)
    ]
    cost = 0
    while True:
        length, path = _shortest(n, tails, heads, lengths, rooms)
        if length >= total:
            break
        amount = min(rooms[k] for k in path)
        cost += amount * (total - length)
        for k in path:
            rooms[k] -= amount
            rooms[k ^ 1] += amount
    new_low, new_high = list(low), list(high)
    for i in range(n):
        if rooms[top[i] ^ 1]:
            new_low[i] = high[i]
        if rooms[bottom[i] ^ 1]:
            new_high[i] = low[i]
        for bend, k in curve[i]:
            at = max(bend.at, low[i])
            if rooms[k ^ 1] > 0:
                new_low[i] = max(new_low[i], at)
            if rooms[k] > 0 and bend.steeper > 0:
                new_high[i] = min(new_high[i], at)
    tight = tuple(window for window, k in zip(windows, over, strict=True) if rooms[k ^ 1])
    return cost, Frame(tuple(new_low), tuple(new_high), windows, full + tight, total)


def _shortest(
    n: int, tails: list[int], heads: list[int], lengths: list[int], rooms: list[int]
) -> tuple[int, list[int]]:
    """Length and arcs of a shortest path from running total 0 to the last, over arcs with room."""
    far = [WITHOUT_END] * (n + 1)
    by = [-1] * (n + 1)
    far[0] = 0
    arcs = [(k, tails[k], heads[k], lengths[k]) for k in range(len(tails)) if rooms[k] > 0]
    changed = True
    while changed:
        changed = False
        for k, tail, head, length in arcs:
            if far[tail] + length < far[head] and far[tail] < WITHOUT_END:
                far[head] = far[tail] + length
                by[head] = k
                changed = True
    path = []
    node = n
    while node:
        path.append(by[node])
        node = tails[by[node]]
    return far[n], path
