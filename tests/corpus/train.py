"""Trains what is learned: `python -m tests.corpus.train` writes the weights, `--check` compares them instead.

From the lines with labels of `tests/corpus/lines` and the project's own replies; the same lines and rules give the same
bytes. To be run after every change of the lines or of the rules. Each file carries the digest of what a small sample of
the lines trains: a test trains that anew, and so knows files that are stale.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import fields
from hashlib import sha256
from pathlib import Path

from threadpoolctl import threadpool_limits

import nudgebot.domain.text.learned
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.learned.features import Table, written
from nudgebot.domain.text.learned.stack import WEIGHTS, Models
from tests.corpus import signs_training
from tests.corpus.learning import own_lines, prepared, trained
from tests.corpus.lines import all_lines

HOME = Path(nudgebot.domain.text.learned.__file__).parent


def _ordinary(every: int = 1) -> dict[str, Table]:
    """The tables of the readers of ordinary lines, trained on one of so many lines."""
    models = trained(prepared(all_lines()[::every]), prepared(own_lines()[::every]))
    return {field.name: getattr(models, field.name) for field in fields(Models)}


def _signs(every: int = 1) -> dict[str, Table]:
    """The tables of the second reader of signs, trained on one of so many lines."""
    return signs_training.tables(signs_training.examples()[::every])


# Each weights file of the package, and what makes its tables.
FILES: Mapping[str, Callable[[int], dict[str, Table]]] = {signs.FILE: _signs, WEIGHTS: _ordinary}
SAMPLE = 30  # one of so many lines is in the sample


def sample_of(name: str) -> str:
    """The digest of the weights that the sample trains."""
    with threadpool_limits(1):  # sums in another order differ in their last bits
        return sha256(written(FILES[name](SAMPLE))).hexdigest()


def weights(name: str) -> bytes:
    """The bytes of a weights file, trained anew."""
    with threadpool_limits(1):
        return written(FILES[name](1), sample_of(name))


def main(arguments: list[str]) -> int:
    """Write the weights; with `--check` compare, and return 1 where they differ. A file's name does that file alone."""
    status = 0
    for name in [name for name in FILES if name in arguments] or FILES:
        new = weights(name)
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
