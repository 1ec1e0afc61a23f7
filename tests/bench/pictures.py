"""How long the pictures take to draw, against an empty figure, and how long an event loop waits meanwhile.

    python -m tests.bench.pictures --times 20

Drawn anew each time. Prints ratios; times depend on the host. The bound is 300 ms a picture.
"""

from __future__ import annotations

import argparse
import asyncio
import io
import time
from collections.abc import Callable
from statistics import median

from matplotlib.figure import Figure

from nudgebot.channels.telegram.threads import DrawingThread
from nudgebot.domain.overview.group_report import sheet
from nudgebot.domain.overview.progress import progress
from nudgebot.rendering import pictures
from nudgebot.rendering.pictures import Shown
from nudgebot.rendering.plot_style import DOTS
from nudgebot.rendering.weeks import HEIGHT, WIDTH
from tests.rendering.books import NOON, TODAY, full_book, group_of

BOUND = 0.3  # s
TICK = 0.001  # s, how often the loop looks


def seconds(work: Callable[[], object]) -> float:
    """How long `work` takes (s)."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def bare() -> None:
    """An empty figure of the size of the twelve weeks, as PNG."""
    Figure(figsize=(WIDTH / DOTS, HEIGHT / DOTS), dpi=DOTS).savefig(io.BytesIO(), format="png")


def anew(shown: Shown) -> None:
    """`shown`, whether or not it was drawn before."""
    pictures.forget()
    pictures.draw(shown)


async def longest_wait(shown: Shown | None) -> float:
    """The longest that an event loop was kept from its turn (s) while `shown` is drawn beside it."""
    longest = 0.0
    pictures.forget()
    async with DrawingThread() as pen:
        drawing = asyncio.ensure_future(asyncio.sleep(BOUND) if shown is None else pen.draw(shown))
        while not drawing.done():
            begun = time.perf_counter()
            await asyncio.sleep(TICK)
            longest = max(longest, time.perf_counter() - begun - TICK)
    return longest


def main() -> None:
    """Prints the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=20)
    times = parser.parse_args().times
    kinds: list[tuple[str, Shown]] = [("twelve weeks", progress(full_book(), TODAY))]
    kinds += [(f"sheet, {many} runners", sheet(group_of(many), NOON, TODAY)) for many in (12, 30)]

    loading = seconds(pictures.prepare)
    baseline = median(seconds(bare) for _ in range(times))
    print(f"{'loading what draws':24}{loading * 1e3:8.1f} ms")
    print(f"{'an empty figure':24}{baseline * 1e3:8.1f} ms")
    for name, shown in kinds:
        first = seconds(lambda: anew(shown))
        rest = sorted(seconds(lambda: anew(shown)) for _ in range(times))
        again = median(seconds(lambda: pictures.draw(shown)) for _ in range(times))
        for what, took in (("first", first), ("median", median(rest)), ("slowest", rest[-1])):
            held = "" if took <= BOUND else ", over the bound of 300 ms"
            print(f"{name + ', ' + what:24}{took * 1e3:8.1f} ms, {took / baseline:7.2f} times the empty figure{held}")
        print(f"{name + ', again':24}{again * 1e3:8.3f} ms, {again / baseline:7.4f} times")
    print("the longest that an event loop waits for its turn while one is drawn:")
    for name, drawn in [("nothing drawn", None), *kinds]:
        waits = sorted(asyncio.run(longest_wait(drawn)) for _ in range(times))
        print(f"{name:24}{median(waits) * 1e3:8.1f} ms as the median, {waits[-1] * 1e3:.1f} ms at most")


if __name__ == "__main__":
    main()
