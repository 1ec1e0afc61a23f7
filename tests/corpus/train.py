"""Trains what is learned: `python -m tests.corpus.train` writes the weights, `--check` compares them instead.

From the lines with labels of `tests/corpus/lines` and the project's own; the same lines and rules give the same bytes.
To be run after every change of the lines or of the rules. The file carries the digest of what a small sample of the
lines trains: a test trains that anew, and so knows a file that is stale.
"""

from __future__ import annotations

import sys
from dataclasses import fields
from hashlib import sha256
from pathlib import Path

from threadpoolctl import threadpool_limits

import nudgebot.domain.text.learned
from nudgebot.domain.text.learned.features import Table
from nudgebot.domain.text.learned.stack import WEIGHTS, Models
from tests.corpus.learning import corpus, trained
from tests.corpus.weights_file import written

HOME = Path(nudgebot.domain.text.learned.__file__).parent


SAMPLE = 30  # one of so many lines is in the sample


def tables(every: int = 1) -> dict[str, Table]:
    """All tables, trained on one of so many lines."""
    with threadpool_limits(1):  # sums in another order differ in their last bits
        models = trained(corpus(every))
    return {field.name: getattr(models, field.name) for field in fields(Models)}


def sample() -> str:
    """The digest of the weights that the sample trains."""
    return sha256(written(tables(SAMPLE))).hexdigest()


def main(arguments: list[str]) -> int:
    """Write the weights; with `--check` compare, and return 1 where they differ."""
    new = written(tables(), sample())
    path = HOME / WEIGHTS
    if "--check" not in arguments:
        path.write_bytes(new)
        sys.stdout.write(f"{WEIGHTS}: {len(new):,} bytes\n")
        return 0
    same = path.read_bytes() == new
    sys.stdout.write(f"{WEIGHTS}: {'as its lines make it' if same else 'stale, train it anew'}\n")
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
