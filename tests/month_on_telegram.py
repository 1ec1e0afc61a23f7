"""The month of a group of twelve once more, by `serve` over HTTP: everybody must be told the same as in the terminal.

`python -m tests.month_on_telegram --weeks 4` plays the scripts of tests/dialogues/month in the terminal channel and,
side by side, against `serve` with a Bot API server on 127.0.0.1. It prints each difference, and what it compared.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator

from tests.both_channels import Terminal, compare
from tests.month import BEGIN, COACH, PEOPLE, WEEKS, ZONE


def lines(weeks: int) -> Iterator[str]:
    """All that is typed: how the group gathers, then its weeks."""
    yield from (f"@ as {COACH}", "/coach", f"/zone {ZONE.rpartition('/')[2]}", "/invite")
    for name, answers in PEOPLE.items():
        yield from (f"@ as {name}", "/start CODE", *answers)
    yield f"@ as {COACH}"
    for path in WEEKS[:weeks]:
        first, *rest = path.read_text(encoding="utf-8").splitlines()
        yield f"@ {first.split()[2].replace('T', ' ')}"
        yield "@ in private"
        yield from (line[2:] for line in rest if line.startswith("> "))


def main() -> int:
    """0 if everybody was told the same, else 1."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--weeks", type=int, default=4, choices=range(1, 5))
    weeks = options.parse_args().weeks
    begun = time.monotonic()
    found = compare(Terminal(BEGIN, ZONE, COACH, owner=COACH), lines(weeks), {"NUDGEBOT_JOIN": "open"})
    seconds = time.monotonic() - begun
    print(f"{weeks} weeks: {found.messages} messages compared, {found.differences} differences,")
    print(f"{found.wrong} requests against the published description, {seconds:.0f} s")
    return 1 if found.differences or found.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
