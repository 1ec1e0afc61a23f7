"""One request to a Bot API server, and what came of it: every way it can end is a value.

Requests, their fields and the connection are python-telegram-bot's. What an answer means is read from its HTTP status
and body, which the library's errors do not hand on whole: they cannot tell what was refused (413) from what may have
arrived (504). An object in an answer that lacks a field the library wants is no failure: the server did what it was
asked. Updates stay raw, since the library gives up a whole batch for one update that it cannot parse.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import Self

import httpcore
import httpx
from telegram import Bot, File
from telegram.error import TelegramError

from nudgebot.channels.telegram.transport import Transport, behind_proxy, heard

PLATFORM = "https://api.telegram.org"
CONNECTIONS = 8  # more buy nothing: at 30 messages a second even 250 ms an answer keep 8 busy
POLL_GRACE_SECONDS = 10.0  # how much longer than asked a long poll may take before it counts as lost
RETRY_SECONDS = 1.0  # where a server says "later" without saying when


@dataclass(frozen=True, slots=True)
class CallDone:
    """The server did it; `result` is what it returned."""

    result: object


@dataclass(frozen=True, slots=True)
class RetryLater:
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


CallOutcome = CallDone | RetryLater | Moved | Refused | NotFound | Conflict | NotNow | Unknown

NEVER_LEFT = (
    httpcore.ConnectError,
    httpcore.ConnectTimeout,
    httpcore.PoolTimeout,
    httpcore.ProxyError,
    httpcore.UnsupportedProtocol,
)


class BotApi:
    """A Bot API server, asked with one token; open it with `async with`. Holds one connection more for polling."""

    def __init__(self, token: str, base: str = "", connections: int = CONNECTIONS) -> None:
        root = base or PLATFORM
        tls = httpx.create_ssl_context()
        self._requests, self._polling = Transport(root, connections, tls), Transport(root, 1, tls)
        self._bot = Bot(
            token,
            base_url=f"{root}/bot",
            base_file_url=f"{root}/file/bot",
            request=self._requests,
            get_updates_request=self._polling,
        )

    async def __aenter__(self) -> Self:
        await self._requests.initialize()
        await self._polling.initialize()
        return self

    async def __aexit__(self, *_: object) -> None:
        await self._requests.shutdown()
        await self._polling.shutdown()

    async def ask(self, call: Callable[[Bot], Awaitable[object]]) -> CallOutcome:
        """What came of `call`, which asks the bot for one thing."""
        answers: list[tuple[int, bytes]] = []
        kept = heard.set(answers)
        try:
            await call(self._bot)
        except TelegramError as error:
            if not answers:
                return _unanswered(error)
        except Exception:  # the answer lacks a field that the library wants
            if not answers:
                raise
        finally:
            heard.reset(kept)
        return outcome(*answers[-1])

    async def download(self, file_id: str) -> bytes | CallOutcome:
        """The content of a file that somebody sent, at most 20 MB (the platform hands on no more), or what came."""
        found: list[File] = []

        async def look_up(bot: Bot) -> None:
            found.append(await bot.get_file(file_id))

        came = await self.ask(look_up)
        if not isinstance(came, CallDone):
            return came
        answers: list[tuple[int, bytes]] = []
        kept = heard.set(answers)
        try:
            return bytes(await found[0].download_as_bytearray()) if found else NotNow("a file without an address")
        except (TelegramError, RuntimeError) as error:  # the latter where the answer names no path
            refused = answers and answers[-1][0] >= 400
            return outcome(*answers[-1]) if refused else NotNow(type(error.__cause__ or error).__name__)
        finally:
            heard.reset(kept)

    async def poll(self, offset: int | None, seconds: int, kinds: tuple[str, ...]) -> CallOutcome:
        """The raw updates from `offset` on, waiting up to `seconds` for the first one."""
        return await self.ask(
            lambda bot: bot.get_updates(offset, 100, seconds, allowed_updates=kinds, read_timeout=POLL_GRACE_SECONDS)
        )


def _unanswered(error: TelegramError) -> CallOutcome:
    """What became of a request without an answer; the error's text is left out: it holds the address, and the token."""
    cause = error.__cause__ or error
    why = type(cause).__name__
    return NotNow(why) if isinstance(cause, NEVER_LEFT) else Unknown(why)


def outcome(status: int, body: bytes) -> CallOutcome:
    """What an answer with HTTP `status` and `body` says (Bot API 10.1, "Making requests", ResponseParameters)."""
    try:
        answer = json.loads(body)
    except (ValueError, RecursionError):
        answer = None
    said = answer if isinstance(answer, dict) else {}
    if 200 <= status < 300:
        if said.get("ok") is True and "result" in said:
            return CallDone(said["result"])
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
        return RetryLater(max(float(wait), 0.0))
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


ANSWER_SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class Probe:
    """What came of the questions; `its_time` is the `Date` of an answer (RFC 9110, 6.6.1), None if it has none."""

    me: CallOutcome
    webhook: CallOutcome
    its_time: datetime | None


async def probe(token: str, base: str) -> Probe:
    """Asks the server at `base` ("" for the platform's own)."""
    async with BotApi(token, base) as api:
        me = await api.ask(lambda bot: bot.get_me())
        webhook = await api.ask(lambda bot: bot.get_webhook_info())
        its_time = await _time_of(base or PLATFORM) if isinstance(me, CallDone) else None
    return Probe(me, webhook, its_time)


async def _time_of(root: str) -> datetime | None:
    try:
        async with httpx.AsyncClient(trust_env=behind_proxy(root), timeout=ANSWER_SECONDS) as client:
            answer = await client.get(root)
        told = parsedate_to_datetime(answer.headers["Date"])
    except (httpx.HTTPError, KeyError, ValueError):
        return None
    return told if told.tzinfo else told.replace(tzinfo=UTC)
