"""lo-bot-api-emulator, a Bot API server that this project did not write, behind real HTTP in a thread of its own.

It delivers with real offsets and refuses fields it does not know. Its getMe has no username, which a bot needs to
know its commands in groups; a middleware adds one and, looking on, keeps the texts that the emulator does not keep.
"""

from __future__ import annotations

import asyncio
import json
import threading
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from aiohttp import web
from lo_bot_api_emulator import LoBotApiEmulator
from lo_bot_api_emulator.journal import verdict

from tests.servers.fake_telegram import PATIENCE, TOKEN, USERNAME, Sent, ServerInAThread

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class Emulator(ServerInAThread):
    """The emulator as a context manager; `url` is what NUDGEBOT_API_BASE is set to."""

    def __init__(self, journal: Path) -> None:
        self.sent: list[Sent] = []
        self.port = 0
        self._journal = journal
        self._emulator = LoBotApiEmulator(journal=journal, allow_insecure_loopback_webhooks=True)
        self._loop = asyncio.new_event_loop()
        self._stop = asyncio.Event()
        self._news = threading.Condition()

    def push(self, update: dict[str, Any]) -> int:
        """Queue `update` exactly as it is; its id."""
        queued = self._emulator.enqueue_update(update, token=TOKEN)
        return int(asyncio.run_coroutine_threadsafe(queued, self._loop).result(PATIENCE))

    def deliver(self) -> int:
        """Bring what is queued to the webhook that is set; how many updates it took."""
        brought = self._emulator.deliver_updates(token=TOKEN)
        return int(asyncio.run_coroutine_threadsafe(brought, self._loop).result(PATIENCE))

    def texts(self, chat: int) -> list[str]:
        """What `chat` has been told, in order."""
        return [sent.text for sent in self.sent if sent.chat == chat]

    def until(self, holds: Callable[[], object], seconds: float = PATIENCE) -> None:
        """Return once `holds()` does; it is asked again after every request."""
        end = time.monotonic() + seconds
        with self._news:
            while not holds():
                left = end - time.monotonic()
                assert left > 0, f"waited {seconds} s in vain; told so far: {self.sent[-3:]}"
                self._news.wait(min(left, 0.25))

    def verdict(self, *methods: str) -> dict[str, Any]:
        """The emulator's own judgement of its journal: every request accepted, `methods` among them."""
        found: dict[str, Any] = verdict(self._journal, require_response=True, require_methods=methods)
        return found

    async def _run(self, started: threading.Event) -> None:
        app = self._emulator.app()
        app.middlewares.append(self._look_on)
        runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1)
        await runner.setup()
        await web.TCPSite(runner, "127.0.0.1", 0).start()
        self.port = runner.addresses[0][1]
        started.set()
        await self._stop.wait()
        await runner.cleanup()

    @web.middleware
    async def _look_on(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        method = request.match_info.get("method")
        response = await handler(request)
        assert isinstance(response, web.Response)
        body = json.loads(response.text or "{}")
        if method == "getMe":
            return web.json_response(body | {"result": body["result"] | {"username": USERNAME}})
        if method == "sendMessage" and body.get("ok"):
            fields = await request.post()
            rows = json.loads(str(fields.get("reply_markup", '{"inline_keyboard": []}')))["inline_keyboard"]
            keys = [key for row in rows for key in row]
            self.sent.append(
                Sent(
                    body["result"]["message_id"],
                    int(str(fields["chat_id"])),
                    str(fields["text"]),
                    tuple(key["text"] for key in keys),
                    tuple(key["callback_data"] for key in keys),
                )
            )
        if method in {"sendPhoto", "sendDocument"} and body.get("ok"):
            # The form has been read by then; what was made of it says the rest.
            made = body["result"]
            self.sent.append(Sent(made["message_id"], int(made["chat"]["id"]), made.get("caption", ""), (), ()))
        with self._news:
            self._news.notify_all()
        return response
