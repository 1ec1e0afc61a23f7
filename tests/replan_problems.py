"""Problems for the replanner's proofs and its benchmark: one seed, one problem."""

import random

from nudgebot.domain.solver.problem import Problem

GRIDS = (1, 2, 3, 5, 7)


def ordinary(seed: int, n: int | None = None) -> Problem:
    """A runner's week or fortnight: three or four sessions, one or two missed, some days closed."""
    rng = random.Random(seed)
    n = n or rng.randint(1, 7)
    session = rng.choice((20, 25, 30, 40, 45))
    long_run = rng.choice((0, 0, session, 60, 75, 90))
    past = [0] * rng.choice((7, 14, 28, 35))
    for d in range(0, len(past), rng.choice((2, 3))):
        past[d] = max(0, session + rng.randint(-12, 12))
    planned = [0] * n
    for d in rng.sample(range(n), min(n, rng.choice((1, 2, 3)) + (rng.choice((2, 3)) if n > 7 else 0))):
        planned[d] = session
    if long_run:
        planned[rng.randrange(n)] = long_run
    available = [
        0 if rng.random() < 0.25 else min(rng.choice((45, 60, 90, 120)), (p + 15) if p else long_run or session)
        for p in planned
    ]
    if rng.random() < 0.2:
        available = [rng.choice((0, 30, 60, 240)) for _ in range(n)]
    mean_week = sum(past[-7:])
    back = rng.random() < 0.1
    return Problem(
        past=tuple(past),
        planned=tuple(planned),
        available=tuple(available),
        after=tuple(rng.choice((0, session)) if rng.random() < 0.6 else 0 for _ in range(3)),
        target=sum(planned) + rng.choice((0, 0, session, session, long_run)),
        session_max=rng.choice((30, session + 5, session + 10, max(session, long_run) + 5, 120)),
        window_max=max(90, int(mean_week * rng.choice((1.0, 1.3))) + rng.choice((0, 45, 90))),
        long_run=long_run,
        max_rest_gap=6 if back else 2,
        max_run_days=1 if back else rng.choice((2, 2, 2, 3)),
    )


def odd(seed: int, n: int | None = None, most: int = 90) -> Problem:
    """Anything legal: off the grid, caps that the past has broken, limits of 0, odd steps. Up to `most` min a day."""
    rng = random.Random(seed)
    n = n or rng.randint(1, 14)
    step = rng.choice(GRIDS)
    loose = rng.random() < 0.3

    def minutes() -> int:
        return rng.choice((0, 0, rng.randint(0, most), rng.randint(0, most), step * rng.randint(0, most // step)))

    past = tuple(rng.choice((0, 9, 10, minutes(), minutes())) for _ in range(rng.choice((0, 1, 3, 7, 10, 35))))
    planned = tuple(minutes() for _ in range(n))
    available = tuple(most if loose else rng.choice((0, minutes(), most)) for _ in range(n))
    week = rng.randint(0, 4 * most)
    return Problem(
        past=past,
        cross=tuple(rng.choice((0, 0, 9, 10, 30)) for _ in past) if rng.random() < 0.5 else (0,) * len(past),
        planned=planned,
        available=available,
        after=tuple(rng.choice((0, 5, 30)) for _ in range(3)),
        target=rng.choice((0, sum(planned), rng.randint(0, n * most // 2), n * most)),
        session_max=rng.choice((most, rng.randint(0, most), 10 * most)),
        window_max=rng.choice((week, week, 10 * most, sum(past[-6:]) + rng.randint(0, 2 * most))),
        long_run=rng.choice((0, 0, rng.randint(0, most), most)),
        session_min=rng.choice((0, 1, 10, 20, 20, rng.randint(0, most))),
        max_rest_gap=rng.choice((0, 1, 2, 2, 3, 6)),
        max_run_days=rng.choice((0, 1, 2, 2, 3, 5, 14)),
        stretch_free=rng.choice((0, 15, 15, rng.randint(0, 20))),
        step=step,
    )


def small(seed: int) -> Problem:
    """An odd problem with few plans, for trying them all."""
    rng = random.Random(seed)
    n = rng.randint(1, 5)
    return odd(seed + 1, n, most=rng.choice((6, 12, 24)) if n > 3 else 24)


def tight(seed: int, n: int | None = None) -> Problem:
    """Seven-day caps that overlap and bind in the second week, on a fine grid."""
    rng = random.Random(seed)
    n = n or rng.randint(8, 14)
    planned = tuple(rng.choice((0, rng.randint(5, 60))) for _ in range(n))
    return Problem(
        past=tuple(rng.choice((0, rng.randint(0, 60))) for _ in range(10)),
        planned=planned,
        available=tuple(rng.choice((rng.randint(10, 60), 60)) for _ in range(n)),
        after=(0, rng.choice((0, 30)), 0),
        target=sum(planned) + rng.randint(-30, 90) if sum(planned) > 30 else rng.randint(0, 200),
        session_max=rng.randint(30, 60),
        window_max=rng.randint(60, 160),
        long_run=rng.choice((0, 50)),
        session_min=rng.choice((5, 10, 20)),
        max_rest_gap=rng.choice((1, 2, 2, 3)),
        max_run_days=rng.choice((2, 2, 3, 14)),
        stretch_free=rng.choice((0, 5, 15)),
        step=rng.choice((1, 1, 5)),
    )


def mixed(seed: int, n: int | None = None) -> Problem:
    """The mix of the comparison and the benchmark: half ordinary, the rest odd and tight."""
    kind = seed % 4
    if kind < 2:
        return ordinary(seed, n)
    if kind == 2 or (n is not None and n < 8):
        return odd(seed, n)
    return tight(seed, n)
