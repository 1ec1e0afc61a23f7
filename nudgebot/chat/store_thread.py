"""The store is plain code; from the event loop it is called in one thread, in the order of the calls."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Self, TypeVar

from sqlalchemy import Connection, Engine

T = TypeVar("T")


class StoreThread:
    """One thread that works on `engine`: one writer is all that SQLite allows, and the fastest way to it.

    A call that has begun is finished even where its caller is cancelled.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._executor = ThreadPoolExecutor(1, "store")

    async def run(self, work: Callable[[], T]) -> T:
        """Result of `work()`, which sees to its own transactions."""
        return await asyncio.get_running_loop().run_in_executor(self._executor, work)

    async def begin(self, work: Callable[[Connection], T]) -> T:
        """Result of `work(conn)` in one transaction, committed when this returns."""

        def in_one_transaction() -> T:
            with self.engine.begin() as conn:
                return work(conn)

        return await self.run(in_one_transaction)

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        await asyncio.to_thread(self._executor.shutdown)
