"""Whoever floods the bot, the others are answered in their turn; told by the order of what is done, not by a clock."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.servers import moment
from tests.servers.fake_telegram import USERNAME, FakeTelegram, message, person
from tests.servers.running import Running

FLOODER, ANA, BEA, CLEO, GROUP = 11, 12, 13, 14, -500


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[FakeTelegram, Running]]:
    """A server and a bot with the real conversation, that these tests share; each brings its own people."""
    environ = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real"}
    with FakeTelegram() as server:
        with Running(server.url, tmp_path_factory.mktemp("house") / "bot.db", environ=environ) as bot:
            bot.ready()
            yield server, bot
        assert server.wrong == []
        assert not any("put aside" in line for line in bot.err)


@pytest.fixture
def server(house: tuple[FakeTelegram, Running]) -> FakeTelegram:
    server, bot = house
    assert bot.process.poll() is None, bot.err[-5:]
    return server


def in_group(user: int, number: int, text: str, **more: Any) -> dict[str, Any]:
    """`user` writes in the group."""
    chat = {"id": GROUP, "type": "group", "title": "Thursday runners"}
    said = {"message_id": number, "from": person(user), "chat": chat, "date": moment.stamp(), "text": text}
    return {"message": said | more}


def test_a_thousand_lines_from_one_chat_hold_up_nobody_else(server: FakeTelegram) -> None:
    for _ in range(1000):
        server.say(FLOODER, "/help")
    server.say(ANA, "/help")
    server.until(lambda: server.to(ANA))
    assert len(server.to(FLOODER)) < 900  # Ana's line was the last to come and is not the last to be answered


def test_two_hundred_people_talking_in_a_group_are_none_of_our_business(server: FakeTelegram) -> None:
    for number in range(1, 201):
        server.push(in_group(1000 + number, number, "who is in for saturday?"))
    server.push(in_group(1001, 301, "/week@some_other_bot"))
    server.say(BEA, "/help")
    server.until(lambda: server.to(BEA) and not server.updates)
    assert {sent.chat for sent in server.sent} <= {FLOODER, ANA, BEA}
    assert not server.of("setMessageReaction")


FILE = {"file_id": "f", "file_unique_id": "u", "file_size": 50_000_000}
OTHER_BOT = {"id": 999, "is_bot": True, "first_name": "Robot", "username": "some_other_bot"}
ODD: dict[str, dict[str, Any]] = {
    "a document of 50 MB": {"document": FILE | {"file_name": "run.fit"}},
    "a sticker": {
        "sticker": FILE | {"type": "regular", "width": 1, "height": 1, "is_animated": False, "is_video": False}
    },
    "a poll": {"poll": {"id": "1", "question": "run?", "options": [], "total_voter_count": 0}},
    "a voice message": {"voice": FILE | {"duration": 3}},
    "a location": {"location": {"latitude": 38.7, "longitude": -9.1}},
    "a forwarded post": {
        "text": "20 easy",
        "forward_origin": {"type": "hidden_user", "date": 1, "sender_user_name": "B"},
    },
    "another bot": {"text": "20 easy", "from": OTHER_BOT},
    "a command for another bot": {"text": f"/week@not_{USERNAME}"},
}


def test_odd_things_are_answered_sensibly_or_not_at_all_and_never_fetched(server: FakeTelegram) -> None:
    for user, odd in enumerate(ODD.values(), start=100):
        for number in range(10):
            said = message(user, number, "")
            del said["text"]
            server.push({"message": said | odd})
    server.say(CLEO, "/help")
    server.until(lambda: server.to(CLEO) and not server.updates)
    assert not server.of("getFile")
    for user, what in enumerate(ODD, start=100):
        assert len(server.to(user)) <= 10, what  # an answer to each at most
    assert not server.to(999)
