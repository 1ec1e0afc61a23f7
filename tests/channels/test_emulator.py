"""`serve` against a Bot API server that this project did not write."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from nudgebot.app.commands import menu
from nudgebot.app.request import Menu
from tests.servers.emulator import Emulator
from tests.servers.fake_telegram import BOT_ID, message, person
from tests.servers.running import Running

pytestmark = pytest.mark.usefixtures("a_wednesday")

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

    def told(self) -> str:
        """The newest message."""
        return self._emulator.texts(self._user)[-1]

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
            emulator.until(lambda: len(emulator.sent) > 20 * kill + 5)
            bot.kill()
            bot.start()
        expected = [f"heard: line {number}" for number in range(60)]
        emulator.until(lambda: list(dict.fromkeys(emulator.texts(ANA))) == expected)
        assert bot.end() == 0


INTAKE = (  # the answers of an active runner over forty, pressed where there is a button for it
    *("Yes", "Yes", "No", "No", "No", "Skip"),
    *("health", "60", "30", "No", "Tue 45, Thu 45, Sun 90", "Sunday", "Lisbon", "18:00", "07:00"),
    *("21:30 to 06:30", "Portugal", "Skip"),
)


def test_from_the_first_word_to_a_logged_run_and_a_pressed_button(emulator: Emulator, tmp_path: Path) -> None:
    environ = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real"}
    with Running(emulator.url, tmp_path / "bot.db", environ=environ) as bot:
        bot.ready()
        ana = Person(emulator, ANA)
        ana.say("/start")
        pressed = 0
        for answer in INTAKE:
            if answer in emulator.sent[-1].labels:
                ana.press(answer)
                pressed += 1
            else:
                ana.say(answer)
        assert pressed >= 10
        assert "first week" in ana.told()
        ana.say("22 easy")
        assert "22 min" in ana.told()
        ana.press("Undo")
        assert "Taken back" in ana.told()
        ana.say("/nonsense")
        unknown = ana.told()
        for command, _ in menu([Menu.PRIVATE]):
            ana.say(f"/{command}")
            assert ana.told() != unknown, command
        assert bot.end() == 0
        assert not any("put aside" in line for line in bot.err), bot.err
    judged = emulator.verdict(*METHODS, "answerCallbackQuery")
    assert judged["ok"], judged


def test_the_command_itself_answers(emulator: Emulator, tmp_path: Path) -> None:
    with Running(emulator.url, tmp_path / "bot.db", ("-m", "nudgebot", "serve")) as bot:
        bot.ready()
        ana = Person(emulator, ANA)
        ana.say("/start")
        assert len(ana.labels()) == 2
        assert bot.end() == 0
        assert bot.out == ["ready"]


def test_the_command_lists_all_faults_of_its_settings_and_ends_with_2(tmp_path: Path) -> None:
    wrong = {"NUDGEBOT_TOKEN": "x", "NUDGEBOT_TICK_SECONDS": "0", "NUDGEBOT_JOIN": "all"}
    with Running("nowhere", tmp_path / "bot.db", ("-m", "nudgebot", "serve"), wrong) as bot:
        assert bot.ended() == 2
        names = ("NUDGEBOT_TOKEN", "NUDGEBOT_API_BASE", "NUDGEBOT_TICK_SECONDS", "NUDGEBOT_JOIN")
        assert len(bot.err) == 4
        assert all(name in line for name, line in zip(names, bot.err, strict=True))
