"""PostgreSQL: opening it, what its errors mean, and how several workers on one database keep out of each other's way.

Everything that only PostgreSQL needs is here. Statements are the same on both engines; what differs in them (row
locks, JSON in place of bare rows) SQLite's compiler leaves out, or stands beside its other form in `codec`.

Workers know of each other by advisory locks, which end with the connection that holds them: each holds PRESENT
together with the others, and one holds LEADING, which polls the platform and fetches files. A lock that is lost is
noticed at the next look. Nothing that counts hangs on being the only leader: updates are unique by their key.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from functools import partial
from typing import Any, Final

import psycopg
from psycopg.pq import TransactionStatus
from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.engine import URL, ExceptionContext
from sqlalchemy.pool import ConnectionPoolEntry

from nudgebot.storage.faults import FAULT, StoreFault
from nudgebot.storage.schema_check import is_behind

# Half of an advisory lock's name (the other says which); a database is one bot's.
_OURS: Final = 0x6E756467
_PRESENT, _LEADING, _MAKING, _FIRST_FREE = range(4)
CONNECT_SECONDS: Final = 5
# Of every session. A worker that is stopped, or whose machine is gone, must not keep its rows from the others.
_SESSION: Final = {
    "synchronous_commit": "on",  # what was confirmed to the platform is on the disk
    "lock_timeout": "5s",
    "statement_timeout": "30s",
    "idle_in_transaction_session_timeout": "30s",
    "tcp_keepalives_idle": "5",
    "tcp_keepalives_interval": "5",
    "tcp_keepalives_count": "3",
    "tcp_user_timeout": "20s",
}
# Of our end: the same, so that a cut wire is an error and not a silence.
_OUR_END: Final = {
    "connect_timeout": CONNECT_SECONDS,
    "keepalives_idle": 5,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 20_000,
}
# What a session is told by its SQLSTATE (PostgreSQL, Appendix A), the longest beginning first.
_WHY: Final = {
    "53100": "no room left on the disk for {}",
    "53300": "{} takes no more connections",
    "55P03": "{} is locked by another program",
    "40P01": "{} is locked by another program",
    "40001": "{} is locked by another program",
    "57014": "{} took too long",
    "25P03": "{} ended the connection",
    "25006": "{} is read-only",
    "42501": "no permission to use {}",
    "3D000": "there is no {}",
    "XX001": "{} is damaged; restore a backup",
    "58030": "the disk failed under {}",
    "08": "{} was not reached",
    "28": "no permission to use {}",
    "53": "no room left for {}",
    "57P": "{} ended the connection",
}


def place_of(url: URL) -> str:
    """How the database of `url` is called in one line, without its password."""
    return f"the database {url.database} on {url.host or url.query.get('host') or 'this machine'}"


def open_server(url: str, *, create: bool) -> Engine:
    """As `database.open_database`, whose second half this is."""
    parsed = make_url(url)
    place = place_of(parsed)
    engine = _engine(parsed, place)
    try:
        with engine.begin() as conn:
            _lock(conn, _MAKING)  # workers that start together
            behind = is_behind(conn, place, create=create)
            if behind and create:
                from nudgebot.storage.migrations.upgrade import upgrade_on

                upgrade_on(conn, place)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _engine(url: URL, place: str) -> Engine:
    options = " ".join(f"-c {name}={value}" for name, value in _SESSION.items())
    given = url.query.get("options", "")
    ours = _OUR_END | {"options": f"{given} {options}" if isinstance(given, str) else options}
    engine = create_engine(
        url.difference_update_query(["options"]).set(drivername="postgresql+psycopg"),
        connect_args=ours,
        pool_use_lifo=True,
    )

    @event.listens_for(engine, "connect")
    def connect(_: Any, record: ConnectionPoolEntry) -> None:
        record.info[FAULT] = partial(_fault, place=place)

    @event.listens_for(engine, "handle_error")
    def broken(context: ExceptionContext) -> StoreFault | None:
        return _fault(context.original_exception, place)

    return engine


def _fault(error: BaseException | None, place: str) -> StoreFault | None:
    """What an error of the world is in one line; None for a bug of ours."""
    if not isinstance(error, psycopg.Error):
        return None
    state = error.sqlstate
    if state is None:
        lost = isinstance(error, psycopg.OperationalError | psycopg.InterfaceError)
        why = " ".join(str(error).split()).rpartition("FATAL: ")[2]
        return StoreFault("{} was not reached: {}", place, why) if lost else None
    for beginning in sorted(_WHY, key=len, reverse=True):
        if state.startswith(beginning):
            return StoreFault(_WHY[beginning], place)
    return None


def in_transaction(driver: psycopg.Connection[Any]) -> bool:
    """Whether a savepoint of the transaction can still be gone back to."""
    return driver.info.transaction_status in {TransactionStatus.INTRANS, TransactionStatus.INERROR}


def only_one(conn: Connection, number: int) -> bool:
    """Whether this transaction is the only one among all workers that does work of that `number`."""
    given = {"ours": _OURS, "which": _FIRST_FREE + number}
    return bool(conn.scalar(text("SELECT pg_try_advisory_xact_lock(:ours, :which)"), given))


def _lock(conn: Connection, which: int) -> None:
    conn.execute(text("SELECT pg_advisory_xact_lock(:ours, :which)"), {"ours": _OURS, "which": which})


@contextmanager
def hold_server(url: str, *, alone: bool) -> Iterator[None]:
    """Keeps others from having the database for themselves for as long as the block lasts, or has it `alone`.

    Raises StoreFault where somebody holds it in a way that forbids it.
    """
    parsed = make_url(url)
    place = place_of(parsed)
    engine = _engine(parsed, place)
    try:
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as conn:
            if not conn.scalar(_TRYING[alone], {"ours": _OURS, "which": _PRESENT}):
                raise StoreFault("{} is in use by {} nudgebot", place, "a" if alone else "another")
            yield
    finally:
        engine.dispose()


_TRYING: Final = {
    True: text("SELECT pg_try_advisory_lock(:ours, :which)"),
    False: text("SELECT pg_try_advisory_lock_shared(:ours, :which)"),
}
_COUNT: Final = text(
    "SELECT clock_timestamp(), (SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND classid = :ours "
    "AND objid = :which AND granted AND database = (SELECT oid FROM pg_database WHERE datname = current_database()))"
)


def present(engine: Engine) -> tuple[datetime, int]:
    """The server's time, and how many workers are there. Raises StoreFault."""
    with engine.connect() as conn:
        now, workers = conn.execute(_COUNT, {"ours": _OURS, "which": _PRESENT}).one()
    return now.astimezone(UTC), workers


class Presence:
    """One worker's place among those that share a database: a connection of its own, and the locks it holds."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._conn: Connection | None = None
        self.leads = False

    def look(self) -> tuple[datetime, int]:
        """The server's time and how many workers there are; takes the lead where it is free.

        Raises StoreFault where the server is not reached; then another one may lead.
        """
        try:
            conn = self._conn or self._enter()
            self.leads = self.leads or bool(conn.scalar(_TRYING[True], {"ours": _OURS, "which": _LEADING}))
            now, workers = conn.execute(_COUNT, {"ours": _OURS, "which": _PRESENT}).one()
        except BaseException:
            self.leave()
            raise
        return now.astimezone(UTC), max(1, workers)

    def leave(self) -> None:
        """The others go on without this worker; the lead is free."""
        conn, self._conn, self.leads = self._conn, None, False
        if conn is not None:
            with suppress(StoreFault):
                conn.invalidate()  # closed, not put back: the locks are the session's
            with suppress(StoreFault):
                conn.close()

    def _enter(self) -> Connection:
        self._conn = conn = self._engine.connect().execution_options(isolation_level="AUTOCOMMIT")
        if not conn.scalar(_TRYING[False], {"ours": _OURS, "which": _PRESENT}):
            raise StoreFault("{} is held by one nudgebot alone", place_of(self._engine.url))
        return conn
