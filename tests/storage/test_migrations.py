"""The migration leads to the tables and back; another shape is refused; rows survive a table that is copied."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command
from alembic.migration import MigrationContext
from alembic.operations import Operations
from alembic.script import ScriptDirectory
from sqlalchemy import Column, Connection, String, create_engine

from nudgebot.storage import book_repository, schema
from nudgebot.storage.database import open_database
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.migrations.upgrade import HERE, config, keep_copy, rebuilding, upgrade
from tests.storage.examples import NOW, full_book


@pytest.fixture
def migrated() -> Iterator[Connection]:
    engine = create_engine("sqlite://")
    with engine.begin() as conn:
        command.upgrade(config(conn), "head")
        yield conn
    engine.dispose()


def shape(conn: Connection) -> set[tuple[str, frozenset[str]]]:
    """Every table and index as SQLite wrote it down; blanks, and the order of a table's constraints, say nothing."""
    rows = conn.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {
        (name, frozenset(part.strip(",)") for part in "".join(sql.split()).replace('"', "").split("CONSTRAINT")))
        for name, sql in rows
    }


def test_migrating_an_empty_database_gives_the_very_tables_of_a_new_one(migrated: Connection) -> None:
    fresh = open_database("sqlite://")
    with fresh.connect() as conn:
        assert shape(migrated) == shape(conn)
        assert migrated.exec_driver_sql("SELECT * FROM alembic_version").all() == [(schema.HEAD,)]
        assert conn.exec_driver_sql("SELECT * FROM alembic_version").all() == [(schema.HEAD,)]
    fresh.dispose()


def test_there_is_one_newest_migration_and_its_name_is_its_number() -> None:
    script = ScriptDirectory(str(HERE))
    assert script.get_heads() == [schema.HEAD]
    for revision in script.walk_revisions():
        assert Path(revision.path).name.startswith(f"{revision.revision}_")


def test_the_migrations_lead_back_to_nothing(migrated: Connection) -> None:
    command.downgrade(config(migrated), "base")
    left = {name for name, _ in shape(migrated)} - {"alembic_version", "sqlite_sequence"}
    assert left == set()


def test_a_copied_table_takes_no_rows_along_and_a_copy_of_the_file_is_kept(tmp_path: Path) -> None:
    """Alembic changes a SQLite table by copying and dropping it: with foreign keys on, the children would go too."""
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        book = full_book(book_repository.create(conn, "talk", "Ana", "Ana", NOW).runner)
        book_repository.save(conn, book_repository.load(conn, book.runner.id), book)
    keep_copy(engine)
    with rebuilding(engine) as conn:
        operations = Operations(MigrationContext.configure(conn, opts={"target_metadata": schema.metadata}))
        with operations.batch_alter_table("runners", recreate="always") as runners:
            runners.add_column(Column("shoe", String))
    with engine.connect() as conn:
        assert book_repository.load(conn, book.runner.id) == book
        assert conn.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    engine.dispose()
    with closing(sqlite3.connect(f"{path}.before-{schema.HEAD}")) as copy:
        assert copy.execute("SELECT count(*) FROM log").fetchone() == (len(book.log),)
        assert copy.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert Path(f"{path}.before-{schema.HEAD}").stat().st_mode & 0o777 == 0o600


def test_a_migration_that_orphans_a_row_is_undone() -> None:
    engine = open_database("sqlite://")
    with engine.begin() as conn:
        book = book_repository.create(conn, "talk", "Ana", "Ana", NOW)
    with pytest.raises(RuntimeError, match="without its runner"), rebuilding(engine) as conn:
        conn.exec_driver_sql("DELETE FROM runners")
    with engine.connect() as conn:
        assert book_repository.load(conn, book.runner.id) == book
    engine.dispose()


def test_the_tables_are_made_by_an_upgrade_of_a_file_without_any(tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    empty = create_engine(f"sqlite:///{path}")
    with empty.begin() as conn:
        conn.exec_driver_sql("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)")
    upgrade(empty, "it")
    empty.dispose()
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        book = book_repository.create(conn, "talk", "Ana", "Ana", NOW)
        assert book_repository.load(conn, book.runner.id) == book
    engine.dispose()


def test_a_migration_that_fails_half_way_leaves_the_file_as_it_was_and_says_so_in_one_line(tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        schema.metadata.drop_all(conn)
        conn.exec_driver_sql("DELETE FROM alembic_version")
        conn.exec_driver_sql("CREATE TABLE theirs (x)")
        conn.exec_driver_sql("CREATE INDEX ix_outbox_open ON theirs (x)")  # after many tables, a name that is taken
        before = shape(conn)
    with pytest.raises(StoreFault, match=f"^{path} could not be brought up to date .* is as it was[^\n]*$"):
        upgrade(engine, str(path))
    with engine.begin() as conn:
        assert shape(conn) == before
    engine.dispose()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE alembic_version SET version_num = '0000'",
        "UPDATE alembic_version SET version_num = '0005'",
        "DELETE FROM alembic_version",
        "ALTER TABLE log DROP COLUMN cap",
        "ALTER TABLE log ADD COLUMN shoe VARCHAR",
        "DROP TABLE pauses",
    ],
)
def test_a_file_of_another_shape_is_refused_in_one_line_and_left_as_it_is(change: str, tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        conn.exec_driver_sql(change)
    engine.dispose()
    before = path.read_bytes()
    with pytest.raises(StoreFault, match=f"^the database {path} was written by .* from before the first release$"):
        open_database(f"sqlite:///{path}")
    assert path.read_bytes() == before


def test_a_database_in_memory_has_no_file_to_copy() -> None:
    engine = open_database("sqlite://")
    keep_copy(engine)
    engine.dispose()
