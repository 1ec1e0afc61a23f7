"""One request to a Bot API server, and what came of it: every way it can end is a value.

The requests travel through python-telegram-bot. Its parsed answers and its error classes are left alone on
purpose: the first need fields that a server may omit, the second cannot tell what was refused from what may have
arrived, nor a refused token from an unknown method.
"""

from __future__ import annotations

import json
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self, TypeAlias
from urllib.parse import urlsplit

import httpx
from telegram import Bot, InputFile
from telegram.error import TelegramError
from telegram.request import HTTPXRequest
from telegram.warnings import PTBUserWarning

PLATFORM = "https://api.telegram.org"
LOOPBACK = ("127.0.0.1", "::1", "localhost")
CONNECTIONS = 8  # more buy nothing: at 30 messages a second even 250 ms an answer keep 8 busy
CONNECT_SECONDS = 5.0
ANSWER_SECONDS = 20.0
POLL_GRACE_SECONDS = 10.0  # how much longer than asked a long poll may take before it counts as lost
RETRY_SECONDS = 1.0  # where a server says "later" without saying when


@dataclass(frozen=True, slots=True)
class Upload:
    """A file under the name that it is to have at the other end."""

    name: str
    content: bytes


Field: TypeAlias = str | int | bool | bytes | Upload | Mapping[str, object] | Sequence[object] | None


@dataclass(frozen=True, slots=True)
class Done:
    """The server did it; `result` is what it returned."""

    result: object


@dataclass(frozen=True, slots=True)
class Later:
    """Not done: come back after `seconds` (429 and its retry_after)."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Moved:
    """Not done: the group has become a supergroup with this chat id."""

    chat_id: int


@dataclass(frozen=True, slots=True)
class Refused:
    """Not done, and the same again will not help: a bad request (400), no permission (403), anything else 4xx."""

    status: int
    why: str


@dataclass(frozen=True, slots=True)
class NotFound:
    """401 or 404: the token is not valid, or (404) the server does not know the method."""

    status: int


@dataclass(frozen=True, slots=True)
class Conflict:
    """409: somebody else polls with this token, or a webhook is set."""


@dataclass(frozen=True, slots=True)
class NotNow:
    """Not done, for a reason that may pass: the server was not reached, or answered 5xx."""

    why: str


@dataclass(frozen=True, slots=True)
class Unknown:
    """Sent, and no answer that says what became of it."""

    why: str


Outcome = Done | Later | Moved | Refused | NotFound | Conflict | NotNow | Unknown

NEVER_LEFT = (
    httpx.ConnectError,
    httpx.ConnectTimeout,
    httpx.PoolTimeout,
    httpx.ProxyError,
    httpx.UnsupportedProtocol,
)


class BotApi:
    """A Bot API server, asked with one token; open it with `async with`. Holds one connection more for polling."""

    def __init__(self, token: str, base: str = "", connections: int = CONNECTIONS) -> None:
        root = base or PLATFORM
        # A server on this machine is not behind the proxy that the environment may name.
        behind = {"trust_env": urlsplit(root).hostname not in LOOPBACK}
        self._requests = _Transport(
            connections,
            read_timeout=ANSWER_SECONDS,
            write_timeout=ANSWER_SECONDS,
            connect_timeout=CONNECT_SECONDS,
            pool_timeout=ANSWER_SECONDS,
            httpx_kwargs=behind,
        )
        self._polling = _Transport(1, connect_timeout=CONNECT_SECONDS, httpx_kwargs=behind)
        self._bot = Bot(
            token,
            base_url=f"{root}/bot",
            base_file_url=f"{root}/file/bot",
            request=self._requests,
            get_updates_request=self._polling,
        )

    async def __aenter__(self) -> Self:
        # The raw answer is wanted where the library would rather parse it.
        warnings.filterwarnings("ignore", r"Please use 'Bot\.", PTBUserWarning)
        await self._requests.initialize()
        await self._polling.initialize()
        return self

    async def __aexit__(self, *_: object) -> None:
        await self._requests.shutdown()
        await self._polling.shutdown()

    async def call(self, method: str, **fields: Field) -> Outcome:
        """Ask for `method`; fields that are None are left out, bytes travel as a file."""
        return await self._ask(method, {name: _file(name, it) for name, it in fields.items()}, ANSWER_SECONDS)

    async def poll(self, offset: int | None, seconds: int, kinds: tuple[str, ...]) -> Outcome:
        """getUpdates from `offset`, waiting up to `seconds` for the first one."""
        fields = {"offset": offset, "timeout": seconds, "limit": 100, "allowed_updates": list(kinds)}
        return await self._ask("getUpdates", fields, seconds + POLL_GRACE_SECONDS)

    async def _ask(self, method: str, fields: Mapping[str, object], seconds: float) -> Outcome:
        try:
            return Done(await self._bot.do_api_request(method, dict(fields), read_timeout=seconds))
        except TelegramError as error:
            ended = error if isinstance(error, _EndedError) else error.__cause__
            if isinstance(ended, _EndedError):
                return ended.outcome
            raise


def _file(name: str, field: Field) -> object:
    match field:
        case bytes():
            return InputFile(field, name)
        case Upload():
            return InputFile(field.content, field.name)
        case _:
            return field


class _EndedError(TelegramError):
    """Carries an outcome other than Done through the library, which hands its own kind of error on untouched."""

    def __init__(self, outcome: Outcome) -> None:
        super().__init__(type(outcome).__name__)
        self.outcome = outcome


class _Transport(HTTPXRequest):
    """The library's HTTP transport, with our reading of what an answer means."""

    async def do_request(self, *args: Any, **kwargs: Any) -> tuple[int, bytes]:
        """Status and body of a request that was done; `_EndedError` for any other end."""
        try:
            status, body = await super().do_request(*args, **kwargs)
        except TelegramError as error:
            cause = error.__cause__ or error
            why = type(cause).__name__  # the text of the error holds the address, and that the token
            raise _EndedError(NotNow(why) if isinstance(cause, NEVER_LEFT) else Unknown(why)) from None
        came = outcome(status, body)
        if isinstance(came, Done):
            return status, body
        raise _EndedError(came)


def outcome(status: int, body: bytes) -> Outcome:
    """What an answer with HTTP `status` and `body` says (Bot API 10.1, "Making requests", ResponseParameters)."""
    try:
        answer = json.loads(body)
    except (ValueError, RecursionError):
        answer = None
    said = answer if isinstance(answer, dict) else {}
    if 200 <= status < 300:
        if said.get("ok") is True and "result" in said:
            return Done(said["result"])
        if said.get("ok") is not False:
            return Unknown("an answer of no known form")
        status = _whole(said.get("error_code")) or 400
    parameters = said.get("parameters")
    parameters = parameters if isinstance(parameters, dict) else {}
    if moved := _whole(parameters.get("migrate_to_chat_id")):
        return Moved(moved)
    retry_after = parameters.get("retry_after")
    if status == 429 or isinstance(retry_after, int | float):
        wait = retry_after if isinstance(retry_after, int | float) else RETRY_SECONDS
        return Later(max(float(wait), 0.0))
    if status in (401, 404):
        return NotFound(status)
    if status == 409:
        return Conflict()
    if status == 504:  # a gateway gave up waiting: the server behind it may have acted
        return Unknown("504")
    if 400 <= status < 500:
        description = said.get("description")
        return Refused(status, description if isinstance(description, str) else "")
    return NotNow(str(status))


def _whole(found: object) -> int:
    return found if isinstance(found, int) and not isinstance(found, bool) else 0
