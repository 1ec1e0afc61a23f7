"""Nudges as they reach Telegram: at their time, once, through restarts, faults and a clock that is set."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.servers import moment
from tests.servers.fake_telegram import Break, FakeTelegram
from tests.servers.moment import seconds_ahead
from tests.servers.running import Running

pytestmark = pytest.mark.usefixtures("a_wednesday")

ANA = 7001
INTAKE = (
    *("/start", "yes", "yes", "no", "no", "no", "skip", "health", "60", "30", "no"),
    *("any 60", "sun", "Lisbon", "18:00", "07:00", "21:30-06:30", "PT", "skip"),
)


@dataclass
class House:
    """A server, a bot with a clock that can be set, and Ana, who has answered everything."""

    server: FakeTelegram
    bot: Running
    clock: Path

    def now(self) -> datetime:
        """The bot's clock."""
        return datetime.now(UTC) + timedelta(seconds=float(self.clock.read_text()))  # noqa: TID251 - the clock of the bot under test

    def set_clock(self, to: datetime) -> None:
        """Set the bot's clock to `to`, in one step."""
        ahead = float(self.clock.read_text()) + (to - self.now()).total_seconds()
        fresh = self.clock.with_suffix(".new")
        fresh.write_text(str(ahead))
        fresh.replace(self.clock)

    def look(self, query: str) -> list[tuple[object, ...]]:
        """Rows of the database, read from outside."""
        conn = sqlite3.connect(f"file:{self.bot.database}?mode=ro", uri=True)
        try:
            return conn.execute(query).fetchall()
        finally:
            conn.close()

    def next_due(self) -> datetime:
        """When Ana is looked at next."""
        ((at,),) = self.look("SELECT next_due FROM runners")
        assert isinstance(at, int)
        return datetime.fromtimestamp(at / 1e6, UTC)

    def nudges(self) -> list[tuple[object, ...]]:
        """(kind, day, outcome) of what was settled, in order."""
        return self.look("SELECT kind, for_day, outcome FROM nudges ORDER BY id")

    def jump_until(self, holds: Callable[[], object]) -> None:
        """Set the clock to when Ana is looked at next, again and again, until `holds()`."""
        for _ in range(12):
            due = self.next_due()
            self.set_clock(due + timedelta(seconds=1))
            self.server.until(lambda: self.next_due() != due)
            self.server.until(lambda: holds() or not self.on_its_way())
            if holds():
                return
        pytest.fail("nothing of the kind in twelve looks")

    def to_the_next_nudge(self) -> str:
        """Jump until something unasked arrives; its text."""
        before = len(self.server.texts(ANA))
        self.jump_until(lambda: len(self.server.texts(ANA)) > before)
        return self.server.texts(ANA)[-1]

    def on_its_way(self) -> bool:
        """Whether a letter is still to be sent."""
        return bool(self.look("SELECT 1 FROM outbox WHERE ended_at IS NULL"))

    def asks_for_the_week(self) -> None:
        """Ana writes, and is answered."""
        told = len(self.server.texts(ANA))
        self.server.say(ANA, "/week")
        self.server.until(lambda: len(self.server.texts(ANA)) > told)


REAL = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real"}


@pytest.fixture(scope="module")
def joined(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database in which Ana has answered everything."""
    database = tmp_path_factory.mktemp("joined") / "bot.db"
    with pytest.MonkeyPatch.context() as day:
        day.setattr(moment, "AHEAD", moment.ahead_at(moment.WEDNESDAY_NOON))
        with FakeTelegram() as server, Running(server.url, database, environ=REAL) as bot:
            for number, line in enumerate(INTAKE, start=1):
                server.say(ANA, line)
                server.until(lambda: len(server.texts(ANA)) >= number)
            assert "first week" in server.texts(ANA)[-1]
            assert bot.end() == 0
    return database


@pytest.fixture
def house(joined: Path, tmp_path: Path) -> Iterator[House]:
    clock = tmp_path / "ahead"
    clock.write_text(str(seconds_ahead()))
    shutil.copy(joined, tmp_path)
    environ = {**REAL, "BOT_CLOCK": str(clock)}
    with FakeTelegram(first=100) as server, Running(server.url, tmp_path / joined.name, environ=environ) as bot:
        house = House(server, bot, clock)
        house.asks_for_the_week()  # and so the bot is at work before anything happens to it
        yield house
    assert server.wrong == []


def test_a_nudge_arrives_at_its_time_and_once_through_a_restart(house: House) -> None:
    text = house.to_the_next_nudge()
    house.bot.kill()
    house.bot.start()
    house.asks_for_the_week()
    assert house.server.texts(ANA).count(text) == 1
    assert [kind for kind, _, _ in house.nudges()] == ["morning"]


def test_after_the_clock_was_set_back_an_hour_the_rounds_go_on(house: House) -> None:
    house.set_clock(house.now() - timedelta(hours=1))
    house.server.until(lambda: any("the clock moved by -3600 s" in line for line in house.bot.err))
    assert house.to_the_next_nudge()


def test_a_nudge_whose_call_ended_unknown_is_not_sent_again(house: House) -> None:
    house.server.fail("sendMessage", Break.AFTER)
    text = house.to_the_next_nudge()
    house.server.until(lambda: not house.on_its_way())
    house.asks_for_the_week()
    assert house.server.texts(ANA).count(text) == 1
    assert house.look("SELECT state FROM outbox WHERE kind = 'nudge:morning'") == [("unknown",)]


def test_a_nudge_the_server_refused_for_a_time_is_sent_a_little_later(house: House) -> None:
    house.server.fail("sendMessage", (500, {}))
    text = house.to_the_next_nudge()
    assert house.server.texts(ANA).count(text) == 1


def test_a_nudge_that_was_held_up_until_it_is_stale_is_dropped(house: House) -> None:
    house.server.fail("sendMessage", (429, {"retry_after": 5 * 3600}))
    told = len(house.server.texts(ANA))
    house.jump_until(lambda: not house.server.faults[-1].times)
    house.server.until(lambda: house.look("SELECT attempts FROM outbox WHERE state = 'waiting'") == [(1,)])
    house.set_clock(house.now() + timedelta(hours=6))
    dropped = "SELECT why FROM outbox WHERE kind = 'nudge:morning' AND state = 'dropped'"
    house.server.until(lambda: house.look(dropped) == [("too late",)])
    assert len(house.server.texts(ANA)) == told
    assert house.nudges()[0][2] == "dropped"


def test_one_who_blocked_the_bot_gets_nothing_until_they_write(house: House) -> None:
    chat = {"id": ANA, "type": "private"}
    member = {"user": {"id": 1, "is_bot": True, "first_name": "Nudge"}, "status": "kicked"}
    house.server.push({"my_chat_member": {"chat": chat, "from": chat, "date": 1, "new_chat_member": member}})
    house.server.until(lambda: house.look("SELECT reachable FROM runners") == [(0,)])
    told = len(house.server.texts(ANA))
    house.set_clock(house.now() + timedelta(days=2))  # past the reminder of a day with a session
    house.server.until(lambda: house.look("SELECT next_due FROM runners") == [(None,)])
    assert house.look("SELECT count(*) FROM outbox WHERE kind LIKE 'nudge:%'") == [(0,)]
    house.asks_for_the_week()
    assert house.look("SELECT reachable FROM runners") == [(1,)]
    assert len(house.server.texts(ANA)) == told + 1
