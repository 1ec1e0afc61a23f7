"""What the event loop leaves to a thread: the store, which is plain code, and the drawing of pictures; one thread each.

Calls of the store are made in order. Those that gather while the thread is busy share one commit, since the disk is
asked to make sure at each: they are kept apart by savepoints, and nobody is told of success before that commit.
Pictures take a tenth of a second and more to draw, so nobody waits but the letter; matplotlib is not made for two at a
time.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Self, TypeVar

from sqlalchemy import Connection, Engine

from nudgebot.channels.telegram.logs import place
from nudgebot.rendering import pictures
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.statement import Writer, apart

T = TypeVar("T")
_log = logging.getLogger(__name__)


class StoreThread:
    """One thread that works on `engine`: one writer is all that SQLite allows, and the fastest way to it.

    A call that has begun is finished even where its caller is cancelled.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._writer = Writer(engine)
        self._executor = ThreadPoolExecutor(1, "store")
        self._waiting: list[tuple[Callable[[Connection], Any], asyncio.Future[Any]]] = []
        self._writing: asyncio.Task[None] | None = None

    async def run(self, work: Callable[[], T]) -> T:
        """Result of `work()`, which sees to its own transactions."""
        return await asyncio.get_running_loop().run_in_executor(self._executor, work)

    async def begin(self, work: Callable[[Connection], T]) -> T:
        """Result of `work(conn)`, committed when this returns; what it did is undone where it raises."""
        came: asyncio.Future[T] = asyncio.get_running_loop().create_future()
        self._waiting.append((work, came))
        if self._writing is None:
            self._writing = asyncio.create_task(self._write())
        return await came

    async def _write(self) -> None:
        while self._waiting:
            batch, self._waiting = self._waiting, []
            works = [work for work, _ in batch]
            ends = await self.run(lambda: _together(self._writer, works))  # noqa: B023 - awaited at once
            for (_, came), (result, error) in zip(batch, ends, strict=True):
                if came.done():  # its caller was cancelled
                    continue
                if error is not None:
                    came.set_exception(error)
                else:
                    came.set_result(result)
        self._writing = None

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        if self._writing is not None:
            await self._writing
        await self.run(self._writer.close)
        await asyncio.to_thread(self._executor.shutdown)


def _together(writer: Writer, works: Sequence[Callable[[Connection], Any]]) -> list[tuple[Any, Exception | None]]:
    """Result or error of each of `works`, done in one transaction; where that fails, they have all failed."""
    ends: list[tuple[Any, Exception | None]] = []
    try:
        with writer.begin() as conn:
            if len(works) == 1:
                return [(works[0](conn), None)]
            for work in works:
                try:
                    with apart(conn):
                        ends.append((work(conn), None))
                except StoreFault:
                    raise
                except Exception as error:
                    ends.append((None, error))
    except Exception as error:
        return [(None, error)] * len(works)
    return ends


class DrawingThread:
    """One thread that draws; open it with `async with`."""

    def __init__(self, draw: pictures.Draw = pictures.draw) -> None:
        self._draw = draw
        self._executor = ThreadPoolExecutor(1, "drawing")

    async def draw(self, shown: pictures.Shown) -> bytes | None:
        """The picture of `shown`; None if it cannot be drawn, and the letter goes with its words alone."""
        try:
            return await asyncio.get_running_loop().run_in_executor(self._executor, self._draw, shown)
        except Exception as bug:  # the words say the same, and somebody waits for them
            _log.error("a picture was not drawn: %s", place(bug))
            return None

    async def prepare(self) -> None:
        """Have what draws loaded before the first picture is asked for, which would wait for it."""
        try:
            await asyncio.get_running_loop().run_in_executor(self._executor, pictures.prepare)
        except Exception as bug:  # without pictures everything else goes on
            _log.error("what draws pictures was not loaded: %s", place(bug))

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        self._executor.shutdown(wait=False, cancel_futures=True)
