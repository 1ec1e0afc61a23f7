"""Copies are whole whoever writes meanwhile, grow no older than wanted, and are put back only while nobody runs."""

from __future__ import annotations

import shutil
import sqlite3
import stat
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from nudgebot.storage import book_repository
from nudgebot.storage.backup import backup, rescue, restore
from nudgebot.storage.database import open_database, opened
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.holding import hold
from tests.storage.examples import NOW, full_book

MONTH = timedelta(days=30)


def url(path: Path) -> str:
    return f"sqlite:///{path}"


@pytest.fixture
def database(tmp_path: Path) -> Path:
    """A file in a folder of its own, with one full book in it."""
    path = tmp_path / "it's a bot" / "n.db"
    with opened(url(path)) as engine, engine.begin() as conn:
        book = book_repository.create(conn, "telegram", "7", "Ana", NOW)
        book_repository.save(conn, book, full_book(book.runner))
    return path


def names(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as conn:
        return [name for (name,) in conn.execute("SELECT name FROM runners ORDER BY id")]


def join(path: Path, name: str) -> None:
    with opened(url(path)) as engine, engine.begin() as conn:
        book_repository.create(conn, "telegram", name, name, NOW)


def test_a_copy_of_a_database_in_use_is_one_private_file_and_holds_the_newest_pages(database: Path) -> None:
    with opened(url(database)) as engine:
        with engine.begin() as conn:
            book_repository.create(conn, "telegram", "8", "Bea", NOW)
        copy, _ = backup(url(database), database.parent / "copies", NOW, MONTH)
    assert names(copy) == ["Ana", "Bea"]
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert list(copy.parent.iterdir()) == [copy]
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700


def test_a_copy_taken_under_load_is_one_state_and_can_be_put_back(database: Path) -> None:
    """Each writer's transaction adds two rows; no copy holds the first without the second."""
    stop = threading.Event()

    def write() -> None:
        with opened(url(database)) as engine:
            number = 0
            while not stop.is_set():
                number += 1
                with engine.begin() as conn:
                    for half in ("a", "b"):
                        book_repository.create(conn, "telegram", f"{half}{number}", half, NOW)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        copies = [backup(url(database), database.parent / f"c{n}", NOW, MONTH)[0] for n in range(3)]
    finally:
        stop.set()
        writer.join()
    for copy in copies:
        held = names(copy)
        assert held.count("a") == held.count("b")
    before = names(database)
    kept = restore(url(database), copies[-1], NOW)
    assert names(database) == names(copies[-1])
    assert kept is not None
    assert names(kept) == before
    with opened(url(database)) as engine, engine.connect() as conn:
        (first, *_) = book_repository.all_ids(conn)
        book = book_repository.load(conn, first)
        assert book == full_book(book.runner)


def test_copies_older_than_wanted_go_and_the_newest_and_other_files_stay(database: Path) -> None:
    folder = database.parent / "copies"
    for age in (40, 31, 29, 0):
        backup(url(database), folder, NOW - timedelta(days=age), timedelta(days=3650))
    (folder / "notes.txt").touch()
    newest, gone = backup(url(database), folder, NOW + timedelta(seconds=1), MONTH)
    assert gone == 2
    assert len(list(folder.glob("nudgebot-*.db"))) == 3
    assert newest.exists()
    assert (folder / "notes.txt").exists()
    long_after, gone = backup(url(database), folder, NOW + timedelta(days=400), MONTH)
    assert gone == 3
    assert set(folder.iterdir()) == {long_after, folder / "notes.txt"}


def test_a_copy_of_what_is_not_there_is_refused_and_makes_nothing(tmp_path: Path) -> None:
    with pytest.raises(StoreFault, match="there is no database"):
        backup(url(tmp_path / "nowhere.db"), tmp_path / "copies", NOW, MONTH)
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_database_makes_no_copy_and_deletes_none(database: Path) -> None:
    join(database, "Bea" * 5000)
    good, _ = backup(url(database), database.parent / "copies", NOW - 2 * MONTH, MONTH)
    with database.open("r+b") as file:
        file.seek(8192)
        file.write(b"\xff" * 8192)
    with pytest.raises(StoreFault):
        backup(url(database), good.parent, NOW, MONTH)
    assert list(good.parent.iterdir()) == [good]


def test_nothing_is_put_back_while_a_bot_runs(database: Path) -> None:
    copy, _ = backup(url(database), database.parent / "copies", NOW, MONTH)
    join(database, "Bea")
    with hold(url(database), alone=True), pytest.raises(StoreFault, match="in use by another nudgebot"):
        restore(url(database), copy, NOW)
    assert names(database) == ["Ana", "Bea"]


@pytest.mark.parametrize(
    "spoilt",
    ["CREATE TABLE theirs (x)", "UPDATE alembic_version SET version_num = '9999'", "not a database", "cut short"],
)
def test_a_copy_that_cannot_be_used_is_refused_in_one_line_and_changes_nothing(spoilt: str, database: Path) -> None:
    copy, _ = backup(url(database), database.parent / "copies", NOW, MONTH)
    if spoilt == "not a database":
        copy.write_bytes(b"words " * 1000)
    elif spoilt == "cut short":
        copy.write_bytes(copy.read_bytes()[:9000])
    else:
        if spoilt.startswith("CREATE"):
            copy.unlink()
        with closing(sqlite3.connect(copy)) as conn:
            conn.execute(spoilt)
            conn.commit()
    before, there = database.read_bytes(), {each.name for each in database.parent.iterdir()}
    with pytest.raises(StoreFault) as fault:
        restore(url(database), copy, NOW)
    assert "\n" not in str(fault.value)
    assert ".restoring" not in str(fault.value)
    assert database.read_bytes() == before
    assert {each.name for each in database.parent.iterdir()} - there <= {"n.db.lock"}


def test_a_copy_is_put_where_the_database_is_gone(database: Path) -> None:
    copy, _ = backup(url(database), database.parent / "copies", NOW, MONTH)
    database.unlink()
    assert restore(url(database), copy, NOW) is None
    assert names(database) == ["Ana"]
    assert stat.S_IMODE(database.stat().st_mode) == 0o600


@pytest.mark.parametrize("folder", [False, True], ids=["the file alone", "with its folder"])
def test_what_a_running_bot_held_is_rescued_after_its_file_was_removed(folder: bool, database: Path) -> None:
    engine = open_database(url(database))
    for each in database.parent.glob("n.db*"):
        each.unlink()
    if folder:
        shutil.rmtree(database.parent)
    copy = rescue(engine, database, datetime(2027, 3, 10, 12, tzinfo=UTC))
    engine.dispose()
    assert copy is not None
    assert copy.name == "n.db.rescued-20270310T120000Z"
    assert names(copy) == ["Ana"]
