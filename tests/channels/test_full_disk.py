"""A disk that is really full, and a database that another program holds: nothing is lost, and it goes on by itself."""

from __future__ import annotations

import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from nudgebot.storage.database import open_database
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running

ANA = 7
FAST = {"BOT_UNLIMITED": "1"}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 2 MB; only the administrator can make one."""
    place = tmp_path / "small"
    place.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(place)], capture_output=True)
    if made.returncode:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def sound(database: Path) -> bool:
    with closing(sqlite3.connect(database)) as conn:
        return bool(conn.execute("PRAGMA integrity_check").fetchall() == [("ok",)])


def said_of(bot: Running, words: str) -> bool:
    return any(words in line for line in bot.err)


def test_a_full_disk_is_said_and_lines_that_came_meanwhile_are_answered_once_there_is_room(small_disk: Path) -> None:
    with FakeTelegram() as server, Running(server.url, small_disk / "bot.db", environ=FAST) as bot:
        bot.ready()
        server.say(ANA, "before")
        server.until(lambda: server.texts(ANA) == ["heard: before"])
        ballast = small_disk / "ballast"
        subprocess.run(["dd", "if=/dev/zero", f"of={ballast}", "bs=4096"], capture_output=True)  # until it is full
        for number in range(40):  # more than fits into what SQLite has already taken
            server.say(ANA, f"{number} " + "long " * 700)
        server.until(lambda: said_of(bot, "updates not stored, asking for them again: no room left on the disk"))
        assert server.updates  # not confirmed: the platform keeps them
        ballast.unlink()
        server.until(lambda: len({text.split()[1] for text in server.texts(ANA)[1:]}) == 40)
        assert bot.end() == 0
        assert sound(small_disk / "bot.db")


def test_a_start_on_a_full_disk_ends_with_1_and_one_line_and_the_next_one_with_room_answers(small_disk: Path) -> None:
    open_database(f"sqlite:///{small_disk / 'bot.db'}").dispose()
    ballast = small_disk / "ballast"
    subprocess.run(["dd", "if=/dev/zero", f"of={ballast}", "bs=4096"], capture_output=True)  # until it is full
    with FakeTelegram() as server, Running(server.url, small_disk / "bot.db", environ=FAST) as bot:
        assert bot.ended() == 1  # not even room for what SQLite keeps beside the file
        assert len(bot.err) == 1
        assert said_of(bot, "no room left on the disk for the database")
        ballast.unlink()
        bot.start()  # what the unit does
        server.say(ANA, "and now")
        server.until(lambda: server.texts(ANA) == ["heard: and now"])


def test_lines_that_come_while_another_program_holds_the_database_are_answered_when_it_lets_go(tmp_path: Path) -> None:
    database = tmp_path / "bot.db"
    with FakeTelegram() as server, Running(server.url, database, environ=FAST) as bot:
        bot.ready()
        with closing(sqlite3.connect(database, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            server.say(ANA, "meanwhile")
            server.until(lambda: said_of(bot, "is locked by another program"))
            assert server.sent == []
            other.execute("ROLLBACK")
        server.until(lambda: server.texts(ANA) == ["heard: meanwhile"])
        assert bot.end() == 0
    assert sound(database)
