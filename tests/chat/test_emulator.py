"""`serve` against a Bot API server that this project did not write."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.servers.emulator import Emulator
from tests.servers.fake_telegram import BOT_ID, message, person
from tests.servers.running import Running

ANA = 7001
METHODS = ("getMe", "deleteWebhook", "setMyCommands", "getUpdates", "sendMessage")


@pytest.fixture
def emulator(tmp_path: Path) -> Iterator[Emulator]:
    with Emulator(tmp_path / "journal.jsonl") as emulator:
        yield emulator


class Person:
    """Writes and presses as somebody would."""

    def __init__(self, emulator: Emulator, user: int) -> None:
        self._emulator = emulator
        self._user = user
        self._count = 0

    def say(self, text: str) -> None:
        """One line, and wait until something new has been answered."""
        self._count += 1
        self._push({"message": message(self._user, self._count, text)})

    def press(self, label: str) -> None:
        """The newest button of that label."""
        data = next(
            sent.callback_data[sent.labels.index(label)]
            for sent in reversed(self._emulator.sent)
            if sent.chat == self._user and label in sent.labels
        )
        self._count += 1
        under = message(self._user, 900 + self._count, "…") | {
            "from": {"id": BOT_ID, "is_bot": True, "first_name": "Nudge"}
        }
        query = {
            "id": str(self._count),
            "from": person(self._user),
            "message": under,
            "chat_instance": "1",
            "data": data,
        }
        self._push({"callback_query": query})

    def labels(self) -> tuple[str, ...]:
        """Labels under the newest message with buttons."""
        return next(sent.labels for sent in reversed(self._emulator.sent) if sent.chat == self._user and sent.labels)

    def _push(self, update: dict[str, object]) -> None:
        before = len(self._emulator.texts(self._user))
        self._emulator.push(update)
        self._emulator.until(lambda: len(self._emulator.texts(self._user)) > before)


def test_lines_and_presses_are_answered_and_no_request_is_refused(emulator: Emulator, tmp_path: Path) -> None:
    with Running(emulator.url, tmp_path / "bot.db", environ={"BOT_UNLIMITED": "1"}) as bot:
        bot.ready()
        ana = Person(emulator, ANA)
        ana.say("/start")
        ana.say("buttons")
        ana.press("yes")
        assert emulator.texts(ANA) == ["heard: /start", "heard: buttons", "heard: yes about q1"]
        assert bot.end() == 0
    judged = emulator.verdict(*METHODS, "answerCallbackQuery")
    assert judged["ok"], judged


def test_after_three_kills_every_line_has_been_answered(emulator: Emulator, tmp_path: Path) -> None:
    with Running(emulator.url, tmp_path / "bot.db", environ={"BOT_UNLIMITED": "1"}) as bot:
        for kill in range(3):
            for number in range(20):
                emulator.push({"message": message(ANA, 20 * kill + number + 1, f"line {20 * kill + number}")})
            emulator.until(lambda: len(emulator.sent) > 20 * kill + 5)  # noqa: B023
            bot.kill()
            bot.start()
        expected = [f"heard: line {number}" for number in range(60)]
        emulator.until(lambda: list(dict.fromkeys(emulator.texts(ANA))) == expected)
        assert bot.end() == 0
