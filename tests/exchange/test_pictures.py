"""The picture of twelve weeks, and its way to the chat."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, select

from nudgebot import conversation
from nudgebot.exchange.pictures import GREEN, GROUND, HEIGHT, ORANGE, SKY, WIDTH, YELLOW, draw, size_of
from nudgebot.store import books, outbox, tables
from nudgebot.store.database import open_database
from nudgebot.training.progress import Progress, progress
from nudgebot.training.speech import Incoming, Say
from nudgebot.training.wording.progress import NO_PICTURE, NOTHING_YET
from tests.exchange.weeks import DAY, TODAY, empty_book, full_book, run
from tests.servers.fake_telegram import Break, FakeTelegram
from tests.servers.running import Running
from tests.talking import joined

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
MONDAY = datetime(2027, 1, 4, 19, 0, tzinfo=UTC)


def drawn(shown: Progress) -> bytes:
    picture = draw(shown)
    assert picture is not None
    return picture


def chunks(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Kind and content of each chunk, its checksum held: ISO/IEC 15948, clause 5."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    at = 8
    while at < len(png):
        length = int.from_bytes(png[at : at + 4], "big")
        kind, content = png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        assert int.from_bytes(png[at + 8 + length : at + 12 + length], "big") == zlib.crc32(kind + content)
        yield kind, content
        at += 12 + length


def test_the_picture_is_a_png_of_the_size_it_says() -> None:
    picture = drawn(progress(full_book(), TODAY))
    parts = list(chunks(picture))
    header = parts[0][1]
    assert parts[0][0] == b"IHDR"
    assert (int.from_bytes(header[:4], "big"), int.from_bytes(header[4:8], "big")) == (WIDTH, HEIGHT)
    assert size_of(picture) == (WIDTH, HEIGHT)
    assert (header[8], header[9]) == (8, 6)  # eight bits a channel, red, green, blue and alpha
    rows = zlib.decompress(b"".join(content for kind, content in parts if kind == b"IDAT"))
    assert len(rows) == HEIGHT * (1 + 4 * WIDTH)
    assert parts[-1] == (b"IEND", b"")


def test_the_same_values_are_the_same_bytes_and_other_values_are_others() -> None:
    book = full_book()
    first = drawn(progress(book, TODAY))
    assert drawn(progress(full_book(), TODAY)) == first
    more = replace(book, log=(*book.log, run(TODAY, 30)))
    assert drawn(progress(more, TODAY)) != first
    assert drawn(progress(replace(book, limits=()), TODAY)) != first
    assert drawn(progress(book, TODAY + 7 * DAY)) != first


def test_a_picture_is_drawn_once_while_its_values_stay() -> None:
    assert drawn(progress(full_book(), TODAY)) is drawn(progress(full_book(), TODAY))


def test_an_empty_book_can_be_drawn() -> None:
    assert size_of(drawn(progress(empty_book(), TODAY))) == (WIDTH, HEIGHT)


@pytest.mark.parametrize("colour", [SKY, YELLOW, ORANGE, GREEN])
def test_every_mark_stands_out_from_the_ground(colour: str) -> None:
    """At least 3 to 1 for graphical objects: WCAG 2.2, success criterion 1.4.11; the formula is its own."""

    def luminance(shade: str) -> float:
        parts = [int(shade[n : n + 2], 16) / 255 for n in (1, 3, 5)]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    assert (luminance(colour) + 0.05) / (luminance(GROUND) + 0.05) >= 3


def test_progress_prints_the_size_before_the_caption() -> None:
    said = joined("@ 2027-01-04 19:00\n20 easy\n/progress", as_json=False).out
    assert f"< [2027-01-04 19:00] Marta: [picture {WIDTH} x {HEIGHT}]\n  Minutes a week" in said


def test_json_has_a_picture_where_there_is_one() -> None:
    *_, logged, shown = joined("@ 2027-01-04 19:00\n20 easy\n/progress").messages
    assert shown["picture"] == {"width": WIDTH, "height": HEIGHT}
    assert "This week so far: 20." in shown["text"]
    assert "picture" not in logged


def test_before_the_first_run_there_are_words_alone() -> None:
    shown = joined("@ 2027-01-04 19:00\n/progress").messages[-1]
    assert shown["text"] == NOTHING_YET
    assert "picture" not in shown


@pytest.fixture
def store() -> Iterator[Engine]:
    engine = open_database("sqlite://")
    joined("@ 2027-01-04 19:00\n20 easy", engine=engine)
    yield engine
    engine.dispose()


def asked(store: Engine, **more: object) -> outbox.Letter:
    incoming = Incoming("k", "talk", "Marta", "Marta", "/progress", MONDAY)
    with store.begin() as conn:
        conversation.take(conn, incoming, MONDAY, **more)  # type: ignore[arg-type]
        return outbox.claim(conn, "talk", MONDAY, 1, timedelta(minutes=1))[0]


def test_where_nothing_can_draw_the_words_go_alone_and_say_so(store: Engine) -> None:
    letter = asked(store, draw=lambda _: None)
    assert letter.picture is None
    assert letter.text.endswith(NO_PICTURE)


def test_a_picture_stays_until_its_letter_ends_and_no_longer(store: Engine) -> None:
    letter = asked(store)
    assert size_of(letter.picture or b"") == (WIDTH, HEIGHT)
    row = select(tables.outbox.c.picture).where(tables.outbox.c.id == letter.id)
    with store.begin() as conn:
        outbox.unknown(conn, letter.id, MONDAY)
        assert conn.scalar(row) == letter.picture
        outbox.delivered(conn, letter.id, MONDAY, "1")
        assert conn.scalar(row) is None


def test_a_database_with_letters_on_their_way_gets_room_for_pictures(tmp_path: Path) -> None:
    engine = open_database(f"sqlite:///{tmp_path / 'n.db'}")
    with engine.begin() as conn:
        runner = books.create(conn, "telegram", "7", "Ana", LONG_AGO).runner
        outbox.put(conn, runner, Say("on its way"), key="k", now=LONG_AGO)
        conn.exec_driver_sql("ALTER TABLE outbox DROP COLUMN picture")
        conn.exec_driver_sql("UPDATE alembic_version SET version_num = '0003'")
    engine.dispose()
    engine = open_database(f"sqlite:///{tmp_path / 'n.db'}")
    with engine.begin() as conn:
        outbox.put(conn, runner, Say("words"), key="l", now=LONG_AGO, chat="-5", picture=b"picture")
        letters = outbox.claim(conn, "telegram", LONG_AGO, 9, timedelta(minutes=1))
    engine.dispose()
    assert [(letter.text, letter.picture) for letter in letters] == [("on its way", None), ("words", b"picture")]


def on_its_way(folder: Path, words: str, picture: bytes) -> Path:
    """A database with one letter in it, a picture, to person 7."""
    path = folder / "bot.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        runner = books.create(conn, "telegram", "7", "Ana", LONG_AGO).runner
        outbox.put(conn, runner, Say(words), key="k", now=LONG_AGO, picture=picture)
    engine.dispose()
    return path


FAILURES: tuple[tuple[str, Break | tuple[int, dict[str, int]] | None, list[tuple[str, bool]]], ...] = (
    ("nothing", None, [("words", True)]),
    ("too many requests", (429, {"retry_after": 1}), [("words", True)]),
    ("a broken server", (500, {}), [("words", True)]),
    ("dropped before it arrived", Break.BEFORE, [("words", True)]),
    # An answer of unknown end is sent again: a double beats silence.
    ("dropped after it arrived", Break.AFTER, [("words", True), ("words", True)]),
    ("refused", (400, {}), [("words", False)]),
)


@pytest.mark.parametrize(("how", "arrived"), [row[1:] for row in FAILURES], ids=[row[0] for row in FAILURES])
def test_a_picture_arrives_or_its_words_do(
    tmp_path: Path, how: Break | tuple[int, dict[str, int]] | None, arrived: list[tuple[str, bool]]
) -> None:
    picture = drawn(progress(full_book(), TODAY))
    with FakeTelegram() as server:
        if how is not None:
            server.fail("sendPhoto", how)
        database = on_its_way(tmp_path, "words", picture)
        with Running(server.url, database, environ={"BOT_UNLIMITED": "1"}):
            server.until(lambda: len(server.to(7)) >= len(arrived))
        assert [(sent.text, sent.photo == picture) for sent in server.to(7)] == arrived
        assert server.wrong == []


def test_a_server_without_pictures_gets_the_words(tmp_path: Path) -> None:
    with FakeTelegram(unknown=frozenset({"sendPhoto"})) as server:
        with Running(server.url, on_its_way(tmp_path, "words", b"png"), environ={"BOT_UNLIMITED": "1"}):
            server.until(lambda: server.to(7))
        assert [(sent.text, sent.photo) for sent in server.to(7)] == [("words", b"")]


def test_words_that_are_too_long_for_a_caption_go_on_below(tmp_path: Path) -> None:
    words = "\n".join(f"line {n:03}" for n in range(200))
    with FakeTelegram() as server:
        with Running(server.url, on_its_way(tmp_path, words, b"png"), environ={"BOT_UNLIMITED": "1"}):
            server.until(lambda: len(server.to(7)) == 2)
        first, second = server.to(7)
        assert (first.photo, second.photo) == (b"png", b"")
        assert f"{first.text}\n{second.text}" == words
        assert server.wrong == []
