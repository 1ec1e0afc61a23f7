"""The short way to the database: statements that are composed once and run by its driver, on a connection that is kept.

SQLAlchemy composes them and knows the types of their columns. Running one by it as well costs ten times what the driver
needs, and a line of a runner runs a dozen.
"""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from operator import itemgetter
from typing import Any, Final

from sqlalchemy import Connection, Dialect, Engine, Executable

from nudgebot.storage.database import in_transaction, is_to_be_wiped
from nudgebot.storage.faults import FAULT

Given = Mapping[str, Any]
_NOTHING: Final[Given] = {}
_Processor = Callable[[Any], Any]


def driven(conn: Connection, text: str, given: object = ()) -> Any:
    """The driver's cursor after `text` was run in the transaction of `conn`. Raises StoreFault."""
    try:
        return _driver(conn).execute(text, given)
    except Exception as error:
        _said_in_one_line(conn, error)
        raise


@contextmanager
def apart(conn: Connection) -> Iterator[None]:
    """A part of the transaction of `conn` that is undone alone where it raises."""
    driven(conn, "SAVEPOINT apart")
    try:
        yield
    except BaseException:
        if in_transaction(conn):
            driven(conn, "ROLLBACK TO apart")
            driven(conn, "RELEASE apart")
        raise
    driven(conn, "RELEASE apart")


class Statement:
    """A statement of SQLAlchemy's, run by the driver in the caller's transaction; what is given are its parameters.

    An INSERT or UPDATE without values of its own writes the columns that are given. Every run raises StoreFault where
    the store cannot be used.
    """

    def __init__(self, composed: Executable) -> None:
        self._core = composed
        self._ready: dict[tuple[str, ...], Ready] = {}  # by engine, and what is given

    def run(self, conn: Connection, given: Given = _NOTHING) -> Any:
        """The driver's cursor, whose rows are bare."""
        ready = self.ready_for(conn, given)
        return driven(conn, ready.text, ready.parameters(given))

    def run_each(self, conn: Connection, given: Sequence[Given]) -> int:
        """Runs it for each of `given`, which name the same parameters; how many rows were written."""
        count: int
        if len(given) == 1:
            count = self.run(conn, given[0]).rowcount
            return count
        ready = self.ready_for(conn, given[0])
        cursor = _driver(conn).cursor()
        try:
            cursor.executemany(ready.text, [ready.parameters(each) for each in given])
            count = cursor.rowcount
        except Exception as error:
            _said_in_one_line(conn, error)
            raise
        finally:
            cursor.close()
        return count

    def rows(self, conn: Connection, given: Given = _NOTHING) -> list[Any]:
        """The rows, as named tuples of values."""
        ready = self.ready_for(conn, given)
        return ready.rows(driven(conn, ready.text, ready.parameters(given)))

    def row(self, conn: Connection, given: Given = _NOTHING) -> Any:
        """The only row, None if there is none."""
        rows = self.rows(conn, given)
        if len(rows) > 1:
            raise LookupError("more rows than one", len(rows))
        return rows[0] if rows else None

    def value(self, conn: Connection, given: Given = _NOTHING) -> Any:
        """The first cell of the first row, None if there is no row."""
        rows = self.rows(conn, given)
        return rows[0][0] if rows else None

    def ready_for(self, conn: Connection, given: Given) -> Ready:
        """It, as the engine of `conn` has it where parameters of these names are given."""
        key = (conn.dialect.name, *given)
        ready = self._ready.get(key)
        if ready is None:
            ready = self._ready[key] = Ready(self._core, conn.dialect, list(given))
        return ready


class Ready:
    """A statement for one engine: its text, how parameters are handed over, how a row is read."""

    def __init__(self, core: Any, dialect: Dialect, given: list[str]) -> None:
        composed: Any = core.compile(dialect=dialect, column_keys=given)
        self.text = str(composed)
        wants: dict[str, _Processor | None] = {
            name: bind.type.dialect_impl(dialect).bind_processor(dialect) for bind, name in composed.bind_names.items()
        }
        constants = {name: value for name, value in composed.params.items() if name not in given}
        self._constants = {name: p(value) if (p := wants.get(name)) else value for name, value in constants.items()}
        self._processors = [(name, each) for name, each in wants.items() if each is not None and name in given]
        self._order = None if composed.positiontup is None else _all_of(composed.positiontup)
        self._columns = getattr(core, "exported_columns", {})
        self._dialect = dialect
        self._readers: list[tuple[int, _Processor]] | None = None  # of each column's own kind, once it was seen
        named: Any = namedtuple("named", self._columns.keys(), rename=True)  # type: ignore[misc]
        self._row: Callable[[Sequence[Any]], Any] = named._make

    def parameters(self, given: Given) -> Any:
        """What the driver takes: in order (SQLite) or by name (PostgreSQL)."""
        values = {**self._constants, **given}
        for name, processor in self._processors:
            if values[name] is not None:
                values[name] = processor(values[name])
        return values if self._order is None else self._order(values)

    def rows(self, cursor: Any) -> list[Any]:
        """The rows of the driver's cursor as values."""
        if self._readers is None:
            self._readers = self._readers_for(cursor.description)
        return [self._read(cells, self._readers) for cells in cursor.fetchall()]

    def _readers_for(self, description: Sequence[Sequence[Any]]) -> list[tuple[int, _Processor]]:
        kinds = (each.type.dialect_impl(self._dialect) for each in self._columns.values())
        readers = [kind.result_processor(self._dialect, told[1]) for kind, told in zip(kinds, description, strict=True)]
        return [(at, reader) for at, reader in enumerate(readers) if reader is not None]

    def _read(self, cells: Sequence[Any], readers: list[tuple[int, _Processor]]) -> Any:
        values = list(cells)
        for at, reader in readers:
            if values[at] is not None:
                values[at] = reader(values[at])
        return self._row(values)


def _all_of(names: Sequence[str]) -> Callable[[Mapping[str, Any]], tuple[Any, ...]]:
    if len(names) > 1:
        return itemgetter(*names)
    return lambda values: tuple(values[name] for name in names)


def _said_in_one_line(conn: Connection, error: Exception) -> None:
    """Raises the StoreFault that `error` amounts to, if it is no bug of ours."""
    fault = conn.info[FAULT](error)
    if fault is not None:
        raise fault from error


def _driver(conn: Connection) -> Any:
    if not conn.in_transaction():
        conn.begin()  # as SQLAlchemy's own statements do, or each statement would be committed by itself
    return conn.connection.driver_connection


class Writer:
    """Keeps its connection from one transaction to the next.

    To take one out of the pool and put it back costs three times what it does to begin and end a transaction. It is put
    back where something failed, so that a lost one is not used again, and where somebody's rows were erased, since
    the log is emptied then.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._conn: Connection | None = None

    @contextmanager
    def begin(self) -> Iterator[Connection]:
        """A transaction, committed at the end of the block, undone where it raises."""
        conn = self._conn = self._conn or self.engine.connect()
        try:
            with conn.begin():
                yield conn
        except BaseException:
            self.close()
            raise
        if is_to_be_wiped(conn):
            self.close()

    def close(self) -> None:
        """Puts the connection back."""
        conn, self._conn = self._conn, None
        if conn is not None:
            conn.close()

    def __enter__(self) -> Writer:
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()
