"""A bot moved from one database to another, whatever engine either is on: every row, then every row compared.

Rows go through the types of `schema`, so that each engine keeps them in its own way. Numbers that were given out once
are not given out again: the counters go along.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from sqlalchemy import Connection, Row, Table, func, insert, select, text
from sqlalchemy.exc import SQLAlchemyError

from nudgebot.storage import schema
from nudgebot.storage.database import named, opened, reading, shared
from nudgebot.storage.faults import BadAddress, StoreFault
from nudgebot.storage.holding import hold

_AT_A_TIME: Final = 1_000  # rows


def move(url: str, to: str) -> dict[str, int]:
    """Copies every table of the bot at `url` into the empty database at `to`; how many rows each has.

    Raises StoreFault, and leaves the target as it was, while a nudgebot uses either of them, where the target already
    holds something, a row does not fit, or what arrived is not what was sent.
    """
    if named(url) == named(to):
        raise BadAddress("FROM and TO are the same database")
    with (
        opened(url, create=False) as source,
        hold(url, alone=True),
        opened(to) as target,
        hold(to, alone=True),
        reading(source) as rows,
        target.begin() as conn,
    ):
        for table in schema.metadata.sorted_tables:
            if conn.execute(select(table).limit(1)).first() is not None:
                raise StoreFault("{} is not empty: move wants a database in which nobody is yet", named(to))
        moved = copy_tables(rows, conn)
        _compare(rows, conn)
        return moved


def copy_tables(rows: Connection, conn: Connection) -> dict[str, int]:
    """Writes every row of the database of `rows`, and its counters, to the empty tables of `conn`; rows by table."""
    moved = {}
    for table in schema.metadata.sorted_tables:
        moved[table.name] = 0
        for part in _parts(rows, table):
            try:
                conn.execute(insert(table), [dict(row._mapping) for row in part])  # noqa: SLF001 - its public name
            except (SQLAlchemyError, ValueError) as error:
                why = type(getattr(error, "orig", error)).__name__
                first = next(iter(part[0]))
                raise StoreFault("a row of {} from {} on does not fit ({})", table.name, first, why) from error
            moved[table.name] += len(part)
    for table, last in _counters(rows).items():
        _set_counter(conn, table, last)
    return moved


def _compare(rows: Connection, conn: Connection) -> None:
    for table in schema.metadata.sorted_tables:
        sent, came = _parts(rows, table), _parts(conn, table)
        for part in sent:
            if next(came, None) != part:
                raise StoreFault("a row of {} did not arrive as it was; nothing was moved", table.name)
        if next(came, None) is not None:
            raise StoreFault("{} has rows that nobody sent; nothing was moved", table.name)


def _parts(conn: Connection, table: Table) -> Iterator[Sequence[Row[Any]]]:
    """The rows of a table by its key, some at a time."""
    ordered = select(table).order_by(*table.primary_key.columns)
    result = conn.execution_options(yield_per=_AT_A_TIME).execute(ordered)
    try:
        yield from result.partitions()
    except (ValueError, TypeError) as error:
        raise StoreFault("a row of {} cannot be read ({})", table.name, type(error).__name__) from error


def _numbered() -> Iterator[Table]:
    return (table for table in schema.metadata.sorted_tables if table.primary_key.columns.keys() == ["id"])


def _counters(conn: Connection) -> dict[Table, int]:
    """The highest number that each table ever gave to a row, where it gave one."""
    if shared(conn):
        last = {
            table: conn.scalar(text(f"SELECT last_value FROM {table.name}_id_seq WHERE is_called"))
            for table in _numbered()
        }
    else:
        kept = {row.name: row.seq for row in conn.exec_driver_sql("SELECT name, seq FROM sqlite_sequence")}
        last = {
            table: max(kept.get(table.name, 0), conn.scalar(select(func.max(table.c.id))) or 0) for table in _numbered()
        }
    return {table: number for table, number in last.items() if number}


def _set_counter(conn: Connection, table: Table, last: int) -> None:
    if shared(conn):
        conn.execute(text("SELECT setval(:counter, :last)"), {"counter": f"{table.name}_id_seq", "last": last})
    elif table.dialect_options["sqlite"]["autoincrement"]:
        conn.execute(text("DELETE FROM sqlite_sequence WHERE name = :name"), {"name": table.name})
        conn.execute(text("INSERT INTO sqlite_sequence VALUES (:name, :last)"), {"name": table.name, "last": last})
