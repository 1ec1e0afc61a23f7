"""HTTP for python-telegram-bot: httpcore's connections, each with one request at a time.

The library's own transport goes through httpx's client and httpcore's pool, which look at every connection as a request
begins and ends and write each request anew: half of what a message costs. Status and body are kept for whoever asked;
of the answers that are many the library is handed nothing, since nobody reads what it makes of them.
"""

from __future__ import annotations

import asyncio
from contextvars import ContextVar
from functools import lru_cache
from typing import Any, Final
from urllib.parse import urlsplit
from urllib.request import getproxies, proxy_bypass

import httpcore
import httpx
from telegram.request import BaseRequest, RequestData

LOOPBACK: Final = ("127.0.0.1", "::1", "localhost")
CONNECT_SECONDS: Final = 5.0
ANSWER_SECONDS: Final = 20.0
# By the end of an address. Of updates the library is handed none for another reason, too: one that it cannot parse
# would cost the others, and be logged with what somebody wrote in it.
_UNREAD: Final = {"sendMessage": b'{"ok": true, "result": null}', "getUpdates": b'{"ok": true, "result": []}'}
_IDLES: Final = 5.0  # s that a connection idles before it is opened anew

heard: Final[ContextVar[list[tuple[int, bytes]]]] = ContextVar("answers")  # status and body, as they come


class Transport(BaseRequest):
    """At most `connections` requests at a time to the server at `root`; more wait for their turn."""

    def __init__(self, root: str, connections: int, tls: Any) -> None:
        named = httpx.Proxy(found) if (found := proxy_before(root)) else None
        proxy = httpcore.Proxy(str(named.url), auth=named.raw_auth) if named else None
        self._root = httpx.URL(root)
        self._origin = httpcore.URL(root).origin
        # It makes them, directly or through the proxy, and holds none.
        self._pool = httpcore.AsyncConnectionPool(tls, proxy, keepalive_expiry=_IDLES)
        # The one used last goes first: it is open, and a server closes those that idle.
        self._free: asyncio.LifoQueue[httpcore.AsyncConnectionInterface] = asyncio.LifoQueue()
        for _ in range(connections):
            self._free.put_nowait(self._pool.create_connection(self._origin))

    @property
    def read_timeout(self) -> float:
        """How long an answer may take, unless it is said with the request (s)."""
        return ANSWER_SECONDS

    async def initialize(self) -> None:
        """Nothing is opened before the first request."""

    async def shutdown(self) -> None:
        """Closes the connections that nobody waits on."""
        while not self._free.empty():
            await self._free.get_nowait().aclose()

    async def do_request(
        self, url: str, method: str, request_data: RequestData | None = None, *_: Any, **timeouts: Any
    ) -> tuple[int, bytes]:
        """Status and body, as far as the library needs one."""
        seconds = timeouts.get("read_timeout", BaseRequest.DEFAULT_NONE)
        seconds = ANSWER_SECONDS if seconds is BaseRequest.DEFAULT_NONE else seconds
        form = httpx.Request(
            method,
            self._root,
            data=request_data.json_parameters if request_data else None,
            files=request_data.multipart_data if request_data else None,
            headers={"User-Agent": self.USER_AGENT},
        )
        request = httpcore.Request(
            method,
            _parsed(url),
            headers=form.headers.raw,
            content=form.stream,
            extensions={"timeout": {"connect": CONNECT_SECONDS, "read": seconds, "write": ANSWER_SECONDS}},
        )
        connection = await self._free.get()
        try:
            if not connection.is_idle() or connection.has_expired():  # not opened yet, closed, or left midway
                left, connection = connection, self._pool.create_connection(self._origin)
                await left.aclose()
            answer = await connection.handle_async_request(request)
            try:
                body = await answer.aread()
            finally:
                await answer.aclose()
        finally:
            self._free.put_nowait(connection)
        heard.get().append((answer.status, body))
        done = 200 <= answer.status < 300
        return answer.status, _UNREAD.get(url.rpartition("/")[2], body) if done else body


def behind_proxy(root: str) -> bool:
    """Whether the proxy that the environment may name lies before `root`: not before a server on this machine."""
    return urlsplit(root).hostname not in LOOPBACK


def proxy_before(root: str) -> str | None:
    """The proxy that the environment names for `root`, None for none."""
    server, proxies = urlsplit(root), getproxies()
    if not behind_proxy(root) or proxy_bypass(server.hostname or ""):
        return None
    return proxies.get(server.scheme) or proxies.get("all")


@lru_cache(64)
def _parsed(url: str) -> httpcore.URL:
    """Few addresses are asked, again and again."""
    return httpcore.URL(url)
