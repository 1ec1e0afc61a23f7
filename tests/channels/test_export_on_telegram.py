"""/export as it reaches Telegram: one file, and text in pieces from a server that takes no files."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest

from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running

pytestmark = pytest.mark.usefixtures("a_wednesday")

ANA = 8002
INTAKE = (
    *("/start", "yes", "yes", "no", "no", "no", "skip", "health", "60", "30", "no"),
    *("any 60", "sun", "Lisbon", "18:00", "07:00", "21:30-06:30", "PT", "skip"),
)
REAL = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real"}


def exported(server: FakeTelegram, tmp_path: Path) -> None:
    """Ana answers the questions, and asks for everything."""
    with Running(server.url, tmp_path / "bot.db", environ=REAL) as bot:
        bot.ready()
        for line in (*INTAKE, "24 easy", "/export"):
            told = len(server.texts(ANA))
            server.say(ANA, line)
            server.until(lambda told=told: len(server.texts(ANA)) > told)  # type: ignore[misc]
        server.say(ANA, "/safety")
        server.until(lambda: "emergency" in server.texts(ANA)[-1])
    assert server.wrong == []


def test_it_comes_as_a_file_whose_words_say_what_it_is(tmp_path: Path) -> None:
    with FakeTelegram() as server:
        exported(server, tmp_path)
        (sent,) = [sent for sent in server.to(ANA) if sent.document]
        assert sent.text.startswith("Everything kept of you")
        with zipfile.ZipFile(io.BytesIO(sent.document)) as files:
            found = json.loads(files.read("everything.json"))
            assert files.read("log.csv").decode().splitlines()[1].split(",")[1:3] == ["24", "run"]
        assert found["runner"]["user"] == str(ANA)


@pytest.mark.parametrize("how", ["unknown", "refused"])
def test_a_server_that_takes_no_file_gets_the_same_as_text(tmp_path: Path, how: str) -> None:
    with FakeTelegram(unknown=frozenset({"sendDocument"} if how == "unknown" else ())) as server:
        if how == "refused":
            server.fail("sendDocument", (413, {}))
        exported(server, tmp_path)
        pieces = server.texts(ANA)[-12:]
        first = next(place for place, text in enumerate(pieces) if text.startswith("day,minutes,activity"))
        whole = "\n".join(pieces[first + 1 : -1])
        assert '"format": "nudgebot export 1"' in whole
        assert whole.rstrip().endswith("}")
