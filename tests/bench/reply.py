"""What reading one line costs, beside splitting it into words: `python -m tests.bench.reply`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from statistics import median
from time import perf_counter

from nudgebot.domain.text.decision import decided_from
from nudgebot.domain.text.learned import stack
from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.reply import read
from nudgebot.domain.text.triage import triage
from tests.corpus import replies

ADVERSARIES = (
    "a ", "1 ", "ran 30 and ", "not ", "monday 30 ", "quarter of an hour ", "'", "½", "out of ", "km/", "1:",
    "no pain ", "chest ", "\u0301", "ﷺ",
)  # fmt: skip


def timed(work: Callable[[str], object], lines: list[str]) -> list[float]:
    """Milliseconds for each line."""
    times = []
    for line in lines:
        start = perf_counter()
        work(line)
        times.append((perf_counter() - start) * 1e3)
    return times


def main() -> int:
    """Prints the table."""
    lines = [row.text for part in replies.PARTS for row in replies.rows(part)]
    works: dict[str, Callable[[str], object]] = {
        "split": str.split,
        "rules": lambda line: parsed(line, replies.TODAY),
        "read": lambda line: read(line, replies.TODAY),
        "triage": triage,
    }
    for work in works.values():
        timed(work, lines)
    base = median(timed(works["split"], lines))
    for name, work in works.items():
        times = sorted(timed(work, lines))
        ratio = median(times) / base
        sys.stdout.write(
            f"{name:8} median {median(times):.4f} ms  p99 {times[len(times) * 99 // 100]:.4f} ms  x{ratio:.0f}\n"
        )
    for name in ("read", "triage"):
        worst: list[tuple[float, float, str]] = []
        for seed in ADVERSARIES:
            whole = (seed * 4096)[:4096]
            full = min(timed(works[name], _unread(whole)))
            half = min(timed(works[name], _unread(whole[:2048])))
            worst.append((full, full / half, seed))
        for full, growth, seed in sorted(worst, reverse=True)[:3]:
            sys.stdout.write(f"{name}: 4096 characters of {seed!r}: {full:.1f} ms, {growth:.1f} times that of 2048\n")
    learned = [(min(_learned_in((seed * 4096)[:4096]) for _ in range(3)), seed) for seed in ADVERSARIES]
    for took, seed in sorted(learned, reverse=True)[:3]:
        sys.stdout.write(f"learned part: 4096 characters of {seed!r}: {took:.1f} ms\n")
    return 0


def _unread(text: str) -> list[str]:
    """Three texts of its size that differ at the end alone: of one that was just read the reading is kept."""
    return [text[:-1] + end for end in "xyz"]


def _learned_in(text: str) -> float:
    """Milliseconds for what the learned readers add to the rules."""
    parse = parsed(text, replies.TODAY)
    start = perf_counter()
    based = stack.based(stack.models(), parse, stack.features(parse))
    decided_from(parse, stack.weighed(stack.models(), parse, based))
    return (perf_counter() - start) * 1e3


if __name__ == "__main__":
    sys.exit(main())
