"""Fetches the files that people send, one at a time, and hands each over with the line under it.

The update waits in the inbox meanwhile, so a kill loses no file; its reading is done in a thread of its own, so that
nobody waits for it but its sender.
"""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime
from functools import partial
from io import BytesIO
from typing import Final

from sqlalchemy import Connection

from nudgebot.app.incoming_files import address_in, read_file
from nudgebot.channels.fetching import read_address
from nudgebot.channels.telegram.bot_api import BotApi, CallOutcome, NotFound, Refused
from nudgebot.channels.telegram.dispatcher import Take, put_aside
from nudgebot.channels.telegram.outbox_worker import Sender, event_or
from nudgebot.channels.telegram.pacer import Backoff
from nudgebot.channels.telegram.threads import StoreThread
from nudgebot.channels.telegram.updates import BotName, SentFile, TextLine, hear
from nudgebot.domain.model.logbook import FileFault
from nudgebot.domain.model.speech import FileContent, Incoming
from nudgebot.storage import inbox
from nudgebot.storage.database import shared
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.statement import apart

LOOK_SECONDS: Final = 2.0  # between two looks for what another worker put aside to be fetched
TRIES: Final = 4  # for a file that does not come; then its sender is asked to send it again

_log = logging.getLogger(__name__)


class FileWorker:
    """Fetches and reads files until it is cancelled; `news` wakes it. Of several workers the one that `leads` does."""

    def __init__(
        self,
        api: BotApi,
        store: StoreThread,
        sender: Sender,
        bot: BotName,
        take: Take,
        clock: Callable[[], datetime],
        leads: Callable[[], bool] = lambda: True,
    ) -> None:
        self._api = api
        self._store = store
        self._sender = sender
        self._bot = bot
        self._take = take
        self._clock = clock
        self._leads = leads
        self._news = asyncio.Event()
        self._news.set()  # files may be left over from the last run
        self._reading = ThreadPoolExecutor(1, "files")

    def news(self) -> None:
        """There may be a file to fetch."""
        self._news.set()

    async def run(self) -> None:
        """Until cancelled."""
        backoff = Backoff()
        try:
            while True:
                await event_or(self._news, LOOK_SECONDS if shared(self._store.engine) else None)
                self._news.clear()
                if not self._leads():
                    continue
                try:
                    for update in await self._store.begin(inbox.fetching):
                        await self._one(update)
                    backoff.reset()
                except StoreFault as fault:
                    pause = backoff.next()
                    _log.error("files not taken in, again in %.1f s: %s", pause, fault)
                    self._news.set()
                    await asyncio.sleep(pause)
        finally:
            self._reading.shutdown(wait=False, cancel_futures=True)

    async def _one(self, update: inbox.Update) -> None:
        try:
            incoming = await self._read_in(update)
        except Exception as bug:  # the files behind it go on
            error = bug
            await self._store.begin(lambda conn: put_aside(conn, update, error, self._clock()))
            self._sender.news()
            return
        await self._sender.answering(lambda conn: self._hand_over(conn, update, incoming))

    async def _read_in(self, update: inbox.Update) -> Incoming:
        heard = hear(json.loads(update.raw), self._bot, self._clock())
        match heard:
            case SentFile(incoming, file_id):
                file = await self._fetched(file_id)
            case TextLine(incoming) if (address := address_in(incoming.text)) is not None:
                file = await self._in_thread(partial(read_address, address, self._clock()))
                incoming = replace(incoming, text="")
            case _:
                raise TypeError(update.key)  # nothing else is put aside to be fetched
        _log.info("the file of update %s: %s", update.key, file.value if isinstance(file, FileFault) else "read")
        return replace(incoming, file=file)

    async def _fetched(self, file_id: str) -> FileContent:
        backoff = Backoff()
        for _ in range(TRIES):
            came = await self._api.download(file_id)
            if isinstance(came, bytes):
                return await self._in_thread(partial(read_file, BytesIO(came), self._clock()))
            if isinstance(came, Refused | NotFound):
                break
            await self._wait(came, backoff)
        return FileFault.NOT_REACHED

    async def _wait(self, came: CallOutcome, backoff: Backoff) -> None:
        pause = backoff.next()
        _log.warning("getFile: %s; again in %.1f s", came, pause)
        await asyncio.sleep(pause)

    async def _in_thread(self, work: Callable[[], FileContent]) -> FileContent:
        return await asyncio.get_running_loop().run_in_executor(self._reading, work)

    def _hand_over(self, conn: Connection, update: inbox.Update, incoming: Incoming) -> None:
        now = self._clock()
        try:
            with apart(conn):
                self._take(conn, incoming, now)
                inbox.done(conn, update.key, now)
        except StoreFault:
            raise
        except Exception as error:
            put_aside(conn, update, error, now)
