"""Empties the outbox: answers before nudges, in order within a chat, no faster than the platform wants it.

A letter is marked `taken`, a nudge `sending` right before its call, and that is committed before the platform is
called; what came of the call is written after it. A letter that was not yet on its way when we are asked to stop is put
back.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Iterable, Sequence
from datetime import datetime, timedelta
from functools import partial
from math import inf
from typing import TypeVar

from sqlalchemy import Connection
from telegram import Bot, InlineKeyboardMarkup, InputFile, Message, ReactionTypeEmoji, ReplyParameters

from nudgebot.app import group_chat, metrics, scheduler
from nudgebot.app.attachments import CalendarNow, ExportNow, PictureNow, read_attached, read_picture
from nudgebot.channels.telegram.backoff import Backoff
from nudgebot.channels.telegram.bot_api import (
    BotApi,
    CallDone,
    CallOutcome,
    Conflict,
    Moved,
    NotFound,
    NotNow,
    Refused,
    RetryLater,
    Unknown,
)
from nudgebot.channels.telegram.drawing_thread import DrawingThread
from nudgebot.channels.telegram.keyboard import keyboard
from nudgebot.channels.telegram.logs import place
from nudgebot.channels.telegram.message_splitting import MAX_CAPTION, MAX_UNITS, split
from nudgebot.channels.telegram.pacer import Pacer
from nudgebot.channels.telegram.store_thread import StoreThread
from nudgebot.channels.telegram.updates import VOICE, said_in
from nudgebot.domain.messages.plan.progress import NOT_DRAWN, NOT_TAKEN
from nudgebot.domain.model.speech import REACTION
from nudgebot.storage import outbox
from nudgebot.storage.database import StoreFault, reading, shared

LEASE = timedelta(minutes=2)  # longer than any one letter can be in our hands
SHARED_LEASE = timedelta(seconds=40)  # among several workers: a dead one's letters wait for so long
BEGUN_WITHIN = 0.3  # of it, so that the longest call ends in time; what was not begun is left to whoever takes it up
AT_A_TIME = 8  # letters taken up together, one a connection; more would let a nudge stand before an answer
IN_HAND = 64
LONGEST_WAIT_IN_HAND = 3.0  # s; a chat that must wait longer waits in the box
LOOK_AGAIN_SECONDS = 5.0  # a letter may become due without anybody telling us
GOODBYE_SECONDS = 3.0  # for calls under way when we are asked to stop
LONGEST_RETRY_SECONDS = 30.0
TOKEN_RETRY_SECONDS = 30.0
FORBIDDEN = 403
PICTURE_NAME = "photo"

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
        self._api = api
        self._store = store
        self._drawing = drawing
        self._pacer = pacer
        self._clock = clock
        self._news = asyncio.Event()
        self._stopping = asyncio.Event()
        self._in_hand: set[asyncio.Task[None]] = set()
        self._begin_by: dict[int, float] = {}  # by letter
        self._knows_signs = True  # until the server says otherwise
        self._moved: dict[int, int] = {}  # groups that became supergroups: old id, new id

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

        def work_and_claim(conn: Connection) -> tuple[T, list[outbox.Letter]]:
            done = work(conn)
            return done, outbox.claim(conn, VOICE, self._clock(), room, self._lease, unasked=False) if room else []

        done, letters = await self._store.begin(work_and_claim)
        self._begin(letters, taken)
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

    def _begin(self, letters: Iterable[outbox.Letter], taken: float) -> None:
        for letter in letters:
            self._begin_by[letter.id] = taken + self._begun_within
            task = asyncio.create_task(self._hand_over(letter))
            self._in_hand.add(task)
            task.add_done_callback(partial(self._put_down, letter.id))

    def _put_down(self, letter_id: int, task: asyncio.Task[None]) -> None:
        self._in_hand.discard(task)
        self._begin_by.pop(letter_id, None)
        self._news.set()  # the next letter to that chat may go
        error = None if task.cancelled() else task.exception()
        if error is not None:
            _log.error("a letter failed us, its lease will end: %s", place(error))

    async def _hand_over(self, letter: outbox.Letter) -> None:
        """Send `letter` and write down what came of it."""
        chat = int(letter.chat or letter.user)
        if letter.kind == REACTION:
            await self._react(letter, chat)
            return
        if letter.file is not None:
            await self._hand_out(letter, chat)
            return
        text, picture = await self._drawn(letter) if letter.picture else (letter.text, None)
        pieces = split(text, first=MAX_CAPTION if picture else MAX_UNITS)
        await self._send_pieces(letter, chat, pieces, picture)

    async def _hand_out(self, letter: outbox.Letter, chat: int) -> None:
        """Send the file of a letter, written as it leaves; where the server takes none, what is in it as text."""
        found = await self._store.run(lambda: self._read_attached(letter))
        if found is not None and not await self._turn(letter, chat):
            return
        came: CallOutcome = NotNow("nobody is left to hand it to")
        if found is not None:
            file = InputFile(found.file, found.name)
            came = await self._api.ask(lambda bot: bot.send_document(chat, file, caption=letter.text))
        if found is None or _takes_only_words(came):
            _log.warning("sendDocument: %s; as text", came)
            pieces = [piece for text in (found.texts if found else ()) for piece in split(text)]
            await self._send_pieces(letter, chat, pieces)
            return
        if isinstance(came, RetryLater):
            self._pacer.held(str(chat), _seconds(), came.seconds)
        self._log_outcome(letter, came)
        await self._write(lambda conn: self._settle(conn, letter, came))

    def _read_attached(self, letter: outbox.Letter) -> ExportNow | CalendarNow | None:
        with reading(self._store.engine) as conn:
            return read_attached(conn, letter)

    async def _send_pieces(
        self, letter: outbox.Letter, chat: int, pieces: Sequence[str], picture: bytes | None = None
    ) -> None:
        """Send a letter piece by piece, the first under its picture, and write down what came of it."""
        if not pieces:
            await self._write(lambda conn: outbox.not_sent(conn, letter.id, self._clock(), "nothing to say"))
            return
        came: CallOutcome = NotNow("not sent")
        for number, piece in enumerate(pieces, start=1):
            if not await self._turn(letter, chat):
                return
            buttons = letter.buttons if number == len(pieces) else ()
            keys = InlineKeyboardMarkup.de_json(keyboard(buttons, letter.id)) if buttons else None
            first = number == 1
            came = await self._send(chat, piece, picture if first else None, keys, _under(letter) if first else None)
            if not isinstance(came, CallDone):
                break
        self._log_outcome(letter, came)
        await self._write(lambda conn: self._settle(conn, letter, came))

    async def _drawn(self, letter: outbox.Letter) -> tuple[str, bytes | None]:
        """The words of a letter and its picture, both as things stand now; no words where nobody is left to show."""
        now = self._clock()
        found = await self._store.run(lambda: self._read_picture(letter, now))
        if found is None:
            return "", None
        picture = None if found.shown is None else await self._drawing.draw(found.shown)
        if found.shown is not None and picture is None:
            return f"{found.text}\n{NOT_DRAWN}", None
        return found.text, picture

    def _read_picture(self, letter: outbox.Letter, now: datetime) -> PictureNow | None:
        with reading(self._store.engine) as conn:
            return read_picture(conn, letter, now)

    async def _react(self, letter: outbox.Letter, chat: int) -> None:
        """Put a sign under a message; where the server has no such signs, or no such message, nothing is lost."""
        where = said_in(letter.reply_to)
        came: CallOutcome = NotNow("nothing to put a sign under")
        if where is not None and self._knows_signs:
            if not await self._turn(letter, chat):
                return
            on, under, sign = self._moved.get(chat, chat), where[1], [ReactionTypeEmoji(letter.text)]
            came = await self._api.ask(lambda bot: bot.set_message_reaction(on, under, sign))
            if isinstance(came, NotFound):
                self._knows_signs = False
                _log.warning("setMessageReaction: the server does not know it; doing without")
        if isinstance(came, CallDone | RetryLater):
            await self._write(lambda conn: self._settle(conn, letter, came))
        else:
            await self._write(lambda conn: outbox.not_sent(conn, letter.id, self._clock(), "no sign was set"))

    async def _turn(self, letter: outbox.Letter, chat: int) -> bool:
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
            await self._write(lambda conn: outbox.try_at(conn, letter.id, at, letter.attempts))
            return False
        if _seconds() > self._begin_by.get(letter.id, inf):
            _log.warning("%s: we were held up, and leave it to whoever takes it up", _named(letter))
            return False
        if letter.nudge_kind is None and not outbox.sent_once(letter.kind):
            return True
        return await self._store.begin(lambda conn: self._goes_out(conn, letter))

    def _goes_out(self, conn: Connection, letter: outbox.Letter) -> bool:
        """Whether a nudge may still leave; then it is marked as handed to the network."""
        now = self._clock()
        why = scheduler.withdrawn(conn, letter, now)
        if why is None:
            return outbox.calling(conn, letter.id, letter.attempts)
        outbox.not_sent(conn, letter.id, now, why)
        _log.info("%s: not sent, %s", _named(letter), why)
        metrics.LETTERS.labels(letter.kind, why.value).inc()
        return False

    async def _send(
        self,
        chat: int,
        text: str,
        picture: bytes | None,
        keys: InlineKeyboardMarkup | None,
        under: ReplyParameters | None,
    ) -> CallOutcome:
        to = self._moved.get(chat, chat)

        def call(bot: Bot) -> Awaitable[Message]:
            if picture is None:
                return bot.send_message(to, text, reply_markup=keys, reply_parameters=under)
            return bot.send_photo(to, picture, text, reply_markup=keys, reply_parameters=under, filename=PICTURE_NAME)

        came = await self._api.ask(call)
        if isinstance(came, Moved) and chat not in self._moved:
            self._moved[chat] = came.chat_id
            return await self._send(chat, text, picture, keys, None)
        if picture is not None and _takes_only_words(came):
            _log.warning("sendPhoto: %s; the words go alone", came)
            return await self._send(chat, f"{text}\n{NOT_TAKEN}", None, keys, under)
        if isinstance(came, RetryLater):
            self._pacer.held(str(chat), _seconds(), came.seconds)
        return came

    def _settle(self, conn: Connection, letter: outbox.Letter, came: CallOutcome) -> None:
        """Write down what came of the call, in the store's words."""
        now = self._clock()
        match came:
            case CallDone(result):
                outbox.delivered(conn, letter.id, now, _message_id(result))
            case RetryLater(seconds):
                outbox.try_at(conn, letter.id, now + timedelta(seconds=seconds), letter.attempts)
            case Refused(status, why) if status == FORBIDDEN:
                outbox.refused(conn, letter.id, now, why)
                if not letter.chat and (where := said_in(letter.reply_to)) is not None:
                    group_chat.say_not_reached(conn, letter, where[0], now)
            case Refused(status, why):
                outbox.not_sent(conn, letter.id, now, f"{status} {why}", outbox.LetterState.REFUSED)
            case Unknown() if outbox.sent_once(letter.kind):
                outbox.unknown(conn, letter.id, now)
            case NotFound() | Conflict() | Moved():
                outbox.try_at(conn, letter.id, now + timedelta(seconds=TOKEN_RETRY_SECONDS), letter.attempts)
            case Unknown() | NotNow():
                # Attempts that a kill cut off count as well, so the longest pause is short.
                pause = min(2.0 ** min(letter.attempts - 1, 10), LONGEST_RETRY_SECONDS)
                outbox.try_at(conn, letter.id, now + timedelta(seconds=pause), letter.attempts)

    async def _write(self, work: Callable[[Connection], None]) -> None:
        """Write an outcome, for as long as it takes: a sent letter whose outcome is lost would be sent again."""
        backoff = Backoff()
        while True:
            try:
                await self._store.begin(work)
            except StoreFault as fault:
                pause = backoff.next()
                _log.error("outcome of a letter not written, again in %.1f s: %s", pause, fault)
                await asyncio.sleep(pause)
            else:
                return

    def _log_outcome(self, letter: outbox.Letter, came: CallOutcome) -> None:
        metrics.LETTERS.labels(letter.kind, type(came).__name__).inc()
        if isinstance(came, CallDone):
            since = letter.not_before if letter.attempts == 1 else letter.put_at
            metrics.count_letter(since, self._clock(), asked_for=not outbox.sent_once(letter.kind))
            _log.info("%s: sent", _named(letter))
        else:
            _log.warning("%s, attempt %d: %s", _named(letter), letter.attempts, came)


def _named(letter: outbox.Letter) -> str:
    """What the log calls a letter; without a runner where nothing is kept of who gets it."""
    to = f" to runner {letter.runner_id}" if letter.runner_id else ""
    day = f" for {letter.for_day}" if letter.for_day else ""
    return f"letter {letter.id}{to} {letter.kind}{day}"


def _under(letter: outbox.Letter) -> ReplyParameters | None:
    """In a group an answer hangs under the message it answers, as long as that is still there."""
    where = said_in(letter.reply_to) if letter.chat else None
    return None if where is None else ReplyParameters(where[1], allow_sending_without_reply=True)


def _takes_only_words(came: CallOutcome) -> bool:
    """Whether the server refused a picture or a file and may still take words, which say the same."""
    return isinstance(came, NotFound) or (isinstance(came, Refused) and came.status != FORBIDDEN)


def _message_id(result: object) -> str:
    return str(result.get("message_id", "")) if isinstance(result, dict) else ""


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
