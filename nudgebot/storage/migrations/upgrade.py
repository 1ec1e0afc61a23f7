"""Brings an older database up to date, with a copy of it kept beside it first."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine

from nudgebot.storage.faults import StoreFault

HERE = Path(__file__).parent


def config(conn: Connection) -> Config:
    """Alembic's settings for running on `conn`; there is no ini file."""
    settings = Config()
    settings.set_main_option("script_location", str(HERE).replace("%", "%%"))
    settings.attributes["connection"] = conn
    return settings


def upgrade(engine: Engine, place: str) -> None:
    """Runs the migrations that wait, all in one transaction; a failure of any kind undoes them.

    Raises StoreFault, in one line about `place`, where one fails: the database is as it was.
    """
    keep_copy(engine)
    try:
        with rebuilding(engine) as conn:
            command.upgrade(config(conn), "head")
    except StoreFault:
        raise
    except Exception as error:
        why = type(error).__name__
        raise StoreFault(
            "{} could not be brought up to date ({}) and is as it was: run the version before", place, why
        ) from error


def upgrade_on(conn: Connection, place: str) -> None:
    """As `upgrade`, for a database on a server, whose copies are its keeper's: in the transaction of `conn`."""
    try:
        command.upgrade(config(conn), "head")
    except StoreFault:
        raise
    except Exception as error:
        why = type(error).__name__
        raise StoreFault("{} could not be brought up to date ({}) and is as it was", place, why) from error


@contextmanager
def rebuilding(engine: Engine) -> Iterator[Connection]:
    """A transaction in which a table may be copied and dropped without taking along the rows that refer to it."""
    with engine.connect() as conn:
        driver = conn.connection.driver_connection
        if driver is None:
            raise RuntimeError("no connection to migrate on")
        # SQLite ignores the switch inside a transaction, so it comes before one begins.
        driver.execute("PRAGMA foreign_keys=OFF").close()
        try:
            with conn.begin():
                yield conn
                if conn.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                    raise RuntimeError("a migration left a row without its runner")
        finally:
            driver.execute("PRAGMA foreign_keys=ON").close()


def keep_copy(engine: Engine) -> None:
    """Copies a database file, in one step, to the same name with its version added; memory has no file."""
    with engine.connect() as conn:
        version = conn.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if not engine.url.database:
        return
    name = f"{engine.url.database}.before-{version}"
    os.close(os.open(name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC, 0o600))
    with closing(sqlite3.connect(engine.url.database)) as source, closing(sqlite3.connect(name)) as target:
        source.backup(target)
