"""Opening the one SQLite file (or memory), and saying in one line what is wrong where that fails.

Nobody else makes an engine, but `postgres` for a database on a server. A transaction takes the write lock of a file as
it begins: read-then-write from two connections in SQLite's default mode loses updates without a word, and with a plain
BEGIN it fails in spite of a timeout.
`synchronous=FULL` costs about half the commits a second and keeps the promise that what was confirmed to the
platform is on the disk.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from enum import IntEnum
from pathlib import Path
from types import ModuleType
from typing import Any, Final

from sqlalchemy import Connection, Engine, StaticPool, Table, create_engine, event, make_url
from sqlalchemy.dialects import postgresql
from sqlalchemy.engine import ExceptionContext
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import ConnectionPoolEntry

from nudgebot.storage.faults import FAULT, BadAddress, NotMadeYet, OlderVersion, StoreFault
from nudgebot.storage.schema_check import is_behind

_WIPE: Final = "wipe"
PATIENCE: Final = timedelta(seconds=5)  # how long one transaction waits for another's write lock
_WANTED: Final = "sqlite:///path/to/nudgebot.db or postgresql+psycopg://user@host/name"


def upsert(table: Table) -> postgresql.Insert:
    """An INSERT that can say ON CONFLICT, and how many rows were new.

    SQLite took the clause over from PostgreSQL, and SQLAlchemy composes this form of it for both.
    """
    return postgresql.insert(table).inline().execution_options(preserve_rowcount=True)


class OneAtATime(IntEnum):
    """Work that one worker at a time does, among several on one database."""

    SWEEP = 1
    DIGEST = 2


def open_database(url: str, *, patience: timedelta = PATIENCE, create: bool = True) -> Engine:
    """An engine on the database at `url`, created (a file has mode 600) or brought up to date first.

    Without `create` it must be there, and of this version. Raises StoreFault for what is not such a URL, no database,
    a newer or foreign one, read-only, locked or full.
    """
    if on_a_server(url):
        engine: Engine = server().open_server(url, create=create)
        return engine
    path = file_of(url)
    if path is not None and create:
        _create(path)
    elif path is not None and not (path.exists() and path.stat().st_size):  # opening would write into an empty file
        raise NotMadeYet("there is no database {}; serve makes it as it starts, and --db names another", path)
    place = "the database in memory" if path is None else f"the database {path}"
    engine = _engine(url, path, place, patience)
    try:
        with engine.begin() as conn:
            behind = is_behind(conn, place, create=create or path is None)
        if behind and not create:
            raise OlderVersion("{} is of an older version; serve brings it up to date as it starts", place)
        if behind:
            # Alembic takes a fifth of a second to import; a database that is up to date never pays it.
            from nudgebot.storage.migrations.upgrade import upgrade

            upgrade(engine, place)
    except BaseException:
        engine.dispose()
        raise
    return engine


@contextmanager
def opened(url: str, *, create: bool = True) -> Iterator[Engine]:
    """open_database for as long as the block lasts; its connections are closed at the end."""
    engine = open_database(url, create=create)
    try:
        yield engine
    finally:
        engine.dispose()


def in_transaction(conn: Connection) -> bool:
    """Whether there is still a savepoint to go back to: a full disk, or a lost connection, may have undone it all."""
    if conn.invalidated:
        return False
    driver = conn.connection.driver_connection
    return driver.in_transaction if isinstance(driver, sqlite3.Connection) else server().in_transaction(driver)


# A server's session sees one state for as long as a statement lasts, unless it asks for more.
_READING: Final[dict[str, dict[str, Any]]] = {
    "sqlite": {},
    "postgresql": {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True},
}


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that only reads: it sees one state of the store and waits for no writer."""
    with engine.connect().execution_options(reading=True, **_READING[engine.dialect.name]) as conn:
        yield conn


def only_reads(conn: Connection) -> bool:
    """Whether the transaction of `conn` is one of `reading`."""
    return bool(conn.get_execution_options().get("reading", False))


def shared(of: Connection | Engine) -> bool:
    """Whether several processes may write to this database at once: a file has one writer, a server any number."""
    return of.dialect.name != "sqlite"


def only_one(conn: Connection, work: OneAtATime) -> bool:
    """Whether this transaction may do `work`: False while another worker does; a file's one writer always may."""
    return not shared(conn) or server().only_one(conn, work)


def on_a_server(url: str) -> bool:
    """Whether `url` leads to PostgreSQL. Raises BadAddress for what is no URL, or without its driver."""
    try:
        backend = make_url(url).drivername
    except (ArgumentError, ValueError) as error:
        raise BadAddress("not a database URL (wanted: {})", _WANTED) from error
    if backend not in {"postgresql", "postgresql+psycopg"}:
        return False
    server()
    return True


def named(url: str) -> str:
    """`url` as it may be printed: without its password."""
    return make_url(url).render_as_string(hide_password=True)


def server() -> ModuleType:
    """What only PostgreSQL needs; its driver comes with an extra."""
    try:
        from nudgebot.storage import postgres
    except ImportError as error:
        raise BadAddress("PostgreSQL needs its driver: pip install 'nudgebot[postgres]'") from error
    return postgres


def wipe_after(conn: Connection) -> None:
    """Has the write-ahead log emptied as soon as this transaction is over: somebody's rows were erased in it."""
    conn.info[_WIPE] = True


def is_to_be_wiped(conn: Connection) -> bool:
    """Whether the write-ahead log is to be emptied as `conn` is put back."""
    return _WIPE in conn.info


def fold_log(engine: Engine) -> None:
    """Folds SQLite's write-ahead log into the file and empties it: only then is what was erased off the disk.

    A server sees to its own log.
    """
    if shared(engine):
        return
    raw = engine.raw_connection()
    try:
        cursor = raw.cursor()
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.close()
    except sqlite3.Error as error:  # a raw connection does not pass what `_engine` makes of errors
        raise sqlite_fault(error, engine.url.database or "memory") from error
    finally:
        raw.close()


def file_of(url: str) -> Path | None:
    """The database file of `url`, links followed; None for a database in memory. Raises BadAddress."""
    try:
        parsed = make_url(url)
        backend = parsed.get_backend_name()
    except ArgumentError as error:
        raise BadAddress("not a database URL (wanted: {})", _WANTED) from error
    if backend != "sqlite" or parsed.get_driver_name() not in {"", "pysqlite"}:
        raise BadAddress("a {} database is not supported (wanted: {})", parsed.drivername, _WANTED)
    name = parsed.database or ""
    if name.startswith("file:"):
        raise BadAddress("write the database as a plain path (wanted: {})", _WANTED)
    return None if name in {"", ":memory:"} else Path(name).expanduser().resolve()


def _create(path: Path) -> None:
    """Makes an empty file that only its owner may read; SQLite gives its side files the same mode."""
    if path.exists():
        return
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600))
    except OSError as error:
        if path.exists():  # another process was quicker
            return
        raise StoreFault("cannot create the database {}: {}", path, error.strerror) from error


def _engine(url: str, path: Path | None, place: str, patience: timedelta) -> Engine:
    if path is None:
        engine = create_engine("sqlite://", poolclass=StaticPool, connect_args={"check_same_thread": False})
    else:
        # Not the URL alone: SQLite would make a new, empty file where the one that was opened is gone.
        there = f"{path.as_uri()}?mode=rw"
        engine = create_engine(
            make_url(url).set(database=str(path)),
            creator=lambda: sqlite3.connect(there, uri=True, check_same_thread=False),
        )
    pragmas = (
        f"busy_timeout={patience // timedelta(milliseconds=1)}",  # first: the others may have to wait
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        "secure_delete=ON",  # what a person has erased is overwritten, not only unlinked
        "temp_store=MEMORY",  # what a savepoint may have to put back: beyond 64 KB a file would be made for every line
    )

    @event.listens_for(engine, "connect")
    def connect(dbapi: sqlite3.Connection, record: ConnectionPoolEntry) -> None:
        record.info[FAULT] = fault
        dbapi.isolation_level = None  # the driver must not begin transactions of its own
        try:
            for pragma in pragmas:
                dbapi.execute(f"PRAGMA {pragma}").close()
        except sqlite3.Error as error:
            raise sqlite_fault(error, place) from error

    @event.listens_for(engine, "checkin")
    def wipe(dbapi: sqlite3.Connection | None, record: ConnectionPoolEntry) -> None:
        if record.info.pop(_WIPE, False) and dbapi is not None:
            try:
                dbapi.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
            except sqlite3.Error:  # somebody reads an older state just now; `sweep` tries again
                record.info[_WIPE] = True

    @event.listens_for(engine, "begin")
    def begin(conn: Connection) -> None:
        driver: Any = conn.connection.driver_connection
        try:
            driver.execute("BEGIN" if only_reads(conn) else "BEGIN IMMEDIATE").close()
        except sqlite3.Error as error:
            raise fault(error) or error from error

    @event.listens_for(engine, "handle_error")
    def broken(context: ExceptionContext) -> StoreFault | None:
        return fault(context.original_exception)

    def fault(error: BaseException) -> StoreFault | None:
        # Our own bugs (a broken constraint, a wrong statement) stay what they are.
        if isinstance(error, sqlite3.DatabaseError) and not isinstance(error, _BUGS) and _code(error) in _WHY:
            return sqlite_fault(error, place)
        return None

    return engine


_BUGS: Final = (sqlite3.IntegrityError, sqlite3.ProgrammingError, sqlite3.InterfaceError, sqlite3.NotSupportedError)
_WHY: Final = {
    sqlite3.SQLITE_BUSY: "{} is locked by another program",
    sqlite3.SQLITE_LOCKED: "{} is locked by another program",
    sqlite3.SQLITE_READONLY: "{} is read-only",
    sqlite3.SQLITE_FULL: "no room left on the disk for {}",
    sqlite3.SQLITE_NOTADB: "{} is not a database of nudgebot",
    sqlite3.SQLITE_CORRUPT: "{} is damaged; restore a backup",
    sqlite3.SQLITE_CANTOPEN: "cannot open {}",
    sqlite3.SQLITE_IOERR_SHMSIZE: "no room left on the disk for {}",
    sqlite3.SQLITE_IOERR: "the disk failed under {}",
    sqlite3.SQLITE_PERM: "no permission to use {}",
    sqlite3.SQLITE_AUTH: "no permission to use {}",
}


def _code(error: sqlite3.Error) -> int:
    """SQLite's extended result code where it says more, else the primary one, which is its low byte."""
    extended: int = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    return extended if extended in _WHY else extended & 0xFF


def sqlite_fault(error: sqlite3.Error, place: object) -> StoreFault:
    """What SQLite says, in one line about `place`."""
    return StoreFault(_WHY.get(_code(error), "{} cannot be used"), place)
