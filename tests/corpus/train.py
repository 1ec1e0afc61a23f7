"""Trains what is learned: `python -m tests.corpus.train` writes the weights, `--check` compares them instead.

From the lines with labels of `tests/corpus/lines` and the project's own replies; the same lines and rules give the same
bytes. To be run after every change of the lines or of the rules.
"""

from __future__ import annotations

import sys
from dataclasses import fields
from pathlib import Path

from threadpoolctl import threadpool_limits

import nudgebot.domain.text.learned
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.learned.features import written
from nudgebot.domain.text.learned.stack import WEIGHTS, Models
from tests.corpus import signs_training
from tests.corpus.learning import own_lines, prepared, trained
from tests.corpus.lines import all_lines

HOME = Path(nudgebot.domain.text.learned.__file__).parent


def weights() -> bytes:
    """The bytes of the weights file, trained anew."""
    with threadpool_limits(1):  # sums in another order differ in their last bits
        models = trained(prepared(all_lines()), prepared(own_lines()))
    return written({field.name: getattr(models, field.name) for field in fields(Models)})


# Each weights file of the package, and what makes it.
FILES = {signs.FILE: signs_training.weights, WEIGHTS: weights}


def main(arguments: list[str]) -> int:
    """Write the weights; with `--check` compare, and return 1 where they differ. A file's name does that file alone."""
    status = 0
    for name in [name for name in FILES if name in arguments] or FILES:
        with threadpool_limits(1):
            new = FILES[name]()
        path = HOME / name
        if "--check" not in arguments:
            path.write_bytes(new)
            sys.stdout.write(f"{name}: {len(new):,} bytes\n")
            continue
        same = path.read_bytes() == new
        sys.stdout.write(f"{name}: {'as its lines make it' if same else 'stale, train it anew'}\n")
        status = status if same else 1
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
