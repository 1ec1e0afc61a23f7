"""The walk-run ladder: what each step of it asks for in a session of 30 or 20 minutes.

Steps of 30 minutes are the house's own, with ratios near a published walk-run return after injury
(2 min walk and 3 min run, then 2 and 4, then 1 and 4; Trials 2023, doi 10.1186/s13063-023-07502-x, Table 1).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Turns:
    """`times` turns of `run` minutes running and `walk` minutes walking."""

    times: int
    run: int
    walk: int


LADDER = (
    Turns(1, 0, 30),
    Turns(6, 1, 4),
    Turns(6, 2, 3),
    Turns(6, 3, 2),
    Turns(6, 4, 1),
    Turns(3, 8, 2),
    Turns(2, 13, 2),
    Turns(1, 30, 0),
)


def turns(step: int, minutes: int) -> tuple[Turns, int]:
    """The turns of a session of `minutes` (20 or 30) on `step`, and the minutes of running left at its end.

    The 20-minute form is the first 20 minutes of the whole session.
    """
    whole = LADDER[step]
    length = whole.run + whole.walk
    full, rest = divmod(minutes, length)
    return Turns(min(full, whole.times), whole.run, whole.walk), min(rest, whole.run) if full < whole.times else 0
