"""Whether the tables of a database are ours, and of this version; an empty one is given them."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sqlalchemy import Connection

from nudgebot.storage import schema
from nudgebot.storage.faults import NotMadeYet, StoreFault

_COLUMNS: Final = {  # every table of the database with its columns
    "sqlite": "SELECT t.name, c.name FROM sqlite_master t JOIN pragma_table_info(t.name) c WHERE t.type = 'table'",
    "postgresql": "SELECT table_name, column_name FROM information_schema.columns "
    "WHERE table_schema = current_schema()",
}


def is_behind(conn: Connection, place: str, *, create: bool) -> bool:
    """Whether migrations wait; an empty database is given the newest tables at once, where `create` says so.

    Raises StoreFault if the database belongs to another program or to a nudgebot whose files this one cannot read.
    """
    columns = {(row[0], row[1]) for row in conn.exec_driver_sql(_COLUMNS[conn.dialect.name])}
    names = {table for table, _ in columns}
    if not names and not create:
        raise NotMadeYet("there is no nudgebot in {}; serve makes it as it starts, and --db names another", place)
    if not names:
        schema.metadata.create_all(conn, checkfirst=False)
        # As Alembic itself writes it: a new database starts at the newest migration.
        conn.exec_driver_sql(
            "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL, "
            "CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
        )
        conn.exec_driver_sql(f"INSERT INTO alembic_version VALUES ('{schema.HEAD}')")
        return False
    if not {"alembic_version", "runners"} <= names:
        raise StoreFault("{} belongs to another program", place)
    version = conn.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    known = {file.stem[:4] for file in (Path(__file__).parent / "migrations" / "versions").glob("0*.py")}
    # Before the first release tables change without a number of their own; a table of somebody else's is no harm.
    ours = {(table.name, column.name) for table in schema.metadata.tables.values() for column in table.columns}
    same = {each for each in columns if each[0] in schema.metadata.tables} == ours
    if version not in known or (version == schema.HEAD and not same):
        raise StoreFault("{} was written by a newer nudgebot, or by one from before the first release", place)
    return bool(version != schema.HEAD)
