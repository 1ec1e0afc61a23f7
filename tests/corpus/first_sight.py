"""Scores lots of lines that nothing was made from, once: `python -m tests.corpus.first_sight FILE...`.

Prints rows for the table in docs/first-sight.md that only grows: for each lot the rules alone and the whole reader
with the weights of the package. A lot that has been scored is no longer at first sight; score it before reading it.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.reply import Reading, read
from tests.corpus import scoring
from tests.corpus.lines import ORDINARY, TODAY, Labelled, read_file

HEAD = ("lot", "lines", "people", "commit", "traffic", "reader")


def _by_rules(text: str, today: date) -> Reading:
    return parsed(text, today).reading


def _commit() -> str:
    """The commit that scores, with a plus where the tree differs from it."""
    found = subprocess.run(["git", "describe", "--always", "--dirty=+"], capture_output=True, text=True)
    return found.stdout.strip() or "unknown"


def rows_of(name: str, lines: Sequence[Labelled], commit: str) -> list[list[str]]:
    """The rows of one lot: all its lines and its ordinary traffic, by rules alone and by the whole."""
    rows = []
    for traffic, some in (("all", lines), ("ordinary", [one for one in lines if one.traffic == ORDINARY])):
        if not some:
            continue
        for reader, reads in (("rules", _by_rules), ("whole", read)):
            shares = scoring.figures([(one, reads(one.text, TODAY)) for one in some])
            people = len({one.person for one in some})
            row = [name, f"{len(some):,}", str(people), commit, traffic, reader]
            rows.append([*row, *(f"{share.value:.1%}" if share.of else "–" for share in shares)])
    return rows


def main(arguments: list[str]) -> int:
    """Print the table."""
    if not arguments:
        sys.stdout.write(f"{__doc__}\n")
        return 2
    commit = _commit()
    everything: list[Labelled] = []
    rows: list[list[str]] = []
    for path in map(Path, arguments):
        lines = read_file(path)
        everything += lines
        rows += rows_of(path.stem, lines, commit)
    if len(arguments) > 1:
        rows += rows_of("together", everything, commit)
    names = [*HEAD, *(share.name for share in scoring.figures([]))]
    for row in (names, ["---"] * len(names), *rows):
        sys.stdout.write(f"| {' | '.join(row)} |\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
