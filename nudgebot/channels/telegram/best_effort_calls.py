"""Methods that make the chat nicer and that a server may lack: tried, logged once, done without."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable

from telegram import Bot

from nudgebot.channels.telegram.bot_api import BotApi, CallDone, NotFound

_log = logging.getLogger(__name__)


class OptionalMethods:
    """Calls whose failure costs nobody anything."""

    def __init__(self, api: BotApi) -> None:
        self._api = api
        self._missing: set[str] = set()

    async def ask(self, method: str, call: Callable[[Bot], Awaitable[object]]) -> None:
        """Makes `call`, which asks for `method`, unless the server said before that it does not know that."""
        if method in self._missing:
            return
        came = await self._api.ask(call)
        if isinstance(came, NotFound):
            if method not in self._missing:
                _log.warning("the server does not know %s: doing without", method)
            self._missing.add(method)
        elif not isinstance(came, CallDone):
            _log.info("%s: %s", method, came)
