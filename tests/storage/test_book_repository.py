"""What a book says comes back as it went in; what a person erases is gone."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, Table, select, update
from sqlalchemy.exc import IntegrityError

from nudgebot.domain.model.actions import Resume
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book, Joining, OnHold, Runner, Training
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.model.week import Session, Week
from nudgebot.storage import book_repository, book_tables, due_queue, inbox, outbox, schema
from nudgebot.storage.book_tables import BookList
from nudgebot.storage.database import fold_log, open_database
from tests.memory import in_memory
from tests.storage.examples import NOW, SECRET, TODAY, full_book, nudged
from tests.storage.examples import books as any_books

pytestmark = pytest.mark.both_engines

LONG_AGO = NOW - timedelta(days=300)


@pytest.fixture
def engine() -> Iterator[Engine]:
    engine = in_memory()
    yield engine
    engine.dispose()


@pytest.fixture
def conn(engine: Engine) -> Iterator[Connection]:
    with engine.begin() as conn:
        yield conn


def given_book(conn: Connection, user: str = "7") -> Book:
    """A full book on the disk."""
    before = book_repository.create(conn, "telegram", user, "A.", LONG_AGO)
    after = full_book(before.runner)
    book_repository.save(conn, before, after)
    return after


def test_a_new_book_is_found_again_by_voice_and_user(conn: Connection) -> None:
    made = book_repository.create(conn, "telegram", "7", "Ana", NOW)
    assert made == Book(Runner(made.runner.id, "telegram", "7", "Ana", NOW, NOW), standing=Joining())
    assert book_repository.find(conn, "telegram", "7") == made
    assert book_repository.find(conn, "talk", "7") is None
    assert book_repository.find(conn, "telegram", "8") is None


def test_one_person_has_one_book(conn: Connection) -> None:
    book_repository.create(conn, "telegram", "7", "Ana", NOW)
    with pytest.raises(IntegrityError):
        book_repository.create(conn, "telegram", "7", "Ana again", NOW)


def test_everything_in_a_full_book_comes_back(conn: Connection) -> None:
    book = given_book(conn)
    assert book_repository.load(conn, book.runner.id) == book


def test_the_full_book_leaves_no_field_of_the_book_at_its_default(conn: Connection) -> None:
    book, blank = given_book(conn), Book(Runner(0, "", "", "", NOW, NOW))
    same = [f.name for f in fields(Book) if getattr(book, f.name) == getattr(blank, f.name)]
    assert same == []


def columns(table: Table) -> set[str]:
    return {column.name for column in table.c} - {"id", "runner_id"}


@pytest.mark.parametrize("kind", book_tables.LISTS, ids=lambda kind: kind.table.name)
def test_every_field_of_what_a_book_holds_many_of_has_its_column(kind: BookList[Any], conn: Connection) -> None:
    value = kind.values(given_book(conn))[-1]
    assert columns(kind.table) == {f.name for f in fields(value)} - {"sessions"}
    assert set(kind.codec.row(value)) == columns(kind.table)


@pytest.mark.parametrize("name", book_tables.SINGLES)
def test_what_a_book_holds_one_of_fills_every_column_of_its_row(name: str, conn: Connection) -> None:
    codec = book_tables.SINGLES[name]
    assert set(codec.row(getattr(given_book(conn), name))) == columns(codec.table)


def test_every_kind_of_standing_fills_every_column() -> None:
    assert set(book_tables.STANDING.row(Training())) == columns(schema.standings)


def test_the_runners_row_holds_the_person_and_the_plain_values_of_the_book() -> None:
    person = {f.name for f in fields(Runner)}
    assert columns(schema.runners) | {"id"} == person | set(book_repository.OWN) | {"next_due"}


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_book_changed_into_any_other_comes_back_as_the_other(engine: Engine, data: st.DataObject) -> None:
    with engine.begin() as conn:
        for runner_id in book_repository.all_ids(conn):
            book_repository.erase(conn, runner_id)
        book = book_repository.create(conn, "talk", "Ana", "Ana", NOW)
        other = given_book(conn, "someone else")
        for _ in range(2):
            after = data.draw(any_books(book.runner))
            book_repository.save(conn, book, after)
            assert book_repository.load(conn, book.runner.id) == after
            book = after
        book_repository.save(conn, book, book)
        assert book_repository.load(conn, book.runner.id) == book
        assert book_repository.load(conn, other.runner.id) == other


@pytest.mark.sqlite_only
def test_only_what_differs_is_written(engine: Engine) -> None:
    with engine.begin() as conn:
        book = given_book(conn)
    longer = replace(book, log=(*book.log, LogEntry("m4", TODAY + timedelta(1), 20)))
    with engine.begin() as conn:
        ids = set(conn.scalars(select(schema.log.c.id)))
        before = conn.exec_driver_sql("SELECT total_changes()").scalar_one()
        book_repository.save(conn, book, longer)
        assert conn.exec_driver_sql("SELECT total_changes()").scalar_one() - before == 1
        assert ids < set(conn.scalars(select(schema.log.c.id)))


def test_a_session_that_grew_stays_the_row_it_was(conn: Connection) -> None:
    book = given_book(conn)
    plan = select(schema.plan.c.id, schema.plan.c.minutes).order_by(schema.plan.c.id)
    before = conn.execute(plan).all()
    *others, last = book.plan
    longer = replace(book, plan=(*others, replace(last, minutes=last.minutes + 5)))
    book_repository.save(conn, book, longer)
    assert conn.execute(plan).all() == [*before[:-1], (before[-1].id, last.minutes + 5)]


def test_what_was_mended_as_it_was_read_can_change_like_anything_else(conn: Connection) -> None:
    book = given_book(conn)
    conn.execute(update(schema.plan).values(kind="a word of yesterday"))
    read = book_repository.load(conn, book.runner.id)
    longer = replace(read, plan=tuple(replace(session, minutes=session.minutes + 5) for session in read.plan))
    book_repository.save(conn, read, longer)
    assert book_repository.load(conn, book.runner.id).plan == longer.plan


def test_when_to_look_again_is_written_with_the_book(conn: Connection) -> None:
    book = given_book(conn)
    book_repository.save(conn, book, replace(book, half_runs=book.half_runs + 1), next_due=NOW)
    assert due_queue.take_due(conn, NOW, 10, book.runner.voice) == [book.runner.id]
    book_repository.save(conn, book, book, next_due=None)
    assert due_queue.take_due(conn, NOW, 10, book.runner.voice) == []


def test_one_entry_of_a_day_can_be_mended_and_the_others_keep_their_order(conn: Connection) -> None:
    book = given_book(conn)
    first, second, third, fourth = book.log
    mended = replace(book, log=(replace(first, minutes=35), second, fourth))
    book_repository.save(conn, book, mended)
    assert book_repository.load(conn, book.runner.id) == mended
    assert third not in mended.log


def test_the_newest_word_on_a_day_stays_the_newest(conn: Connection) -> None:
    book = given_book(conn)
    reopened = replace(book, limits=(*book.limits, replace(book.limits[0], minutes=45)))
    book_repository.save(conn, book, reopened)
    limit = book_repository.load(conn, book.runner.id).limit_on(TODAY)
    assert limit is not None
    assert limit.minutes == 45


def test_old_history_stays_on_disk_though_the_book_holds_only_the_last_months(conn: Connection) -> None:
    book = given_book(conn)
    long_ago = replace(book, log=(LogEntry("old", TODAY - timedelta(141), 30), *book.log))
    book_repository.save(conn, book, long_ago)
    assert book_repository.load(conn, book.runner.id) == book
    shorter = replace(book, log=book.log[1:])
    book_repository.save(conn, book, shorter)
    assert conn.scalars(select(schema.log.c.key).order_by(schema.log.c.day)).all() == ["old", "m2", "m2", "m3"]


def test_the_book_of_a_runner_who_has_been_silent_for_a_year_still_holds_the_last_runs(conn: Connection) -> None:
    """The windows reach back from when the runner was last heard, not from today."""
    book = given_book(conn)
    assert book_repository.load(conn, book.runner.id).log[0].day == date(2027, 3, 8)


def test_a_nudge_that_was_settled_first_may_be_saved_with_the_book(conn: Connection) -> None:
    book = given_book(conn)
    again = nudged(NudgeKind.CHECK_IN, at=NOW + timedelta(hours=1))
    assert due_queue.settle(conn, book.runner.id, again)
    after = replace(book, nudges=(*book.nudges, again))
    book_repository.save(conn, book, after)
    assert book_repository.load(conn, book.runner.id) == after


def test_an_unknown_runner_is_no_book(conn: Connection) -> None:
    with pytest.raises(LookupError):
        book_repository.load(conn, 99)


UNREADABLE = (
    "standings.kind", "standings.clearing_step", "questions.what", "log.activity", "plan.kind", "weeks.kind",
    "layouts.kind", "limits.reason", "nudges.kind", "nudges.outcome", "snoozes.kind",
)  # fmt: skip
DAMAGED = (
    "standings.since", "questions.at", "returns.since", "ladders.since", "log.day", "log.noted_at", "plan.day",
    "weeks.start", "layouts.start", "limits.day", "nudges.at", "snoozes.at", "symptoms.day", "symptoms.at",
    "pauses.first", "recordings.day", "recordings.started_at",
)  # fmt: skip


@pytest.mark.sqlite_only
@pytest.mark.parametrize("cell", UNREADABLE + DAMAGED)
def test_a_row_that_cannot_be_read_neither_silences_the_runner_nor_is_deleted(
    cell: str, conn: Connection, caplog: pytest.LogCaptureFixture
) -> None:
    table, _, column = cell.partition(".")
    book = given_book(conn)
    conn.exec_driver_sql(f"UPDATE {table} SET {column} = 'a word of yesterday'")
    with caplog.at_level(logging.WARNING):
        read = book_repository.load(conn, book.runner.id)
    assert caplog.messages
    assert all(f"runner {book.runner.id}:" in line and SECRET not in line for line in caplog.messages)
    later = replace(read, log=(*read.log, LogEntry("new", TODAY, 20)), half_runs=0)
    book_repository.save(conn, read, later)
    assert "a word of yesterday" in conn.exec_driver_sql(f"SELECT {column} FROM {table}").scalars().all()
    assert book_repository.load(conn, book.runner.id) == later


@pytest.mark.sqlite_only
@pytest.mark.parametrize("kind", book_tables.LISTS, ids=lambda kind: kind.table.name)
def test_a_damaged_date_costs_its_row_and_no_other(kind: BookList[Any], conn: Connection) -> None:
    book = given_book(conn)
    rows = f"FROM {kind.table.name} WHERE runner_id = {book.runner.id}"
    last = conn.exec_driver_sql(f"SELECT max(id) {rows}").scalar_one()
    conn.exec_driver_sql(f"UPDATE {kind.table.name} SET {kind.dated} = 'long ago' WHERE id = {last}")
    left = kind.values(book_repository.load(conn, book.runner.id))
    assert left == kind.values(book)[:-1]


@pytest.mark.sqlite_only
@pytest.mark.parametrize("column", ["since", "level", "sign", "said", "asked_yes", "kind"])
def test_whatever_is_damaged_of_a_hold_it_stays_a_hold(column: str, conn: Connection) -> None:
    book = given_book(conn)
    for value in ("'a word of yesterday'", "NULL" if column != "kind" else "'joined'"):
        conn.exec_driver_sql(f"UPDATE standings SET {column} = {value}")
        assert isinstance(book_repository.load(conn, book.runner.id).standing, OnHold)


def test_a_hold_is_never_lost_to_a_word_that_cannot_be_read(conn: Connection) -> None:
    book = given_book(conn)
    conn.execute(update(schema.standings).values(kind="a word of yesterday"))
    assert book_repository.load(conn, book.runner.id).standing == book.standing


def test_a_standing_that_cannot_be_read_is_training_to_plan(conn: Connection) -> None:
    book = book_repository.create(conn, "talk", "Ana", "Ana", NOW)
    conn.execute(update(schema.standings).values(kind="a word of yesterday"))
    assert book_repository.load(conn, book.runner.id).standing == Training()


def test_minutes_of_an_unknown_activity_stay_minutes(conn: Connection) -> None:
    book = given_book(conn)
    conn.execute(update(schema.log).values(activity="a word of yesterday"))
    log = book_repository.load(conn, book.runner.id).log
    assert [entry.minutes for entry in log] == [entry.minutes for entry in book.log]
    assert {entry.activity for entry in log} == {Activity.OTHER}


def test_an_end_of_a_hold_that_cannot_be_read_has_to_be_begun_again(conn: Connection) -> None:
    book = given_book(conn)
    conn.execute(update(schema.standings).values(clearing_step="a word of yesterday"))
    standing = book_repository.load(conn, book.runner.id).standing
    assert isinstance(standing, OnHold)
    assert standing.clearing is None


def test_erasing_a_person_leaves_no_row_and_no_byte_of_theirs(tmp_path: Path) -> None:
    path = tmp_path / "erase.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        stays = given_book(conn, "8888888")
    with engine.begin() as conn:
        goes = given_book(conn, "7777777")
        book_repository.save(conn, goes, replace(goes, intake=Intake(country="Atlantis")))
        inbox.receive(conn, [inbox.Update("u1", "telegram", "7777777", "7777777", "Atlantis calling")], NOW)
        outbox.put(conn, goes.runner, Say("Atlantis", buttons=(Button("a", Resume()),)), key="k", now=NOW)
    fold_log(engine)
    assert b"Atlantis" in path.read_bytes()
    with engine.begin() as conn:
        book_repository.erase(conn, goes.runner.id)
        book_repository.erase(conn, goes.runner.id)
    with engine.connect() as conn:
        for table in schema.metadata.sorted_tables:
            for row in conn.execute(select(table)):
                assert "7777777" not in str(tuple(row))
                assert getattr(row, "runner_id", None) != goes.runner.id
        assert book_repository.all_ids(conn) == (stays.runner.id,)
        assert book_repository.load(conn, stays.runner.id) == stays
    fold_log(engine)
    left = path.read_bytes() + Path(f"{path}-wal").read_bytes()
    engine.dispose()
    assert b"Atlantis" not in left
    assert b"7777777" not in left
    assert b"8888888" in left


def test_a_number_is_not_given_to_a_second_person(conn: Connection) -> None:
    first = book_repository.create(conn, "talk", "Ana", "Ana", NOW)
    book_repository.erase(conn, first.runner.id)
    assert book_repository.create(conn, "talk", "Ben", "Ben", NOW).runner.id > first.runner.id


def test_a_naive_time_is_refused(conn: Connection) -> None:
    with pytest.raises(Exception, match="an instant needs its zone"):
        book_repository.create(conn, "talk", "Ana", "Ana", datetime(2027, 1, 1))  # noqa: DTZ001 - that is the point


def test_a_week_and_its_sessions_change_together(conn: Connection) -> None:
    book = given_book(conn)
    last: Week = book.weeks[-1]
    next_week = Week(last.start + timedelta(7), 110, 50, last.kind, (Session(last.start + timedelta(8), 30),))
    after = replace(book, weeks=(*book.weeks, next_week))
    book_repository.save(conn, book, after)
    assert book_repository.load(conn, book.runner.id) == after
