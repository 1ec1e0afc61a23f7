"""How a weights file of the learned readers is made; `nudgebot.domain.text.learned.features` says what it holds."""

from __future__ import annotations

import json
from array import array
from collections.abc import Sequence
from importlib import resources

from nudgebot.domain.text.learned.features import PACKAGE, Table

TOP = 127  # the largest weight of a column


def written(tables: dict[str, Table], sample: str = "") -> bytes:
    """The bytes of a weights file."""
    head = [
        {"name": name, "rows": t.rows, "columns": len(t.columns), "scales": t.scales, "biases": t.biases}
        for name, t in tables.items()
    ]
    body = b"".join(array("b", column).tobytes() for table in tables.values() for column in table.columns)
    return json.dumps({"tables": head, "sample": sample}, separators=(",", ":")).encode() + b"\n" + body


def sample_in(file: str) -> str:
    """The digest in a weights file of this package of what a sample of the lines trains."""
    head, _, _ = (resources.files(PACKAGE) / file).read_bytes().partition(b"\n")
    return str(json.loads(head)["sample"])


def quantised(weights: Sequence[Sequence[float]], biases: Sequence[float]) -> Table:
    """A table of `weights[column][row]` in whole numbers: the largest of a column becomes 127.

    Scales and biases keep four significant digits, so that differences in the last bits of a training run vanish.
    """
    columns, scales = [], []
    for column in weights:
        scale = float(f"{max(max(map(abs, column), default=0.0), 1e-9) / TOP:.3e}")
        columns.append(array("b", (max(-TOP, min(TOP, round(weight / scale))) for weight in column)))
        scales.append(scale)
    return Table(len(weights[0]), tuple(columns), tuple(scales), tuple(float(f"{bias:.3e}") for bias in biases))
