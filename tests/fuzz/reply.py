"""Hostile and mangled lines for the reader: `python -m tests.fuzz.reply --minutes 10`."""

from __future__ import annotations

import argparse
import random
import sys
from datetime import date
from time import monotonic

from nudgebot.domain.text.reply import Intent, read
from tests.corpus import replies

ALPHABET = "abcdefghijklmnopqrstuvwxyz0123456789 .,:;'\"!?+-/()@%\n\t½¼٤४４éñüßçø\u200b\u202e\u0301\ufeff🏃😅\U000e0041"


def mangled(line: str, dice: random.Random) -> str:
    """The line with a few characters put in, taken out, doubled or moved; at times two lines in one."""
    text = list(line)
    for _ in range(dice.randint(1, 6)):
        place = dice.randrange(len(text) + 1)
        match dice.randrange(5):
            case 0:
                text.insert(place, dice.choice(ALPHABET))
            case 1 if text:
                text.pop(min(place, len(text) - 1))
            case 2:
                text[place:place] = text[: dice.randint(0, 30)]
            case 3:
                dice.shuffle(text)
            case _:
                text[place:place] = chr(dice.randrange(0x110000 - 0x800))
    return "".join(text)[: dice.choice((80, 300, 4096, 6000))]


def main(arguments: list[str] | None = None) -> int:
    """Reads mangled lines until the time is over; prints how many, and the worst of it where one fails."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    dice = random.Random(options.seed)
    lines = [row.text for part in replies.PARTS for row in replies.rows(part)]
    until = monotonic() + 60 * options.minutes
    count, slowest = 0, (0.0, "")
    while monotonic() < until:
        line = mangled(dice.choice(lines), dice)
        today = date.fromordinal(dice.randint(1, date.max.toordinal()))
        start = monotonic()
        found = read(line, today)
        took = monotonic() - start
        slowest = max(slowest, (took, line))
        stored = found.intent is Intent.LOG and not found.ask_back
        if (found.minutes is not None and not 1 <= found.minutes <= 600) or (
            stored and found.minutes is None and not found.logs
        ):
            sys.stdout.write(f"wrong: {line!r} on {today}: {found}\n")
            return 1
        count += 1
    sys.stdout.write(
        f"{count} lines, none failed; the slowest took {slowest[0] * 1e3:.1f} ms ({len(slowest[1])} characters)\n"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
