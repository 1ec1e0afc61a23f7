"""A letter's picture on its way: drawn as it leaves, kept nowhere, its words alone where there can be none."""

from __future__ import annotations

import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from PIL import Image
from sqlalchemy import Engine

from nudgebot.app import handle_message
from nudgebot.app.attachments import read_picture
from nudgebot.channels.terminal.console import Talk, ToldClock
from nudgebot.domain.messages.plan.plan_pages import NOT_DRAWN, NOT_TAKEN, NOTHING_YET
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import Training
from nudgebot.domain.model.speech import Incoming, Picture, Say
from nudgebot.domain.overview.progress import Progress
from nudgebot.rendering.weeks import HEIGHT, WIDTH
from nudgebot.storage import book_repository, outbox
from nudgebot.storage.database import open_database
from nudgebot.storage.letter import Letter
from tests.servers import moment
from tests.servers.fake_telegram import Break, FakeTelegram, Sent
from tests.servers.running import Running
from tests.talking import marta, talk

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
MONDAY = datetime(2027, 1, 4, 19, 0, tzinfo=UTC)


@pytest.fixture
def store() -> Iterator[Engine]:
    engine = marta()
    talk("@ 2027-01-04 19:00\n20 easy", engine=engine)
    yield engine
    engine.dispose()


def said(store: Engine, text: str) -> None:
    incoming = Incoming(text, "talk", "Marta", "Marta", text, MONDAY)
    with store.begin() as conn:
        handle_message.take(conn, incoming, MONDAY)


def claimed(store: Engine) -> list[Letter]:
    with store.begin() as conn:
        return outbox.claim(conn, "talk", MONDAY, 9, timedelta(minutes=1))


def test_a_letter_says_which_picture_and_holds_none(store: Engine) -> None:
    said(store, "/progress")
    (letter,) = claimed(store)
    assert letter.picture is Picture.PROGRESS
    with store.begin() as conn:
        row = conn.exec_driver_sql("SELECT picture FROM outbox WHERE id = ?", (letter.id,)).scalar()
    assert row == "progress"


def test_what_changes_before_a_picture_leaves_is_in_it_and_in_its_words(store: Engine) -> None:
    said(store, "/progress")
    (letter,) = claimed(store)
    said(store, "40 min more")
    said(store, "second run")
    with store.begin() as conn:
        found = read_picture(conn, letter, MONDAY)
    assert found is not None
    assert isinstance(found.shown, Progress)
    assert found.shown.weeks[-1].minutes == 60
    assert "This week so far: 60." in found.text


def test_what_was_taken_back_leaves_words_alone_and_who_was_erased_nothing(store: Engine) -> None:
    said(store, "/progress")
    (letter,) = claimed(store)
    said(store, "undo")
    with store.begin() as conn:
        found = read_picture(conn, letter, MONDAY)
        assert found is not None
        assert (found.text, found.shown) == (NOTHING_YET, None)
    said(store, "/erase")
    said(store, "erase everything")
    with store.begin() as conn:
        assert read_picture(conn, letter, MONDAY) is None


def test_a_word_for_a_picture_of_a_later_version_leaves_the_letter_its_words(store: Engine) -> None:
    said(store, "/progress")
    with store.begin() as conn:
        conn.exec_driver_sql("UPDATE outbox SET picture = 'film' WHERE picture IS NOT NULL")
    (letter,) = claimed(store)
    assert letter.picture is None
    assert letter.text.startswith("Minutes a week")


def sat(store: Engine, line: str, **more: Any) -> str:
    out, err = io.StringIO(), io.StringIO()
    talk = Talk(store, out, err, ToldClock(MONDAY), "Marta", ZoneInfo("UTC"), echo=False, **more)
    assert talk.play([line]) == 0, err.getvalue()
    return out.getvalue()


def test_where_nothing_can_draw_the_words_go_alone_and_say_so(store: Engine) -> None:
    said = sat(store, "/progress", draw=lambda _: None)
    assert said.endswith(f"{NOT_DRAWN}\n")
    assert "[picture" not in said


def test_talk_keeps_each_picture_where_it_is_told_to(store: Engine, tmp_path: Path) -> None:
    assert f"[picture {WIDTH} x {HEIGHT}: {tmp_path / '1-progress.png'}]" in sat(store, "/progress", folder=tmp_path)
    message = json.loads(sat(store, "/progress", folder=tmp_path, as_json=True))
    with Image.open(message["picture"]["file"]) as image:
        assert image.size == (message["picture"]["width"], message["picture"]["height"]) == (WIDTH, HEIGHT)


# With a server, over HTTP


def lately() -> datetime:
    """Now by the host's clock, which the bot reads as well."""
    return moment.now()


def ran(minutes: int) -> LogEntry:
    """A run of today."""
    now = lately()
    return LogEntry(f"run of {minutes}", now.date(), minutes, noted_at=now)


def on_its_way(folder: Path, people: Iterable[int] = (7,)) -> Path:
    """A database with runners of these numbers, and of each a run and an answer to /progress to them."""
    path = folder / "bot.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        for user in people:
            before = book_repository.create(conn, "telegram", str(user), "Ana", lately())
            book_repository.save(conn, before, replace(before, standing=Training(), log=(ran(31),)))
            outbox.put(conn, before.runner, Say("words", picture=Picture.PROGRESS), key=f"k{user}", now=LONG_AGO)
    engine.dispose()
    return path


def is_whole(sent: Sent, minutes: int = 31) -> bool:
    """Whether it is a picture that can be decoded to its last pixel, with the words of the same runs."""
    with Image.open(io.BytesIO(sent.photo)) as image:
        image.load()
        return image.size == (WIDTH, HEIGHT) and f"This week so far: {minutes}." in sent.text


# What becomes of each runner's picture on the way, and how often it arrives.
FATES: tuple[tuple[Break | tuple[int, dict[str, int]] | None, int], ...] = (
    (None, 1),
    ((429, {"retry_after": 1}), 1),
    ((500, {}), 1),
    (Break.BEFORE, 1),
    # An answer of unknown end is sent again: a double beats silence.
    (Break.AFTER, 2),
)
REFUSED = 6  # the runner whose picture the server will not have


def test_a_picture_arrives_whatever_happens_on_the_way(tmp_path: Path) -> None:
    people = range(1, len(FATES) + 1)
    database = on_its_way(tmp_path, [*people, REFUSED])
    with FakeTelegram() as server:
        for user, (how, _) in zip(people, FATES, strict=True):
            if how is not None:
                server.fail("sendPhoto", how, when=lambda fields, to=str(user): fields["chat_id"] == to)
        server.fail("sendPhoto", (400, {}), when=lambda fields: fields["chat_id"] == str(REFUSED))
        with Running(server.url, database, environ={"BOT_UNLIMITED": "1"}) as bot:
            server.until(lambda: len(server.sent) >= 1 + sum(times for _, times in FATES))
            assert bot.end() == 0, bot.err
        for user, (how, times) in zip(people, FATES, strict=True):
            assert [is_whole(sent) for sent in server.to(user)] == [True] * times, how
        (refused,) = server.to(REFUSED)
        assert words_alone(refused)
        assert server.wrong == []
    for file in database.parent.glob("bot.db*"):
        assert b"\x89PNG" not in file.read_bytes()


def words_alone(sent: Sent) -> bool:
    return sent.photo == b"" and "This week so far: 31." in sent.text and sent.text.endswith(NOT_TAKEN)


def test_where_the_server_knows_no_pictures_the_words_go_alone_and_say_so(tmp_path: Path) -> None:
    with FakeTelegram(unknown=frozenset({"sendPhoto"})) as server:
        with Running(server.url, on_its_way(tmp_path), environ={"BOT_UNLIMITED": "1"}):
            server.until(lambda: server.to(7))
        (sent,) = server.to(7)
        assert words_alone(sent)
        assert server.wrong == []


def test_a_bot_killed_between_drawing_and_sending_draws_anew_what_is_true_by_then(tmp_path: Path) -> None:
    database = on_its_way(tmp_path)
    with FakeTelegram() as server:
        server.fail("sendPhoto", (500, {}), times=1000)
        with Running(server.url, database, environ={"BOT_UNLIMITED": "1"}) as bot:
            server.until(lambda: server.of("sendPhoto"))
            bot.kill()
            engine = open_database(f"sqlite:///{database}")
            with engine.begin() as conn:
                before = book_repository.find(conn, "telegram", "7")
                assert before is not None
                book_repository.save(conn, before, replace(before, log=(*before.log, ran(20))))
            engine.dispose()
            server.faults.clear()
            bot.start()
            server.until(lambda: server.to(7))
        (sent,) = server.to(7)
        assert is_whole(sent, 51)


def test_a_bot_without_what_draws_sends_the_words_and_goes_on(tmp_path: Path) -> None:
    blocked = tmp_path / "blocked" / "matplotlib"
    blocked.mkdir(parents=True)
    (blocked / "__init__.py").write_text("raise ImportError('not for this test')\n", encoding="utf-8")
    with FakeTelegram() as server:
        environ = {"BOT_UNLIMITED": "1", "PYTHONPATH": f"{blocked.parent}:{Path(__file__).parents[2]}"}
        with Running(server.url, on_its_way(tmp_path), environ=environ) as bot:
            server.until(lambda: server.to(7))
            server.say(7, "hello")
            server.until(lambda: len(server.to(7)) == 2)
            assert bot.end() == 0, bot.err
        first, second = server.to(7)
        assert (first.photo, second.text) == (b"", "heard: hello")
        assert first.text.endswith(NOT_DRAWN)
