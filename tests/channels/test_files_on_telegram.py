"""Files as people send them on Telegram: fetched, read, answered, and none lost on the way."""

from __future__ import annotations

import gzip
from datetime import timedelta
from pathlib import Path

import pytest

from tests import gpx_files
from tests.channels.test_export_on_telegram import ANA, INTAKE, REAL
from tests.servers import moment
from tests.servers.fake_telegram import Break, FakeTelegram
from tests.servers.running import Running


@pytest.fixture(autouse=True)
def run_of_today(a_wednesday: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpx_files, "START", moment.now() - timedelta(hours=1))


def told(server: FakeTelegram, words: str) -> str:
    server.until(lambda: any(words in text for text in server.texts(ANA)))
    return next(text for text in server.texts(ANA) if words in text)


def joined(server: FakeTelegram) -> None:
    for line in INTAKE:
        before = len(server.texts(ANA))
        server.say(ANA, line)
        server.until(lambda before=before: len(server.texts(ANA)) > before)  # type: ignore[misc]


def test_files_are_fetched_read_and_answered_and_a_kill_loses_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with FakeTelegram() as server:
        with Running(server.url, tmp_path / "bot.db", environ=REAL) as bot:
            bot.ready()
            joined(server)
            server.send_file(ANA, gzip.compress(gpx_files.run_of(25, 121)), caption="effort 3")
            assert "heart rate 121" in told(server, "25 min run today")
            assert any(sent.photo for sent in server.to(ANA))
            server.send_file(ANA, b"no run at all")
            told(server, "cannot read that file")
            server.send_file(ANA, b"", size=21 * 2**20)
            told(server, "too large")
            assert len(server.of("getFile")) == 2  # what is too large is never asked for
            del server.files[server.send_file(ANA, b"gone before it is fetched")]
            told(server, "could not fetch")
            server.fail("getFile", Break.HANG)
            monkeypatch.setattr(gpx_files, "START", moment.now() - timedelta(hours=3))
            server.send_file(ANA, gpx_files.run_of(20, 118, kind="walking"))
            server.until(lambda: len(server.of("getFile")) == 4)
            server.say(ANA, "/safety")  # the line behind it does not wait
            told(server, "emergency")
            bot.kill()
        with Running(server.url, tmp_path / "bot.db", environ=REAL) as bot:
            bot.ready()
            told(server, "20 min walk today")
        assert server.wrong == []
