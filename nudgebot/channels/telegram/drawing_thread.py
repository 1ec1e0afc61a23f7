"""Pictures take a tenth of a second and more to draw: in a thread of their own nobody waits but the letter.

One thread, since matplotlib is not made for two at a time.
"""

from __future__ import annotations

import asyncio
import logging
from concurrent.futures import ThreadPoolExecutor
from typing import Self

from nudgebot.channels.telegram.logs import place
from nudgebot.rendering import pictures

_log = logging.getLogger(__name__)


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
