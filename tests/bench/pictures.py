"""How long the picture of twelve weeks takes to draw, against an empty figure of the same size.

    python -m tests.bench.pictures --times 20

Drawn anew each time, after the first, in which fonts are read. Prints ratios; times depend on the host.
"""

from __future__ import annotations

import argparse
import io
import time
from collections.abc import Callable
from statistics import median

from matplotlib.figure import Figure

from nudgebot.exchange import pictures
from nudgebot.exchange.ink import DOTS
from nudgebot.exchange.weeks import HEIGHT, WIDTH
from nudgebot.training.progress import progress
from tests.exchange.books import TODAY, full_book


def seconds(work: Callable[[], object]) -> float:
    """How long `work` takes (s)."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def bare() -> None:
    """An empty figure of the same size, as PNG."""
    Figure(figsize=(WIDTH / DOTS, HEIGHT / DOTS), dpi=DOTS).savefig(io.BytesIO(), format="png")


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=20)
    times = parser.parse_args().times
    shown = progress(full_book(), TODAY)

    def anew() -> None:
        pictures.forget()
        pictures.draw(shown)

    first = seconds(anew)
    baseline = median(seconds(bare) for _ in range(times))
    drawing = sorted(seconds(anew) for _ in range(times))
    again = median(seconds(lambda: pictures.draw(shown)) for _ in range(times))
    print(f"an empty figure          {baseline * 1e3:7.1f} ms")
    print(f"twelve weeks, first      {first * 1e3:7.1f} ms, {first / baseline:6.2f} times the empty figure")
    print(f"twelve weeks, median     {median(drawing) * 1e3:7.1f} ms, {median(drawing) / baseline:6.2f} times")
    print(f"twelve weeks, slowest    {drawing[-1] * 1e3:7.1f} ms, {drawing[-1] / baseline:6.2f} times")
    print(f"asked again, unchanged   {again * 1e3:7.3f} ms, {again / baseline:6.4f} times")


if __name__ == "__main__":
    main()
