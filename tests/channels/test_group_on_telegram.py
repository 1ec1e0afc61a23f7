"""A group as it reaches Telegram: an invitation's link, a report, signs, a move, and one who cannot be written to."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from nudgebot.domain.messages.small_talk import BY_INVITATION
from tests.servers import moment
from tests.servers.fake_telegram import USERNAME, FakeTelegram, person
from tests.servers.running import Running

KIM, ANA, EVE = 8001, 8002, 8003
GROUP, SUPERGROUP = -500, -1000500
INTAKE = (
    *("yes", "yes", "no", "no", "no", "skip", "health", "60", "30", "no"),
    *("any 60", "sun", "Lisbon", "18:00", "07:00", "21:30-06:30", "PT", "skip"),
)


@dataclass
class House:
    """A server, the bot that Kim hosts and coaches with, and Ana, who joined by Kim's link."""

    server: FakeTelegram
    number: int = field(default=9000)

    def asks(self, user: int, text: str) -> str:
        """What comes back when `user` writes `text` in private."""
        told = len(self.server.texts(user))
        self.server.say(user, text)
        self.server.until(lambda: len(self.server.texts(user)) > told)
        return self.server.texts(user)[told]

    def in_group(self, user: int, text: str, chat: int = GROUP, **more: Any) -> int:
        """`user` writes `text` in the group; the message's id."""
        self.number += 1
        kind = "group" if chat == GROUP else "supergroup"
        said = {"message_id": self.number, "from": person(user), "chat": {"id": chat, "type": kind, "title": "Tuesday"}}
        self.server.push({"message": said | {"date": moment.stamp(), "text": text} | more})
        return self.number


def started(server: FakeTelegram, tmp_path: Path) -> Iterator[House]:
    environ = {"NUDGEBOT_OWNER": str(KIM), "BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real"}
    with Running(server.url, tmp_path / "bot.db", environ=environ) as bot:
        bot.ready()
        house = House(server)
        house.asks(KIM, "/coach")
        link = house.asks(KIM, "/invite 1")
        assert f"https://t.me/{USERNAME}?start=" in link
        code = link.partition("?start=")[2].split()[0]
        assert house.asks(EVE, "/start") == BY_INVITATION
        # The platform turns the link into this line.
        assert "Runner 8001's group" in house.asks(ANA, f"/start {code}")
        server.until(lambda: len(server.texts(ANA)) == 2)
        yield house


@pytest.fixture
def server() -> Iterator[FakeTelegram]:
    with FakeTelegram() as server:
        yield server
    assert server.wrong == []


@pytest.fixture
def house(server: FakeTelegram, tmp_path: Path) -> Iterator[House]:
    yield from started(server, tmp_path)


def test_a_group_from_binding_to_a_report_a_move_and_an_unreachable_member(house: House) -> None:
    server = house.server
    bind = house.in_group(KIM, f"/bind@{USERNAME}")
    server.until(lambda: server.texts(GROUP) == ["This chat is the group's now. I keep quiet here."])
    # The answer hangs under the command.
    answer = next(request for request in server.of("sendMessage") if request.fields["chat_id"] == str(GROUP))
    assert json.loads(answer.fields["reply_parameters"])["message_id"] == bind

    for line in INTAKE:
        house.asks(ANA, line)
    report = house.in_group(ANA, "24 easy")
    server.until(lambda: server.texts(ANA)[-1].startswith("Counted: 24 min"))
    server.until(lambda: server.of("setMessageReaction"))
    sign = server.of("setMessageReaction")[-1].fields
    assert (sign["chat_id"], sign["message_id"]) == (str(GROUP), str(report))

    # The group becomes a supergroup; a coach's word there still belongs to the group.
    house.in_group(KIM, "", migrate_to_chat_id=SUPERGROUP)
    house.in_group(KIM, "/overview", SUPERGROUP)
    server.until(lambda: server.texts(SUPERGROUP))
    assert "1 runner" in server.texts(SUPERGROUP)[0].lower()

    # Who has blocked the bot reads in the group that a grave answer could not be delivered, and what to do now.
    server.fail("sendMessage", (403, {}), 1, when=lambda fields: fields["chat_id"] == str(ANA))
    house.in_group(ANA, "my calf is swollen, warm and red since the flight", SUPERGROUP)
    server.until(lambda: any("could not reach you" in text for text in server.texts(SUPERGROUP)))
    told = [text for text in server.texts(SUPERGROUP) if "could not reach you" in text]
    assert told[0].startswith("Please stop running and get medical advice today.")
    assert not any("calf" in text for text in server.texts(SUPERGROUP))


def test_a_server_without_signs_is_enough(tmp_path: Path) -> None:
    with FakeTelegram(unknown=frozenset({"setMessageReaction"})) as server:
        for house in started(server, tmp_path):
            for line in INTAKE:
                house.asks(ANA, line)
            house.in_group(ANA, "24 easy")
            server.until(lambda: server.texts(ANA)[-1].startswith("Counted: 24 min"))
            house.in_group(ANA, "/week")
            server.until(lambda: server.texts(GROUP) == ["I have written to you."])
            house.in_group(ANA, "and another 10 min")
            server.until(lambda: "second run" in server.texts(ANA)[-1])
            assert len(server.of("setMessageReaction")) == 1
