"""Methods that make the chat nicer and that a server may lack: tried, logged once, done without."""

from __future__ import annotations

import logging

from nudgebot.channels.telegram.bot_api import BotApi, Done, Field, NotFound

_log = logging.getLogger(__name__)


class OptionalMethods:
    """Calls whose failure costs nobody anything."""

    def __init__(self, api: BotApi) -> None:
        self._api = api
        self._missing: set[str] = set()

    async def ask(self, method: str, **fields: Field) -> None:
        """Call `method` unless the server said before that it does not know it."""
        if method in self._missing:
            return
        came = await self._api.call(method, **fields)
        if isinstance(came, NotFound):
            if method not in self._missing:
                _log.warning("the server does not know %s: doing without", method)
            self._missing.add(method)
        elif not isinstance(came, Done):
            _log.info("%s: %s", method, came)
