"""Scores lots of lines that neither reader of signs was made from, once.

`python -m tests.corpus.signs_first_sight FILE...`

Prints a row for each lot for the table in docs/first-sight.md that only grows: the table of signs and the second reader
together, with the weights of the package; "alone" is what the table of signs does without being helped by a question.
A lot that has been scored is no longer at first sight: score it before reading it. `--misses` names the lines that
were left, and ends that.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import read
from tests.corpus.lines import TODAY, read_file
from tests.corpus.signs_curve import ToldLine, counted, interval, misses, told
from tests.corpus.signs_training import Example, examples_of


def read_lot(lines: Sequence[Example]) -> list[ToldLine]:
    """Every line as both readers of the package read it."""
    return [told(line, signs.probability(line.text, TODAY), read(line.text, TODAY)) for line in lines]


def row(name: str, found: Sequence[ToldLine], commit: str) -> list[str]:
    """The figures of one lot, each with its Wilson interval."""
    alone = [replace(line, sure=0.0, about_complaint=False) for line in found]
    cells = [name, f"{len(found):,}", commit]
    both, table = counted(found), counted(alone)
    for what, (hits, of) in both.items():
        low, high = interval(hits, of)
        before = f"; alone {table[what][0]}" if what.endswith(("left", "languages", "little")) else ""
        cells.append(f"{hits} of {of} ({low:.1%} to {high:.1%}{before})" if of else "–")
    return cells


def main(arguments: Sequence[str]) -> int:
    """Print the table."""
    files = [Path(name) for name in arguments if not name.startswith("--")]
    if not files:
        sys.stdout.write(f"{__doc__}\n")
        return 2
    described = subprocess.run(["git", "describe", "--always", "--dirty=+"], capture_output=True, text=True)
    commit = described.stdout.strip() or "unknown"
    lots = {path.stem: read_lot(examples_of(read_file(path))) for path in files}
    if len(lots) > 1:
        lots["together"] = [line for lot in lots.values() for line in lot]
    names = ["lot", "lines", "commit", *counted([])]
    for cells in (names, ["---"] * len(names), *(row(name, found, commit) for name, found in lots.items())):
        sys.stdout.write(f"| {' | '.join(cells)} |\n")
    if "--misses" in arguments:
        for line in misses(lots.get("together") or next(iter(lots.values()))):
            sys.stdout.write(f"{line.line.level} {line.sure:.2f} {line.line.text}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
