"""Calls to the store are in order, kept apart, and true when they return; a picture is drawn beside the event loop.

Pictures are drawn one at a time, and a fault in one costs its letter no word.
"""

from __future__ import annotations

import asyncio
import logging
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, Engine

from nudgebot.channels.telegram.threads import DrawingThread, StoreThread
from nudgebot.domain.overview.progress import progress
from nudgebot.rendering.pictures import Shown, size_of
from nudgebot.rendering.weeks import HEIGHT, WIDTH
from nudgebot.storage.database import open_database
from nudgebot.storage.faults import StoreFault
from tests.rendering.books import TODAY, full_book

SECRET = "what somebody wrote"


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_database(f"sqlite:///{tmp_path / 'bot.db'}")
    yield engine
    engine.dispose()


def put(conn: Connection, number: int) -> int:
    conn.exec_driver_sql("INSERT INTO heard (digest, at) VALUES (?, ?)", (bytes([number]), number))
    return number


def kept(engine: Engine) -> list[int]:
    with engine.begin() as conn:
        return [row[0] for row in conn.exec_driver_sql("SELECT at FROM heard ORDER BY rowid")]


@pytest.mark.asyncio
async def test_calls_that_gather_are_done_in_order_and_one_that_fails_undoes_only_itself(engine: Engine) -> None:
    def fails(conn: Connection) -> int:
        put(conn, 99)
        raise LookupError

    async with StoreThread(engine) as store:
        calls = [store.begin(lambda conn, n=n: fails(conn) if n == 3 else put(conn, n)) for n in range(6)]  # type: ignore[misc]
        ends = await asyncio.gather(*calls, return_exceptions=True)
    assert [end for end in ends if isinstance(end, int)] == [0, 1, 2, 4, 5]
    assert isinstance(ends[3], LookupError)
    assert kept(engine) == [0, 1, 2, 4, 5]


@pytest.mark.asyncio
async def test_where_the_store_fails_every_call_that_shared_the_commit_fails_and_nothing_is_kept(
    engine: Engine,
) -> None:
    def broken(_: Connection) -> int:
        raise StoreFault("no room left on the disk")

    async with StoreThread(engine) as store:
        first = asyncio.create_task(store.begin(lambda conn: put(conn, 1)))
        await first
        calls = [store.begin(lambda conn: put(conn, 2)), store.begin(broken), store.begin(lambda conn: put(conn, 3))]
        ends = await asyncio.gather(*calls, return_exceptions=True)
        assert all(isinstance(end, StoreFault) for end in ends)
        assert await store.begin(lambda conn: put(conn, 4)) == 4
    assert kept(engine) == [1, 4]


@pytest.mark.asyncio
async def test_a_call_that_has_begun_is_finished_even_where_its_caller_is_cancelled(engine: Engine) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def slow(conn: Connection) -> int:
        begun.set()
        assert go_on.wait(120)
        return put(conn, 7)

    async with StoreThread(engine) as store:
        call = asyncio.create_task(store.begin(slow))
        await asyncio.to_thread(begun.wait, 10)
        call.cancel()
        with pytest.raises(asyncio.CancelledError):
            await call
        go_on.set()
    assert kept(engine) == [7]


@pytest.mark.asyncio
async def test_what_draws_is_loaded_beforehand_and_then_draws() -> None:
    async with DrawingThread() as pen:
        await pen.prepare()
        picture = await pen.draw(progress(full_book(), TODAY))
    assert picture is not None
    assert size_of(picture) == (WIDTH, HEIGHT)


@pytest.mark.asyncio
async def test_pictures_are_drawn_one_at_a_time_in_one_other_thread() -> None:
    under_way, most, threads = 0, 0, set()

    def draw(_: Shown) -> bytes:
        nonlocal under_way, most
        under_way += 1
        most = max(most, under_way)
        threads.add(threading.get_ident())
        sum(range(200_000))
        under_way -= 1
        return b"png"

    shown = progress(full_book(), TODAY)
    async with DrawingThread(draw) as pen:
        assert await asyncio.gather(*(pen.draw(shown) for _ in range(5))) == [b"png"] * 5
    assert most == 1
    assert len(threads) == 1
    assert threading.get_ident() not in threads


@pytest.mark.asyncio
async def test_a_picture_that_fails_is_none_and_the_log_says_where_and_not_what(
    caplog: pytest.LogCaptureFixture,
) -> None:
    def draw(_: Shown) -> bytes:
        raise ValueError(SECRET)

    with caplog.at_level(logging.ERROR):
        async with DrawingThread(draw) as pen:
            assert await pen.draw(progress(full_book(), TODAY)) is None
    assert "a picture was not drawn" in caplog.text
    assert SECRET not in caplog.messages[0]
