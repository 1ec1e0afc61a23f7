"""Databases in memory for tests, quickly: engines are used again, and what many tests begin with is copied into them.

An engine composes every SQL statement once and keeps it, and a new database makes every table: together most of what a
test of a few lines would cost. The database itself is new for each test: an engine that is given back is disposed of,
and SQLite forgets a database in memory with its connection. A test that is marked `both_engines` runs a second time,
with databases of `tests.postgres` in their place.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from sqlalchemy import Engine

from nudgebot.storage.database import open_database, reading
from nudgebot.storage.moving import copy_tables
from tests import postgres

MOST_KEPT = 8  # engines; a property test may need one for each of its examples

_free: list[Engine] = []
_lent: list[Engine] = []
_on_a_server = False


def use(kind: str) -> None:
    """From now on databases are of that kind: "sqlite" or "postgresql"."""
    global _on_a_server  # noqa: PLW0603 - which of its two turns a test has
    _on_a_server = kind == "postgresql"


def in_memory(holding: sqlite3.Connection | None = None) -> Engine:
    """An engine on an empty database in memory, or on a copy of `holding`, until the test ends."""
    if _on_a_server:
        there = postgres.lend()
        if holding is not None:
            with made_once() as source:
                fill(source, holding)
                with reading(source) as rows, there.begin() as conn:
                    copy_tables(rows, conn)
        return there
    engine = _free.pop() if _free else open_database("sqlite://")
    _lent.append(engine)
    fill(engine, holding or _empty())
    return engine


@contextmanager
def made_once() -> Iterator[Engine]:
    """An engine in memory on which is made what others are filled from, whatever kind of database those are."""
    before = _on_a_server
    use("sqlite")
    try:
        with memory() as engine:
            yield engine
    finally:
        use("postgresql" if before else "sqlite")


@contextmanager
def memory(holding: sqlite3.Connection | None = None) -> Iterator[Engine]:
    """`in_memory` for as long as the block lasts."""
    engine = in_memory(holding)
    try:
        yield engine
    finally:
        postgres.give_back_one(engine)
        if engine in _lent:  # the block may have given back everything already
            _lent.remove(engine)
            _take_back(engine)


def give_back() -> None:
    """Takes back every engine that was lent; called after each test."""
    postgres.give_back()
    while _lent:
        _take_back(_lent.pop())


def _take_back(engine: Engine) -> None:
    engine.dispose()
    if len(_free) < MOST_KEPT:
        _free.append(engine)


def kept(engine: Engine) -> sqlite3.Connection:
    """A copy of the database of `engine`, from which others are filled."""
    copy = sqlite3.connect(":memory:", check_same_thread=False)
    if engine.dialect.name != "sqlite":
        raise TypeError("what tests begin with is made in memory")
    with engine.connect() as conn:
        raw = conn.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        conn.rollback()  # SQLAlchemy has begun a transaction, which would lock the copy out
        raw.backup(copy)
    return copy


def fill(engine: Engine, holding: sqlite3.Connection) -> None:
    """Makes the database of `engine` a copy of `holding`."""
    raw = engine.raw_connection()
    try:
        target = raw.driver_connection
        assert isinstance(target, sqlite3.Connection)
        holding.backup(target)
    finally:
        raw.close()


@cache
def _empty() -> sqlite3.Connection:
    engine = open_database("sqlite://")
    copy = kept(engine)
    _take_back(engine)
    return copy
