"""Empties the outbox: answers before nudges, in order within a chat, no faster than the platform wants it.

A letter is marked `taken`, a nudge `sending` right before its call, and that is committed before the platform is
called; `delivery` writes what came of the call after it. A letter that was not yet on its way when we are asked to stop
is put back.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from functools import partial
from math import inf
from typing import TypeVar

from sqlalchemy import Connection

from nudgebot.app import health, scheduler
from nudgebot.channels.telegram.bot_api import BotApi
from nudgebot.channels.telegram.delivery import Delivery, named
from nudgebot.channels.telegram.logs import place
from nudgebot.channels.telegram.pacer import Backoff, Pacer
from nudgebot.channels.telegram.threads import DrawingThread, StoreThread
from nudgebot.channels.telegram.updates import VOICE
from nudgebot.storage import outbox
from nudgebot.storage.database import shared
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.letter import Letter, sent_once

LEASE = timedelta(minutes=2)  # longer than any one letter can be in our hands
SHARED_LEASE = timedelta(seconds=40)  # among several workers: a dead one's letters wait for so long
BEGUN_WITHIN = 0.3  # of it, so that the longest call ends in time; what was not begun is left to whoever takes it up
AT_A_TIME = 8  # letters taken up together, one a connection; more would let a nudge stand before an answer
IN_HAND = 64
LONGEST_WAIT_IN_HAND = 3.0  # s; a chat that must wait longer waits in the box
LOOK_AGAIN_SECONDS = 5.0  # a letter may become due without anybody telling us
GOODBYE_SECONDS = 3.0  # for calls under way when we are asked to stop

T = TypeVar("T")

_log = logging.getLogger(__name__)


class Sender:
    """Sends what is in the outbox until it is cancelled; `news` wakes it."""

    def __init__(
        self,
        api: BotApi,
        store: StoreThread,
        drawing: DrawingThread,
        pacer: Pacer,
        clock: Callable[[], datetime],
        lease: timedelta | None = None,
    ) -> None:
        self.engine = store.engine
        several = shared(store.engine)
        self._lease = lease or (SHARED_LEASE if several else LEASE)
        self._begun_within = BEGUN_WITHIN * self._lease.total_seconds() if several else inf
        self._store = store
        self._delivery = Delivery(api, store, drawing, pacer, clock, self._turn)
        self._pacer = pacer
        self._clock = clock
        self._news = asyncio.Event()
        self._stopping = asyncio.Event()
        self._in_hand: set[asyncio.Task[None]] = set()
        self._begin_by: dict[int, float] = {}  # by letter

    def news(self) -> None:
        """There may be something to send."""
        self._news.set()

    async def run(self) -> None:
        """Until cancelled; then nothing more is taken up, and the calls under way get GOODBYE_SECONDS to end."""
        emptying = asyncio.create_task(self._empty())
        try:
            await asyncio.shield(emptying)
        except asyncio.CancelledError:
            # What has been taken up must be sent or put back, so the loop ends by itself.
            self._stopping.set()
            self._news.set()
            await emptying
            raise

    async def answering(self, work: Callable[[Connection], T]) -> T:
        """Result of `work(conn)`, committed; the answers it leaves are taken up in the same commit, and sent.

        Where the caller is cancelled they stay `taken`, and are sent by the next start.
        """
        # While the platform wants a rest, what comes out of the rest is chosen at its end: answers before nudges.
        room = 0 if self._pacer.anyone_at(_seconds()) > _seconds() else self._room()

        taken = _seconds()

        def work_and_claim(conn: Connection) -> tuple[T, list[Letter]]:
            done = work(conn)
            return done, outbox.claim(conn, VOICE, self._clock(), room, self._lease, unasked=False) if room else []

        done, letters = await self._store.begin(work_and_claim)
        self._begin(letters, taken)
        if not 0 < len(letters) < room:  # else the box is looked into as they are put down
            self.news()
        return done

    async def _empty(self) -> None:
        backoff = Backoff()
        while not self._stopping.is_set():
            self._news.clear()
            try:
                wait = await self._take_up()
                backoff.reset()
            except StoreFault as fault:
                wait = backoff.next()
                _log.error("outbox not read, again in %.1f s: %s", wait, fault)
            if wait > 0 and not self._stopping.is_set():
                await event_or(self._news, wait)
        if self._in_hand:
            _, late = await asyncio.wait(self._in_hand, timeout=GOODBYE_SECONDS)
            for each in late:
                each.cancel()

    async def _take_up(self) -> float:
        """Take up what may leave now; for how long there is nothing more to do (s)."""
        pause = self._pacer.anyone_at(_seconds()) - _seconds()
        if pause > 0:
            await event_or(self._stopping, pause)
        room = self._room()
        if not room or self._stopping.is_set():
            return LOOK_AGAIN_SECONDS
        now, taken = self._clock(), _seconds()
        letters, next_try = await self._store.begin(
            lambda conn: (outbox.claim(conn, VOICE, now, room, self._lease), outbox.next_try(conn, VOICE))
        )
        self._begin(letters, taken)
        if len(letters) == room:
            return 0.0
        if next_try is None:
            return LOOK_AGAIN_SECONDS
        # A letter whose time has come and that was not handed out stands behind another one to its chat.
        left = (next_try - now).total_seconds()
        return min(left, LOOK_AGAIN_SECONDS) if left > 0 else LOOK_AGAIN_SECONDS / 10

    def _room(self) -> int:
        """How many more letters may be taken up."""
        return max(0, min(AT_A_TIME, IN_HAND - len(self._in_hand)))

    def _begin(self, letters: Iterable[Letter], taken: float) -> None:
        for letter in letters:
            self._begin_by[letter.id] = taken + self._begun_within
            task = asyncio.create_task(self._delivery.hand_over(letter))
            self._in_hand.add(task)
            task.add_done_callback(partial(self._put_down, letter.id))

    def _put_down(self, letter_id: int, task: asyncio.Task[None]) -> None:
        self._in_hand.discard(task)
        self._begin_by.pop(letter_id, None)
        self._news.set()  # the next letter to that chat may go
        error = None if task.cancelled() else task.exception()
        if error is not None:
            _log.error("a letter failed us, its lease will end: %s", place(error))

    async def _turn(self, letter: Letter, chat: int) -> bool:
        """Wait until `chat` may be written to; False where the letter went back, or is no longer true."""
        wait = self._pacer.chat_at(str(chat), _seconds()) - _seconds()
        if wait <= LONGEST_WAIT_IN_HAND:
            await event_or(self._stopping, wait)
            now = _seconds()
            wait = max(0.0, self._pacer.anyone_at(now) - now)
            self._pacer.took(str(chat), now + wait)
            if wait <= LONGEST_WAIT_IN_HAND:
                await event_or(self._stopping, wait)
        if wait > LONGEST_WAIT_IN_HAND or self._stopping.is_set():
            at = self._clock() + timedelta(seconds=wait)
            await self._delivery.write(lambda conn: outbox.try_at(conn, letter.id, at, letter.attempts))
            return False
        if _seconds() > self._begin_by.get(letter.id, inf):
            _log.warning("%s: we were held up, and leave it to whoever takes it up", named(letter))
            return False
        if letter.nudge_kind is None and not sent_once(letter.kind):
            return True
        return await self._store.begin(lambda conn: self._goes_out(conn, letter))

    def _goes_out(self, conn: Connection, letter: Letter) -> bool:
        """Whether a nudge may still leave; then it is marked as handed to the network."""
        now = self._clock()
        why = scheduler.withdrawn(conn, letter, now)
        if why is None:
            return outbox.calling(conn, letter.id, letter.attempts)
        outbox.not_sent(conn, letter.id, now, why)
        _log.info("%s: not sent, %s", named(letter), why)
        health.LETTERS.labels(letter.kind, why.value).inc()
        return False


def _seconds() -> float:
    """The event loop's clock: it only goes forward, whatever happens to the one on the wall."""
    return asyncio.get_running_loop().time()


async def event_or(event: asyncio.Event, seconds: float | None) -> None:
    """Return when `event` is set, at the latest after `seconds`; None: however long it takes."""
    if seconds is not None and seconds <= 0:
        return
    try:
        await asyncio.wait_for(event.wait(), seconds)
    except TimeoutError:
        return
