"""Pictures are drawn beside the event loop, one at a time, and a fault in one costs its letter no word."""

from __future__ import annotations

import asyncio
import logging
import threading

import pytest

from nudgebot.channels.telegram.threads import DrawingThread
from nudgebot.domain.overview.progress import progress
from nudgebot.rendering.pictures import Shown, size_of
from nudgebot.rendering.weeks import HEIGHT, WIDTH
from tests.rendering.books import TODAY, full_book

SECRET = "what somebody wrote"


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
