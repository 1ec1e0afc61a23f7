"""Fetches updates, or is brought them, and stores them before they are confirmed: none is ever lost.

The platform forgets an update once getUpdates is called with an offset above its id, so the next call waits for
the commit. A failure of any kind repeats the same offset.
"""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Callable, Mapping
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.channels.telegram.bot_api import (
    BotApi,
    CallDone,
    CallOutcome,
    Conflict,
    NotFound,
    OptionalMethods,
    RetryLater,
)
from nudgebot.channels.telegram.pacer import Backoff
from nudgebot.channels.telegram.raw_fields import Raw
from nudgebot.channels.telegram.threads import StoreThread
from nudgebot.channels.telegram.updates import (
    KINDS,
    VOICE,
    BotName,
    Press,
    Reach,
    SentFile,
    TextLine,
    callback_id,
    hear,
)
from nudgebot.storage import inbox
from nudgebot.storage.faults import StoreFault

POLL_SECONDS = 50  # the longest that the platform waits (official server, Client.cpp)
LOOK_SECONDS = 0.5  # between two looks of a worker that stands by, whether it leads
AT_LEAST_SECONDS = 0.25  # between polls that bring nothing, for a server that does not wait

_log = logging.getLogger(__name__)


class TokenRefusedError(Exception):
    """The server does not accept the token (any more)."""


class Receiver:
    """Polls for as long as it is let, or keeps what a webhook brings.

    `polling` is called when the first poll succeeded, `stored` after news. Among several workers only the one that
    `leads` polls; one that stands by is ready, too.
    """

    def __init__(
        self,
        api: BotApi,
        store: StoreThread,
        bot: BotName,
        optional: OptionalMethods,
        clock: Callable[[], datetime],
        *,
        polling: Callable[[], None],
        stored: Callable[[], None],
        leads: Callable[[], bool] = lambda: True,
    ) -> None:
        self._api = api
        self._store = store
        self._bot = bot
        self._optional = optional
        self._clock = clock
        self._polling = polling
        self._stored = stored
        self._leads = leads
        # Not the newest stored id + 1: ids may start again, and what is known already is left out by its key.
        self._offset: int | None = None
        self._highest: int | None = None  # number that was seen since the start
        self._answers: set[asyncio.Task[None]] = set()

    async def run(self) -> None:
        """Until cancelled; raises TokenRefusedError."""
        backoff = Backoff()
        seconds = 0  # the first poll returns at once, so that we can say that we poll
        while True:
            if not self._leads():
                self._polling()
                self._offset = None  # whoever leads meanwhile confirms what it stored
                seconds = 0
                await asyncio.sleep(LOOK_SECONDS)
                continue
            begun = asyncio.get_running_loop().time()
            came = await self._api.poll(self._offset, seconds, KINDS)
            if not isinstance(came, CallDone):
                await self._failed(came, backoff)
                continue
            if seconds == 0:
                self._polling()
                seconds = POLL_SECONDS
                if not came.result:
                    continue
            if not came.result:
                backoff.reset()
                await asyncio.sleep(begun + AT_LEAST_SECONDS - asyncio.get_running_loop().time())
                continue
            try:
                new = await self.keep(came.result)
            except StoreFault as fault:
                _log.error("updates not stored, asking for them again: %s", fault)
                await asyncio.sleep(backoff.next())
                continue
            if new:
                backoff.reset()
            else:  # a server that repeats itself must not keep us busy
                await asyncio.sleep(backoff.next())

    async def _failed(self, came: CallOutcome, backoff: Backoff) -> None:
        if isinstance(came, NotFound) and isinstance(await self._api.ask(lambda bot: bot.get_me()), NotFound):
            raise TokenRefusedError
        pause = max(backoff.next(), came.seconds if isinstance(came, RetryLater) else 0.0)
        why = "somebody else polls with this token" if isinstance(came, Conflict) else came
        _log.warning("getUpdates: %s; again in %.1f s", why, pause)
        await asyncio.sleep(pause)

    async def keep(self, result: object) -> int:
        """Store the updates in `result`, then move on; how many were new. Raises StoreFault."""
        given = result if isinstance(result, list) else [result]
        raws = [raw for raw in given if isinstance(raw, dict) and type(raw.get("update_id")) is int]
        if len(raws) < len(given):
            _log.error("%d things without an update_id in what the server brought", len(given) - len(raws))
        if not raws:
            return 0
        raws.sort(key=lambda raw: raw["update_id"])  # as they were said, whatever order a server hands them out in
        now = self._clock()
        updates = [_update(raw, self._bot, now) for raw in raws]
        # Numbers only grow; the first ones after a start may be repetitions of what was not confirmed.
        low = updates if self._highest is None or raws[0]["update_id"] <= self._highest else []

        def store(conn: Connection) -> tuple[int, list[str]]:
            again = [update.key for update in low if inbox.used_before(conn, update.key)]
            return inbox.receive(conn, updates, now), again

        new, again = await self._store.begin(store)
        if again and new:
            _log.warning("update numbers begin again: %s was used before for another one", again[0].partition("#")[0])
        self._highest = max(raws[-1]["update_id"], self._highest or 0)
        self._offset = raws[-1]["update_id"] + 1
        self._stored()
        for raw in raws:
            if query_id := callback_id(raw):
                self._answer(query_id)
        return new

    def _answer(self, query_id: str) -> None:
        """Take the waiting sign off a pressed button; what it asks for is answered by a message of its own."""
        answer = asyncio.create_task(
            self._optional.ask("answerCallbackQuery", lambda bot: bot.answer_callback_query(query_id))
        )
        self._answers.add(answer)
        answer.add_done_callback(self._answers.discard)


def _update(raw: Mapping[str, object], bot: BotName, now: datetime) -> inbox.Update:
    chat, user = _whose(raw, bot, now)
    text = inbox.storable(json.dumps(raw, ensure_ascii=False, sort_keys=True))
    return inbox.Update(inbox.keyed(f"tg:{bot.id}:{raw['update_id']}", text), VOICE, chat, user, text)


def _whose(raw: Raw, bot: BotName, now: datetime) -> tuple[str, str]:
    """The chat and the person an update belongs to, as far as it can be told."""
    match hear(raw, bot, now):
        case TextLine(incoming) | Press(incoming) | SentFile(incoming):
            return incoming.chat, incoming.user
        case Reach(user):
            return "", user
        case _:
            return "", ""
