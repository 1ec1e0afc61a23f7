"""All rows of a runner's book, fetched by one statement.

A book lies in a dozen small tables, and asking each of them costs more than reading what it answers. The rows come
back bare and in no promised order; here they are put in order and read as their columns' types say.
"""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from operator import itemgetter
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    CompoundSelect,
    Connection,
    Select,
    Table,
    bindparam,
    literal_column,
    null,
    select,
    type_coerce,
    union_all,
)
from sqlalchemy.dialects import sqlite
from sqlalchemy.types import NullType

from nudgebot.storage import schema, shelves

Rows = Mapping[str, list[Any]]  # by table: its rows with the columns as attributes, oldest first

_TABLES: Final[tuple[Table, ...]] = (
    schema.answers,
    schema.standings,
    schema.questions,
    schema.safety_questions,
    schema.returns,
    schema.ladders,
    *(shelf.table for shelf in shelves.SHELVES),
)
_DATED: Final = {shelf.table.name: shelf.dated for shelf in shelves.SHELVES}
_DAYS: Final = {shelf.table.name: shelf.days for shelf in shelves.SHELVES if shelf.days is not None}
_WIDTH: Final = max(len(table.columns) for table in _TABLES)


def of_runner(conn: Connection, runner_id: int, last_heard: datetime) -> Rows:
    """The rows of all tables that make up a book, the log's and others' from their window before `last_heard` on."""
    given: dict[str, object] = {"runner": runner_id}
    for name, days in _DAYS.items():
        since = last_heard - timedelta(days=days)
        given[f"since_{name}"] = since if _PARTS[name].by_instant else since.date()
    bare: dict[str, list[Any]] = {name: [] for name in _PARTS}
    for row in conn.execute(_QUESTION, given):
        bare[row[0]].append(row)
    return {name: _PARTS[name].read(rows) if rows else rows for name, rows in bare.items()}


@dataclass(frozen=True, slots=True)
class _Part:
    """How the rows of one table are read: their class, the places that need reading, those that say the order."""

    make: Callable[[list[Any]], Any]
    width: int
    readers: tuple[tuple[int, Callable[[Any], Any]], ...]
    order: Callable[[Any], Any] | None
    by_instant: bool

    def read(self, bare: list[Any]) -> list[Any]:
        if self.order is not None:
            bare.sort(key=self.order)
        rows = []
        for row in bare:
            cells = list(row[1 : self.width + 1])
            for place, reader in self.readers:
                if cells[place] is not None:
                    cells[place] = reader(cells[place])
            rows.append(self.make(cells))
        return rows


def _part(table: Table) -> _Part:
    dialect = sqlite.dialect()
    names = [column.name for column in table.columns]
    readers = (column.type.dialect_impl(dialect).result_processor(dialect, None) for column in table.columns)
    dated = _DATED.get(table.name)
    row: Any = _named(table.name, names)
    return _Part(
        make=row._make,
        width=len(names),
        readers=tuple((place, reader) for place, reader in enumerate(readers) if reader is not None),
        order=itemgetter(1 + names.index(dated), 1 + names.index("id")) if dated else None,
        by_instant=dated is not None and isinstance(table.c[dated].type, schema.Instant),
    )


def _question() -> CompoundSelect[Any]:
    """Every table's rows, each with the table's name before it and filled up with nulls to one width."""
    shares = []
    for table in _TABLES:
        cells: list[ColumnElement[Any]] = [type_coerce(column, NullType()) for column in table.columns]
        share: Select[*tuple[Any, ...]] = select(
            literal_column(f"'{table.name}'"), *cells, *[null()] * (_WIDTH - len(cells))
        )
        share = share.where(table.c.runner_id == bindparam("runner"))
        if table.name in _DAYS:
            share = share.where(table.c[_DATED[table.name]] >= bindparam(f"since_{table.name}"))
        shares.append(share)
    return union_all(*shares)


_named: Any = namedtuple  # the type checker wants the names written out, and they are the table's
_PARTS: Final = {table.name: _part(table) for table in _TABLES}
_QUESTION: Final = _question()
