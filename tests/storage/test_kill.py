"""Real files, real processes, real kills: nothing half done, nothing done twice."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from nudgebot.domain.model.speech import Say
from nudgebot.storage import book_repository, outbox, schema
from nudgebot.storage.database import open_database, reading
from tests.storage.examples import NOW, full_book

COMMON = """
import sys
from datetime import timedelta
from nudgebot.storage import book_repository, due_queue, inbox, outbox
from nudgebot.storage.database import open_database
from tests.storage.examples import NOW, full_book
engine = open_database(sys.argv[1])
"""


def run(code: str, path: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", COMMON + code, f"sqlite:///{path}"],
        stdin=subprocess.PIPE,  # stays open: who waits on it is killed there
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    )


def is_sound(path: Path) -> bool:
    """SQLite's own judgement: https://www.sqlite.org/pragma.html#pragma_integrity_check."""
    with closing(sqlite3.connect(path)) as raw:
        fine = raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        return fine and raw.execute("PRAGMA foreign_key_check").fetchall() == []


def test_a_kill_in_the_middle_of_a_transaction_leaves_the_book_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        book = book_repository.create(conn, "talk", "Ana", "Ana", NOW)
    code = (
        "with engine.begin() as conn:\n"
        "    book = book_repository.find(conn, 'talk', 'Ana')\n"
        "    book_repository.save(conn, book, full_book(book.runner))\n"
        "    print('half way', flush=True)\n"
        "    sys.stdin.read()\n"
    )
    with run(code, path) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "half way\n"
        writer.kill()
        writer.wait(120)
    with engine.begin() as conn:
        assert book_repository.load(conn, book.runner.id) == book
        book_repository.save(conn, book, full_book(book.runner))
    engine.dispose()
    assert is_sound(path)


@pytest.mark.parametrize("after", [0.0, 0.01, 0.03, 0.06])
def test_kills_at_any_moment_lose_nothing_that_was_committed(after: float, tmp_path: Path) -> None:
    """The child prints a number once its transaction is committed; the file must hold it, whole."""
    path = tmp_path / "n.db"
    code = (
        "print('ready', flush=True)\n"
        "for n in range(100000):\n"
        "    with engine.begin() as conn:\n"
        "        book = book_repository.create(conn, 'talk', str(n), 'Ana', NOW)\n"
        "        book_repository.save(conn, book, full_book(book.runner))\n"
        "    print(n, flush=True)\n"
    )
    with run(code, path) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        until = time.monotonic() + after
        told = [int(writer.stdout.readline())]
        while time.monotonic() < until:
            told.append(int(writer.stdout.readline()))
        writer.kill()
        told += [int(line) for line in writer.stdout.read().splitlines() if line]
    engine = open_database(f"sqlite:///{path}")
    with reading(engine) as conn:
        ids = book_repository.all_ids(conn)
        # One more may have been committed and not told.
        assert len(told) <= len(ids) <= len(told) + 1
        for runner_id in ids:
            book = book_repository.load(conn, runner_id)
            assert book == full_book(replace(book.runner))
    engine.dispose()
    assert is_sound(path)


def test_two_processes_share_the_letters_and_send_none_twice(tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        for chat in range(20):
            runner = book_repository.create(conn, "telegram", str(chat), "x", NOW).runner
            for n in range(5):
                outbox.put(conn, runner, Say("…"), key=f"{chat} {n}", now=NOW)
    code = (
        "import time\n"
        "idle = 0\n"
        "while idle < 20:\n"
        "    with engine.begin() as conn:\n"
        "        letters = outbox.claim(conn, 'telegram', NOW, 3, timedelta(seconds=60))\n"
        "    for letter in letters:\n"
        "        print(letter.key, time.monotonic_ns(), flush=True)\n"
        "        with engine.begin() as conn:\n"
        "            outbox.delivered(conn, letter.id, NOW, 'm')\n"
        "    idle = 0 if letters else idle + 1\n"
        "    time.sleep(0.002)\n"
    )
    both = [run(code, path) for _ in range(2)]
    sent = []
    for process in both:
        out, _ = process.communicate(timeout=120)
        assert process.returncode == 0
        sent += [tuple(int(word) for word in line.split()) for line in out.splitlines()]
    assert sorted((chat, n) for chat, n, _ in sent) == [(chat, n) for chat in range(20) for n in range(5)]
    for chat in range(20):
        in_time = sorted((at, n) for of, n, at in sent if of == chat)
        assert [n for _, n in in_time] == [0, 1, 2, 3, 4]
    engine.dispose()
    assert is_sound(path)


def test_a_sender_that_was_killed_leaves_its_letters_to_the_next(tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        for user, kind in (("7", "safety"), ("8", "nudge:morning"), ("9", "nudge:check_in")):
            runner = book_repository.create(conn, "telegram", user, "x", NOW).runner
            outbox.put(conn, runner, Say("…", kind), key=kind, now=NOW)
    code = (
        "with engine.begin() as conn:\n"
        "    letters = outbox.claim(conn, 'telegram', NOW, 4, timedelta(seconds=60))\n"
        "    outbox.calling(conn, letters[1].id, letters[1].attempts)\n"
        "    print(len(letters))\n"
        "print('calling', flush=True)\n"
        "sys.stdin.read()\n"
    )
    with run(code, path) as sender:
        assert sender.stdout is not None
        assert [sender.stdout.readline() for _ in range(2)] == ["3\n", "calling\n"]
        sender.kill()
        sender.wait(120)
    with engine.begin() as conn:
        assert outbox.recover(conn, "telegram", NOW + timedelta(seconds=60)) == 3
        again = outbox.claim(conn, "telegram", NOW + timedelta(seconds=60), 3, timedelta(seconds=60))
        assert [letter.key for letter in again] == ["safety", "nudge:check_in"]  # it was not handed to the network
        states = conn.execute(schema.outbox.select().with_only_columns(schema.outbox.c.state)).scalars().all()
        assert states == ["taken", "unknown", "taken"]
    engine.dispose()
