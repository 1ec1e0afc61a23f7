"""Statements that the driver runs: what SQLAlchemy would have read, written and promised."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, Engine, bindparam, insert, select, update

from nudgebot.domain.model.actions import Resume
from nudgebot.domain.model.speech import Button, Say
from nudgebot.storage import book_repository, outbox, schema
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.statement import Statement
from tests.memory import in_memory
from tests.storage.examples import NOW, full_book

KNOWN = Statement(select(schema.heard.c.digest))
HEAR = Statement(insert(schema.heard).inline())


@pytest.fixture
def store() -> Iterator[Engine]:
    engine = in_memory()
    yield engine
    engine.dispose()


@pytest.fixture
def conn(store: Engine) -> Iterator[Connection]:
    with store.begin() as conn:
        yield conn


@pytest.mark.both_engines
def test_rows_of_every_table_are_read_as_sqlalchemy_reads_them(conn: Connection) -> None:
    blank = book_repository.create(conn, "telegram", "7", "Ana", NOW)
    book_repository.save(conn, blank, full_book(blank.runner))
    outbox.put(conn, blank.runner, Say("Monday: 30 min easy.", buttons=(Button("Go on", Resume()),)), key="k", now=NOW)
    read = 0
    for table in schema.metadata.sorted_tables:
        rows = [tuple(row) for row in conn.execute(select(table))]
        assert Statement(select(table)).rows(conn) == rows, table.name
        read += bool(rows)
    assert read > 15


@pytest.mark.both_engines
def test_the_first_statement_of_a_connection_begins_its_transaction(store: Engine) -> None:
    with store.connect() as conn:
        HEAR.run(conn, {"digest": b"a", "at": NOW})
        assert KNOWN.value(conn) == b"a"
    with store.connect() as conn:
        assert KNOWN.rows(conn) == []


@pytest.mark.both_engines
def test_what_is_given_is_written_and_what_is_not_stays(conn: Connection) -> None:
    assert HEAR.run_each(conn, [{"digest": each, "at": NOW} for each in (b"a", b"b")]) == 2
    change = Statement(update(schema.heard).where(schema.heard.c.digest == bindparam("of")))
    assert change.run(conn, {"of": b"a", "digest": b"c"}).rowcount == 1
    assert sorted(Statement(select(schema.heard)).rows(conn)) == [(b"b", NOW), (b"c", NOW)]


@pytest.mark.both_engines
def test_more_rows_than_one_are_never_taken_for_one(conn: Connection) -> None:
    assert KNOWN.row(conn) is None
    HEAR.run_each(conn, [{"digest": each, "at": NOW} for each in (b"a", b"b")])
    with pytest.raises(LookupError):
        KNOWN.row(conn)


@pytest.mark.sqlite_only
def test_what_the_store_refuses_is_said_in_one_line_and_our_own_bugs_stay_what_they_are(conn: Connection) -> None:
    HEAR.run(conn, {"digest": b"a", "at": NOW})
    with pytest.raises(Exception, match="UNIQUE constraint failed") as bug:
        HEAR.run(conn, {"digest": b"a", "at": NOW})
    assert not isinstance(bug.value, StoreFault)
    conn.exec_driver_sql("PRAGMA query_only = ON")
    for write in (lambda row: HEAR.run(conn, row), lambda row: HEAR.run_each(conn, [row])):
        with pytest.raises(StoreFault, match="the database in memory is read-only"):
            write({"digest": b"b", "at": NOW})
    conn.exec_driver_sql("PRAGMA query_only = OFF")
