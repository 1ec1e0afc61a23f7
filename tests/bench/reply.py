"""How long reading a line takes: `python -m tests.bench.reply`.

Prints, for the corpus of replies, the median and the slowest line against two baselines of the same run (the
line only cut into tokens, and one search for digits with a unit), and for lines of 4,096 hostile characters
the time and its growth from 2,048: linear reading doubles.
"""

import re
import statistics
import sys
import time
from collections.abc import Callable, Iterable

from nudgebot.training.reading.tokens import tokens
from nudgebot.training.reply import read
from nudgebot.training.triage import triage
from tests.corpus.replies import PARTS, TODAY, rows

ROUNDS = 7
LONGEST = 4096
MINUTES = re.compile(r"\d+ ?(?:min|m\b|h)")
HOSTILE = (
    "a", "1", "1 ", "1:", "1/", "1.", "-", "1-", "'", "½", "? ", ", ", "and ", "min ", "42 min ", "20 + ", "no run ",
    "forty ", "hundred and ", "mon ", "mon-tue ", "until ", "an hour and ", "three quarters of ", "hr ", "rpe is ",
    "x", "1x", "out of ", "didn't ", "🏃", "é", "٤", "zxqwv ", "tomorrw ", "\u0301", "the the ", "no no ", "3/10 ",
    "would have ", "jan 3 ", "next week ", "swap ", "my wife ", "42min", "(", "\n", "ab'", "1,5", "und", "vingt ",
)  # fmt: skip


def seconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The shortest of some rounds, in seconds."""
    best = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def hostile(length: int) -> Iterable[tuple[str, str]]:
    """Every hostile piece with the line of `length` characters made of it."""
    for piece in HOSTILE:
        yield piece, (piece * length)[:length]


def _ordinary() -> None:
    lines = [row.text for part in PARTS for row in rows(part)]
    ways: tuple[tuple[str, Callable[[str], object]], ...] = (
        ("find minutes", MINUTES.search),
        ("cut into tokens", tokens),
        ("read", lambda line: read(line, TODAY)),
        ("triage", triage),
    )
    base = 0.0
    print(f"{'on ' + str(len(lines)) + ' lines':18}{'median µs':>11}{'slowest µs':>12}{'ratio':>8}")
    for name, way in ways:
        times = [seconds(lambda line=line, way=way: way(line)) * 1e6 for line in lines]  # type: ignore[misc]
        median = statistics.median(times)
        base = base or median
        print(f"{name:18}{median:11.1f}{max(times):12.1f}{median / base:8.1f}")


def _hostile() -> None:
    half = dict(hostile(LONGEST // 2))
    found = []
    for piece, line in hostile(LONGEST):
        whole = seconds(lambda line=line: read(line, TODAY), 3)  # type: ignore[misc]
        part = seconds(lambda piece=piece: read(half[piece], TODAY), 3)  # type: ignore[misc]
        found.append((whole * 1e3, whole / part, piece))
    print(f"\nslowest of {len(found)} hostile lines of {LONGEST} characters")
    for took, growth, piece in sorted(found, reverse=True)[:8]:
        print(f"{took:8.1f} ms, {growth:4.1f} times the half  {piece!r}")


def main() -> int:
    """Print both tables."""
    _ordinary()
    _hostile()
    return 0


if __name__ == "__main__":
    sys.exit(main())
