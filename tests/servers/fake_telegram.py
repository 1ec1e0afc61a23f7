"""A small Bot API server on 127.0.0.1 that delivers like the official one and fails on demand.

Delivery: an update is confirmed when getUpdates is called with an offset above its id, a negative offset forgets
all earlier ones, a new poll ends an older one with 409 (published Bot API, and the official server's source).
It runs in a thread of its own, so that a test may be plain code and the bot another process.
"""

from __future__ import annotations

import asyncio
import itertools
import json
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Self

from aiohttp import web

from tests.servers import moment
from tests.servers.contract import FIELDS, breaches

TOKEN = "123456:TEST-token_of-nobody"
BOT_ID = 123456
USERNAME = "nudge_test_bot"
PATIENCE = 120.0  # s; a test that waits longer has found a fault


class Break(StrEnum):
    """Ways a connection fails."""

    BEFORE = "dropped before acting"
    AFTER = "dropped after acting"
    GARBAGE = "acted, and answered with garbage"
    HANG = "acted, and never answers"


@dataclass
class Fault:
    """The next `times` requests of `method` (of any with "") that `when` accepts end in `how`.

    `how` is a Break, or an HTTP status with the parameters of the answer (retry_after, migrate_to_chat_id).
    """

    method: str
    how: Break | tuple[int, dict[str, int]]
    times: int = 1
    when: Callable[[dict[str, str]], bool] = lambda _: True
    description: str = "made to fail"


@dataclass(frozen=True)
class Sent:
    """A message that reached its chat."""

    message_id: int
    chat: int
    text: str
    labels: tuple[str, ...]
    callback_data: tuple[str, ...]
    photo: bytes = b""  # the text is its caption
    document: bytes = b""


@dataclass
class Request:
    """A request as it came in, and the status it was answered with (0: not at all)."""

    method: str
    fields: dict[str, str]
    at: float
    status: int = 0


class ServerInAThread:
    """A server with an event loop and a thread of its own, as a context manager."""

    port: int
    _loop: asyncio.AbstractEventLoop
    _stop: asyncio.Event

    async def _run(self, started: threading.Event) -> None:
        """Serves until `_stop` is set; sets `started` once it listens."""
        raise NotImplementedError

    def __enter__(self) -> Self:
        started = threading.Event()
        self._thread = threading.Thread(target=lambda: self._loop.run_until_complete(self._run(started)))
        self._thread.start()
        assert started.wait(PATIENCE)
        return self

    def __exit__(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join(PATIENCE)
        self._loop.close()

    @property
    def url(self) -> str:
        """What NUDGEBOT_API_BASE is set to."""
        return f"http://127.0.0.1:{self.port}"


@dataclass
class FakeTelegram(ServerInAThread):
    """The server; use as a context manager. `unknown` are methods it claims not to have."""

    unknown: frozenset[str] = frozenset()
    delay: float = 0.0  # s before each answer but getUpdates
    token: str = TOKEN
    requests: list[Request] = field(default_factory=list)
    sent: list[Sent] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)  # what broke the published contract
    updates: list[dict[str, Any]] = field(default_factory=list)
    files: dict[str, bytes] = field(default_factory=dict)  # what people have sent, by its id
    confirmed: int = 0
    hasty: bool = False  # answers getUpdates at once, whatever the timeout
    stubborn: bool = False  # hands out every update again and again, whatever the offset
    disorderly: bool = False  # hands out the newest update of each answer first
    keep_requests: bool = True
    port: int = 0
    first: int = 1  # its messages and updates count on from here: a bot knows the numbers that it has seen

    def __post_init__(self) -> None:
        self._news = threading.Condition()
        self._loop = asyncio.new_event_loop()
        self._arrived = asyncio.Event()
        self._newest_poll = 0
        self._next_update = itertools.count(900_000 + self.first)
        self._next_message = itertools.count(self.first)
        self._down = False
        self._stop = asyncio.Event()

    # What a test does

    def push(self, update: dict[str, Any]) -> int:
        """Queue `update`; an update_id is given unless it has one."""
        update = {"update_id": next(self._next_update)} | update
        self._loop.call_soon_threadsafe(self._queue, update)
        return int(update["update_id"])

    def say(self, user: int, text: str, **more: Any) -> int:
        """`user` writes `text` in private; the message's id."""
        message_id = next(self._next_message)
        self.push({"message": message(user, message_id, text) | more})
        return message_id

    def send_file(self, user: int, content: bytes, caption: str = "", size: int | None = None) -> str:
        """`user` sends a file in private, with words under it; the file's id."""
        file_id = f"file-{len(self.files) + 1}"
        self.files[file_id] = content
        document = {"file_id": file_id, "file_unique_id": file_id, "file_size": len(content) if size is None else size}
        sent = message(user, next(self._next_message), "") | {"document": document, "caption": caption}
        self.push({"message": {name: value for name, value in sent.items() if value != ""}})
        return file_id

    def press(self, user: int, data: str, query_id: str = "") -> str:
        """`user` presses a button that carries `data`; the id of the press."""
        query_id = query_id or f"press-{next(self._next_message)}"
        under = message(user, 1, "…") | {"from": {"id": BOT_ID, "is_bot": True, "first_name": "Nudge"}}
        self.push(
            {
                "callback_query": {
                    "id": query_id,
                    "from": person(user),
                    "message": under,
                    "chat_instance": "1",
                    "data": data,
                }
            }
        )
        return query_id

    def fail(self, method: str, how: Break | tuple[int, dict[str, int]], times: int = 1, **more: Any) -> None:
        """See Fault."""
        self.faults.append(Fault(method, how, times, **more))

    def until(self, holds: Callable[[], object], seconds: float = PATIENCE) -> None:
        """Return once `holds()` does; it is asked again after every request."""
        end = time.monotonic() + seconds
        with self._news:
            while not holds():
                left = end - time.monotonic()
                assert left > 0, f"waited {seconds} s in vain; last requests: {self.requests[-8:]}"
                self._news.wait(min(left, 0.25))

    def to(self, chat: int) -> list[Sent]:
        """The messages that reached `chat`, in order."""
        return [sent for sent in self.sent if sent.chat == chat]

    def texts(self, chat: int) -> list[str]:
        """What `chat` has been told, in order."""
        return [sent.text for sent in self.to(chat)]

    def of(self, method: str) -> list[Request]:
        """The requests of `method` so far."""
        return [request for request in self.requests if request.method == method]

    # What the server does

    def _queue(self, update: dict[str, Any]) -> None:
        self.updates.append(update)
        self._arrived.set()

    async def _run(self, started: threading.Event) -> None:
        app = web.Application()
        app.router.add_route("*", "/bot{token}/{method}", self._answer)
        app.router.add_get("/file/bot{token}/{file_id}", self._hand_out)
        runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1)
        await runner.setup()
        site = web.TCPSite(runner, "127.0.0.1", self.port)
        await site.start()
        self.port = runner.addresses[0][1]
        started.set()
        await self._stop.wait()
        self._arrived.set()
        await runner.cleanup()

    async def _answer(self, request: web.Request) -> web.StreamResponse:
        method = request.match_info["method"]
        try:
            posted = await request.post()
        except ConnectionResetError:  # killed while it was asking
            return web.Response()
        files = {name: value.file.read() for name, value in posted.items() if isinstance(value, web.FileField)}
        fields = {name: f"{len(files[name])} bytes" if name in files else str(posted[name]) for name in posted}
        note = Request(method, fields, time.monotonic())
        if self.keep_requests:
            self.requests.append(note)
        if request.match_info["token"] != self.token:
            return self._reply(note, 401, {}, "Unauthorized")
        if method in self.unknown or method not in FIELDS:
            return self._reply(note, 404, {}, "Not Found: method not found")
        self.wrong += breaches(method, fields)
        fault = self._fault(method, fields)
        if fault and isinstance(fault.how, tuple):
            return self._reply(note, *fault.how, fault.description)
        if fault and fault.how is Break.BEFORE:
            return self._hang_up(request)
        if method == "getUpdates":
            return await self._get_updates(note)
        result = self._act(method, fields, files)
        if self.delay:
            await asyncio.sleep(self.delay)
        if fault and fault.how is Break.AFTER:
            return self._hang_up(request)
        if fault and fault.how is Break.HANG:
            await self._stop.wait()
        if fault and fault.how is Break.GARBAGE:
            return web.Response(text="<html>so sorry</html>")
        return self._reply(note, 200, result)

    async def _hand_out(self, request: web.Request) -> web.StreamResponse:
        content = self.files.get(request.match_info["file_id"])
        return web.Response(status=404) if content is None else web.Response(body=content)

    def _fault(self, method: str, fields: dict[str, str]) -> Fault | None:
        for fault in self.faults:
            if fault.method in (method, "") and fault.times > 0 and fault.when(fields):
                fault.times -= 1
                return fault
        return None

    def _hang_up(self, request: web.Request) -> web.Response:
        if request.transport is not None:
            request.transport.abort()
        self._tell()
        return web.Response()

    def _reply(self, note: Request, status: int, content: Any, description: str = "") -> web.Response:
        note.status = status
        self._tell()
        if status == 200:
            return web.json_response({"ok": True, "result": content})
        body = {"ok": False, "error_code": status, "description": description}
        return web.json_response(body | ({"parameters": content} if content else {}), status=status)

    def _tell(self) -> None:
        with self._news:
            self._news.notify_all()

    def _act(self, method: str, fields: dict[str, str], files: dict[str, bytes]) -> Any:
        if method == "getMe":
            return {"id": BOT_ID, "is_bot": True, "first_name": "Nudge", "username": USERNAME}
        if method == "getFile":
            return {"file_id": fields["file_id"], "file_unique_id": "u", "file_path": fields["file_id"]}
        if method not in ("sendMessage", "sendPhoto", "sendDocument"):
            return True
        rows = json.loads(fields.get("reply_markup", '{"inline_keyboard": []}'))["inline_keyboard"]
        keys = [key for row in rows for key in row]
        sent = Sent(
            next(self._next_message),
            int(fields["chat_id"]),
            fields["caption" if files else "text"],
            tuple(key["text"] for key in keys),
            tuple(key["callback_data"] for key in keys),
            **files,
        )
        self.sent.append(sent)
        chat = {"id": sent.chat, "type": "private" if sent.chat > 0 else "supergroup"}
        return {"message_id": sent.message_id, "date": moment.stamp(), "chat": chat, "text": sent.text}

    async def _get_updates(self, note: Request) -> web.Response:
        offset, limit = int(note.fields.get("offset", "0")), int(note.fields.get("limit", "100"))
        end = self._loop.time() + (0 if self.hasty else int(note.fields.get("timeout", "0")))
        self._newest_poll += 1
        mine = self._newest_poll
        self._arrived.set()  # an older poll wakes up and finds that it is no longer the newest
        if offset < 0:
            del self.updates[:offset]
        else:
            kept = [update for update in self.updates if update["update_id"] >= offset or self.stubborn]
            self.confirmed += len(self.updates) - len(kept)
            self.updates = kept
        self._tell()
        while not self.updates and self._loop.time() < end and not self._stop.is_set():
            self._arrived.clear()
            try:
                await asyncio.wait_for(self._arrived.wait(), end - self._loop.time())
            except TimeoutError:
                break
            if mine != self._newest_poll:
                return self._reply(note, 409, {}, "Conflict: terminated by other getUpdates request")
        given = self.updates[:limit]
        return self._reply(note, 200, given[::-1] if self.disorderly else given)


def person(user: int) -> dict[str, Any]:
    """A User object."""
    return {"id": user, "is_bot": False, "first_name": f"Runner {user}"}


def message(user: int, message_id: int, text: str) -> dict[str, Any]:
    """A Message object as written by `user` in private."""
    chat = {"id": user, "type": "private", "first_name": f"Runner {user}"}
    return {"message_id": message_id, "from": person(user), "chat": chat, "date": moment.stamp(), "text": text}
