"""Features by hashing, and whole-number weights from a package file: what every learned reader is made of.

A feature is a short text. Its place in a table is its CRC-32 (ISO 3309, as in `zlib`) cut to the size of the table: no
vocabulary is kept, and the place is the same on every machine. Weights are whole numbers from -127 to 127 with one
scale a column, so that a table trained twice is the same to the byte.

A weights file is one line of JSON, `{"tables": [{"name", "rows", "columns", "scales", "biases"}, ...], "sample"}`, the
last a digest by which `tests.corpus.train` knows what it was trained from; after its LF come the weights of each table
in that order, column after column, one signed byte each, and nothing else.
"""

from __future__ import annotations

import json
from array import array
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from importlib import resources
from itertools import repeat
from math import exp, log
from operator import itemgetter, mul
from struct import unpack
from zlib import crc32

PACKAGE = "nudgebot.domain.text.learned"
WORDS_KEPT = 4096  # words whose letter groups are kept hashed: a line has few that none before it had
_RAISED = 128  # makes every weight positive
_RAISE = bytes((byte + _RAISED) % 256 for byte in range(256))  # of a signed byte
_LANE = 2  # bytes of a column's sum
_AT_ONCE = 257  # rows whose weights such a sum can hold
_NONE = -1  # the place of a row without a weight


def encoded(features: Iterable[str]) -> list[bytes]:
    """Features as bytes, in one step: half of the time of one by one."""
    together = "\0".join(features).encode()
    return together.split(b"\0") if together else []


def begun(start: str, features: Iterable[bytes]) -> Iterator[int]:
    """The hash of each feature behind `start`: a hash goes on from the one of what stands before."""
    return map(crc32, features, repeat(crc32(start.encode())))


def places_in(size: int, hashes: Iterable[int]) -> set[int]:
    """The places of hashed features in a table of `size` rows (a power of two)."""
    last = size - 1
    return {each & last for each in hashes}


def hashed(features: Iterable[str], size: int) -> set[int]:
    """The places of `features` in a table of `size` rows."""
    return places_in(size, map(crc32, encoded(features)))


@dataclass(frozen=True)
class Table:
    """Weights of `rows` features for each of several columns (classes): `columns[c][row]`, times `scales[c]`."""

    rows: int
    columns: tuple[Sequence[int], ...]
    scales: tuple[float, ...]
    biases: tuple[float, ...]

    @cached_property
    def packed(self) -> Sequence[int]:
        """Each row as one number of two bytes a column, every weight raised by 128: rows are added up in one step each.

        Of a single column it is a row of bytes, which stays in the processor's cache. They come twice, so that a place
        of a table of twice the size counts here too, from the first row on again; behind them stands a row that is 0.
        """
        width = _LANE * len(self.columns)
        lanes = bytearray(width * self.rows)
        for place, column in enumerate(self.columns):
            lanes[_LANE * place :: width] = array("b", column).tobytes().translate(_RAISE)
        if len(self.columns) == 1:
            return bytes(lanes[::_LANE]) * 2 + b"\0"
        starts = range(0, width * self.rows, width)
        return (*(int.from_bytes(lanes[at : at + width], "little") for at in starts),) * 2 + (0,)

    @cached_property
    def by_row(self) -> list[tuple[float, ...]]:
        """The weights of each row, as what they are multiplied with: a product of two such numbers is cheaper."""
        return list(zip(*(map(float, column) for column in self.columns), strict=True))

    def scores(self, blocks: Sequence[Collection[int]], counts: Iterable[float] = repeat(1.0)) -> list[float]:
        """The score of each column: its bias, and the weights at each block divided by the root of the block's size.

        `counts`: by what the sum of each block is multiplied.
        """
        totals = [0.0] * len(self.columns)
        for block, count in zip(blocks, counts, strict=False):
            if block:
                raised, weight = _RAISED * len(block), count * len(block) ** -0.5
                added = zip(totals, self._added(block), strict=True)
                totals = [total + (lane - raised) * weight for total, lane in added]
        return [b + scale * total for b, scale, total in zip(self.biases, self.scales, totals, strict=True)]

    def _added(self, block: Collection[int]) -> Sequence[int]:
        """The raised weights at `block` of each column, added up."""
        width = len(self.columns)
        rows = itemgetter(_NONE, *block)(self.packed)  # in a third of the time of one by one
        if width == 1:
            return (sum(rows),)
        parts = [sum(rows[at : at + _AT_ONCE]) for at in range(0, len(rows), _AT_ONCE)]
        lanes = [unpack(f"<{width}H", part.to_bytes(_LANE * width, "little")) for part in parts]
        return lanes[0] if len(lanes) == 1 else [sum(of_column) for of_column in zip(*lanes, strict=True)]

    def scores_of(self, values: Sequence[float]) -> list[float]:
        """The score of each column for a value a row, `rows` of them."""
        return self.scores_at(those_told(values))

    def scores_at(self, values: Mapping[int, float]) -> list[float]:
        """The score of each column for the values of some rows, by their places; the others are nothing."""
        said = list(values.values())
        columns = zip(*[self.by_row[place] for place in values], strict=True) if said else [()] * len(self.columns)
        return [
            bias + scale * sum(map(mul, said, column))
            for column, scale, bias in zip(columns, self.scales, self.biases, strict=True)
        ]


def those_told(values: Sequence[float]) -> dict[int, float]:
    """The values that are not nothing, as most are, by their places."""
    return {place: value for place, value in enumerate(values) if value}


def tables_in(data: bytes) -> dict[str, Table]:
    """The tables of a weights file; one that is cut short or too long is a ValueError."""
    head, _, body = data.partition(b"\n")
    entries = json.loads(head)["tables"]
    size = sum(entry["rows"] * entry["columns"] for entry in entries)
    if size != len(body):
        raise ValueError(f"weights: {len(body)} bytes, not {size}")
    tables: dict[str, Table] = {}
    at = 0
    for entry in entries:
        rows = entry["rows"]
        columns = []
        for _ in range(entry["columns"]):
            columns.append(array("b", body[at : at + rows]))
            at += rows
        tables[entry["name"]] = Table(rows, tuple(columns), tuple(entry["scales"]), tuple(entry["biases"]))
    return tables


@lru_cache
def tables_of(file: str) -> dict[str, Table]:
    """The tables of a weights file of this package, read once."""
    return tables_in((resources.files(PACKAGE) / file).read_bytes())


def softmax(scores: Sequence[float]) -> list[float]:
    """Scores of classes as probabilities that add up to 1."""
    top = max(scores)
    parts = [exp(score - top) for score in scores]
    whole = sum(parts)
    return [part / whole for part in parts]


def logistic(score: float) -> float:
    """A score as a probability, 0-1."""
    return 1 / (1 + exp(-score)) if score >= 0 else 1 - 1 / (1 + exp(score))


def log_odds(probability: float, floor: float = 1e-4) -> float:
    """The logarithm of the odds of a probability, which is kept `floor` away from 0 and 1."""
    kept = min(max(probability, floor), 1 - floor)
    return log(kept / (1 - kept))
