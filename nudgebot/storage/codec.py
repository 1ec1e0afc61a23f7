"""Values of the domain as rows, one rule for all of them: a field lies in the column of its name.

A word of the trade (a StrEnum) is stored by its value. A field that holds a dataclass of its own lies in columns that
begin with the field's name and an underscore. A row that cannot be read is named in the log by its runner's number
and left where it is; what is read in its stead is said where the codec is made.

Rows are read bare, as SQLite's driver hands them over: SQLAlchemy's own reading of typed columns costs more than the
query, and one cell that it cannot read would cost the whole result. PostgreSQL hands each row over as a JSON array,
whose cells are the same: dates as ISO text, and rows of any tables in one result.
"""

from __future__ import annotations

import hashlib
import logging
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import MISSING, Field, fields, is_dataclass
from enum import StrEnum
from operator import attrgetter, itemgetter
from types import NoneType, UnionType
from typing import Any, Final, Generic, TypeVar, Union, get_args, get_origin, get_type_hints

from sqlalchemy import (
    Column,
    ColumnElement,
    Connection,
    Dialect,
    Select,
    Table,
    func,
    literal_column,
    null,
    select,
    type_coerce,
    union_all,
)
from sqlalchemy.dialects import sqlite
from sqlalchemy.types import NullType

from nudgebot.storage.schema.columns import Instant, moment_at
from nudgebot.storage.statement import Statement

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)
Reader = Callable[[Any], Any]
Cells = Sequence[Any]  # a bare row
RowValues = Mapping[str, Any]

_DIALECT: Final[Dialect] = sqlite.dialect()
_UNREADABLE: Final = (ArithmeticError, LookupError, TypeError, ValueError)
_log = logging.getLogger(__name__)


class BareRows:
    """Bare rows of several tables by one statement: a dozen small questions cost more than their answers.

    `shares` are the tables, each with the conditions on its rows.
    """

    def __init__(self, shares: Sequence[tuple[Table, Sequence[ColumnElement[bool]]]]) -> None:
        width = max(len(table.columns) for table, _ in shares)
        filled: list[Select[Any]] = []
        packed: list[Select[*tuple[Any, ...]]] = []
        for table, where in shares:
            name: ColumnElement[str] = literal_column(f"'{table.name}'")
            cells: list[ColumnElement[Any]] = [type_coerce(column, NullType()) for column in table.columns]
            cells += [null()] * (width - len(cells))  # filled up to one width
            filled.append(select(*cells, name).where(*where))
            packed.append(select(func.json_build_array(*table.columns, type_=NullType()), name).where(*where))
        self._statements = {"sqlite": Statement(union_all(*filled)), "postgresql": Statement(union_all(*packed))}

    def read(self, conn: Connection, given: Mapping[str, Any]) -> defaultdict[str, list[Cells]]:
        """The rows by table, for the parameters `given`."""
        rows: defaultdict[str, list[Cells]] = defaultdict(list)
        if conn.dialect.name == "postgresql":
            for cells, name in self._statements["postgresql"].run(conn, given):
                rows[name].append(cells)
        else:
            for filled in self._statements["sqlite"].run(conn, given):
                rows[filled[-1]].append(filled)  # its last cell names the table
        return rows


def word(kind: type[E], value: str, runner_id: int) -> E | None:
    """The member of `kind` stored as `value`; None, with the runner's number in the log, if there is none.

    A word goes missing when a later version renames it: the row then stays as it is on the disk.
    """
    try:
        return kind(value)
    except ValueError:
        _warn(runner_id, kind)
        return None


class Codec(Generic[T]):
    """Values of the dataclass `kind` as rows of `table`.

    `columns` names the column of a field that lies elsewhere than under its own name. `instead` says what is read
    where the cell of a field cannot be: without it the row cannot be read at all. `given` are fields that the table
    does not hold, with the value that every row gets. `nested` gives the codec of a field that holds a dataclass whose
    columns are not named after it.
    """

    def __init__(
        self,
        kind: type[T],
        table: Table,
        *,
        columns: Mapping[str, str] | None = None,
        instead: RowValues | None = None,
        given: RowValues | None = None,
        nested: Mapping[str, Codec[Any]] | None = None,
        prefix: str = "",
    ) -> None:
        self.kind, self.table = kind, table
        self._instead, given = instead or {}, given or {}
        order, hints = table.columns.keys(), get_type_hints(kind)
        self._owner = order.index("runner_id" if "runner_id" in order else "id")
        parts: tuple[Field[Any], ...] = fields(kind)  # type: ignore[arg-type]
        self._fields = tuple(part.name for part in parts)
        self._columns: dict[str, str] = {}  # by field, of those that lie in one
        self._nested: list[tuple[int, Codec[Any]]] = []
        self._readers: list[tuple[int, Reader]] = []  # by place among the fields; the other cells are their values
        places: list[int] = []  # of each field's cell; a field without one borrows the first
        for place, part in enumerate(parts):
            hint, optional = _without_none(hints[part.name])
            column = prefix + (columns or {}).get(part.name, part.name)
            if part.name in given:
                self._readers.append((place, _always(given[part.name])))
            elif isinstance(hint, type) and is_dataclass(hint):
                inner = (nested or {}).get(part.name) or Codec(hint, table, prefix=f"{column}_")
                self._nested.append((place, inner))
            else:
                self._columns[part.name] = column
                if reader := _reader(table.c[column], hint, part, optional=optional):
                    self._readers.append((place, reader))
            places.append(order.index(column) if part.name in self._columns else 0)
        self._places = tuple(places)
        self._cells = _many(itemgetter, places)
        self._values = _many(attrgetter, tuple(self._columns))

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns in which a value lies."""
        nested = (name for _, codec in self._nested for name in codec.columns)
        return (*self._columns.values(), *nested)

    def row(self, value: T) -> dict[str, Any]:
        """The row of `value` by column, without its number and its runner's."""
        row = dict(zip(self._columns.values(), self._values(value), strict=True))
        for place, codec in self._nested:
            inner = getattr(value, self._fields[place])
            row |= dict.fromkeys(codec.columns) if inner is None else codec.row(inner)
        return row

    def read(self, cells: Sequence[Any]) -> T | None:
        """The value of a bare row; None, with a line in the log, if it cannot be read."""
        try:
            return self._read(cells)
        except _UNREADABLE:
            return self._mended(cells)

    def read_all(self, rows: Sequence[Cells]) -> list[T]:
        """The values of bare rows, column by column; a row that cannot be read is left out, with a line in the log."""
        if not rows:
            return []
        columns = list(zip(*rows, strict=True))
        values: list[Iterable[Any]] = [columns[place] for place in self._places]
        for place, reader in self._readers:
            values[place] = map(reader, values[place])
        for place, codec in self._nested:
            values[place] = map(codec.inner, rows)
        try:
            return list(map(self.kind, *values))
        except _UNREADABLE:
            return [value for value in map(self.read, rows) if value is not None]

    def _read(self, cells: Sequence[Any]) -> T:
        values = list(self._cells(cells))
        for place, reader in self._readers:
            values[place] = reader(values[place])
        for place, codec in self._nested:
            values[place] = codec.inner(cells)
        return self.kind(*values)

    def inner(self, cells: Sequence[Any]) -> T | None:
        """The value that lies in a row of another; None if none of its cells is filled."""
        return None if all(cell is None for cell in self._cells(cells)) else self._read(cells)

    def _mended(self, cells: Sequence[Any]) -> T | None:
        """The value with `instead` in place of each field that cannot be read, None if one has nothing instead."""
        values: list[Any] = list(self._cells(cells))
        readers = [(place, reader, cells[self._places[place]]) for place, reader in self._readers]
        for place, reader, cell in (*readers, *((place, codec.inner, cells) for place, codec in self._nested)):
            try:
                values[place] = reader(cell)
            except _UNREADABLE:
                _warn(cells[self._owner], self.kind)
                if self._fields[place] not in self._instead:
                    return None
                values[place] = self._instead[self._fields[place]]
        return self.kind(*values)


class UnionCodec(Generic[T]):
    """Values of several dataclasses as rows of one table, whose column `kind` says which of them a row holds."""

    def __init__(self, table: Table, kinds: Mapping[str, Codec[Any]]) -> None:
        self.table = table
        self._kinds = kinds
        self._words = {codec.kind: name for name, codec in kinds.items()}
        self._place = table.columns.keys().index("kind")
        self._blank: dict[str, Any] = {c.name: None for c in table.columns if c.name not in {"id", "runner_id"}}

    def row(self, value: T) -> dict[str, Any]:
        """The row of `value` by column, empty in what its kind does not have."""
        name = self._words[type(value)]
        return {**self._blank, **self._kinds[name].row(value), "kind": name}

    def read(self, cells: Sequence[Any]) -> T | None:
        """The value of a bare row; None, with a line in the log, if it cannot be read."""
        codec = self._kinds.get(cells[self._place])
        if codec is None:
            _log.warning("runner %d: the kind of a row of %s is not known", cells[0], self.table.name)
            return None
        return codec.read(cells)


def _warn(runner_id: int, kind: type[Any]) -> None:
    _log.warning("runner %d: a stored %s cannot be read", runner_id, kind.__name__)


def _many(getter: Callable[..., Reader], what: Sequence[Any]) -> Reader:
    """What `getter` finds for each of `what`, always as a tuple."""
    if len(what) > 1:
        return getter(*what)
    single = [getter(each) for each in what]
    return lambda value: tuple(each(value) for each in single)


def _always(value: Any) -> Reader:
    return lambda _: value


def _without_none(hint: Any) -> tuple[Any, bool]:
    """A type without its None, and whether it had one."""
    if get_origin(hint) not in {Union, UnionType}:
        return hint, False
    kinds = [kind for kind in get_args(hint) if kind is not NoneType]
    return kinds[0], len(kinds) < len(get_args(hint))


def _reader(column: Column[Any], hint: Any, of: Field[Any], *, optional: bool) -> Reader | None:
    """How a cell of `column` is read; None if the cell is the value."""
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        words: dict[str | None, Any] = {member.value: member for member in hint}
        read: Reader | None = (words | {None: None} if optional else words).__getitem__
    elif isinstance(column.type, Instant):
        read = moment_at
    else:
        read = column.type.dialect_impl(_DIALECT).result_processor(_DIALECT, None)
    if optional or not column.nullable:
        return read

    def filled(cell: Any) -> Any:
        if cell is not None:
            return cell if read is None else read(cell)
        if of.default is MISSING:
            raise ValueError(of.name)
        return of.default

    return filled


def fingerprint(secret: str) -> bytes:
    """What is kept in place of a code, a token or a stranger's number, and tells nobody what it was (SHA-256)."""
    return hashlib.sha256(secret.encode()).digest()
