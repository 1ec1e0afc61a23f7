"""One letter on its way: drawn or written as it leaves, called for, and what came of the call written down."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from datetime import datetime, timedelta

from sqlalchemy import Connection
from telegram import Bot, InlineKeyboardMarkup, InputFile, Message, ReactionTypeEmoji, ReplyParameters

from nudgebot.app import group_chat, health
from nudgebot.app.attachments import CalendarNow, ExportNow, PictureNow, read_attached, read_picture
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
from nudgebot.channels.telegram.keyboard import MAX_CAPTION, MAX_UNITS, keyboard, split
from nudgebot.channels.telegram.pacer import Backoff, Pacer
from nudgebot.channels.telegram.threads import DrawingThread, StoreThread
from nudgebot.channels.telegram.updates import said_in
from nudgebot.domain.messages.plan.plan_pages import NOT_DRAWN, NOT_TAKEN
from nudgebot.domain.model.speech import REACTION
from nudgebot.storage import outbox
from nudgebot.storage.database import reading
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.letter import Letter, LetterState, sent_once

LONGEST_RETRY_SECONDS = 30.0
TOKEN_RETRY_SECONDS = 30.0
FORBIDDEN = 403
PICTURE_NAME = "photo"

_log = logging.getLogger(__name__)


class Delivery:
    """Hands letters to the platform; `turn` waits until a chat may be written to, False where the letter may not go."""

    def __init__(
        self,
        api: BotApi,
        store: StoreThread,
        drawing: DrawingThread,
        pacer: Pacer,
        clock: Callable[[], datetime],
        turn: Callable[[Letter, int], Awaitable[bool]],
    ) -> None:
        self._api = api
        self._store = store
        self._drawing = drawing
        self._pacer = pacer
        self._clock = clock
        self._turn = turn
        self._knows_signs = True  # until the server says otherwise
        self._moved: dict[int, int] = {}  # groups that became supergroups: old id, new id

    async def hand_over(self, letter: Letter) -> None:
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

    async def _hand_out(self, letter: Letter, chat: int) -> None:
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
            self._pacer.held(str(chat), asyncio.get_running_loop().time(), came.seconds)
        self._log_outcome(letter, came)
        await self.write(lambda conn: self._settle(conn, letter, came))

    def _read_attached(self, letter: Letter) -> ExportNow | CalendarNow | None:
        with reading(self._store.engine) as conn:
            return read_attached(conn, letter)

    async def _send_pieces(
        self, letter: Letter, chat: int, pieces: Sequence[str], picture: bytes | None = None
    ) -> None:
        """Send a letter piece by piece, the first under its picture, and write down what came of it."""
        if not pieces:
            await self.write(lambda conn: outbox.not_sent(conn, letter.id, self._clock(), "nothing to say"))
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
        await self.write(lambda conn: self._settle(conn, letter, came))

    async def _drawn(self, letter: Letter) -> tuple[str, bytes | None]:
        """The words of a letter and its picture, both as things stand now; no words where nobody is left to show."""
        now = self._clock()
        found = await self._store.run(lambda: self._read_picture(letter, now))
        if found is None:
            return "", None
        picture = None if found.shown is None else await self._drawing.draw(found.shown)
        if found.shown is not None and picture is None:
            return f"{found.text}\n{NOT_DRAWN}", None
        return found.text, picture

    def _read_picture(self, letter: Letter, now: datetime) -> PictureNow | None:
        with reading(self._store.engine) as conn:
            return read_picture(conn, letter, now)

    async def _react(self, letter: Letter, chat: int) -> None:
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
            await self.write(lambda conn: self._settle(conn, letter, came))
        else:
            await self.write(lambda conn: outbox.not_sent(conn, letter.id, self._clock(), "no sign was set"))

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
            self._pacer.held(str(chat), asyncio.get_running_loop().time(), came.seconds)
        return came

    def _settle(self, conn: Connection, letter: Letter, came: CallOutcome) -> None:
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
                outbox.not_sent(conn, letter.id, now, f"{status} {why}", LetterState.REFUSED)
            case Unknown() if sent_once(letter.kind):
                outbox.unknown(conn, letter.id, now)
            case NotFound() | Conflict() | Moved():
                outbox.try_at(conn, letter.id, now + timedelta(seconds=TOKEN_RETRY_SECONDS), letter.attempts)
            case Unknown() | NotNow():
                # Attempts that a kill cut off count as well, so the longest pause is short.
                pause = min(2.0 ** min(letter.attempts - 1, 10), LONGEST_RETRY_SECONDS)
                outbox.try_at(conn, letter.id, now + timedelta(seconds=pause), letter.attempts)

    async def write(self, work: Callable[[Connection], None]) -> None:
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

    def _log_outcome(self, letter: Letter, came: CallOutcome) -> None:
        health.LETTERS.labels(letter.kind, type(came).__name__).inc()
        if isinstance(came, CallDone):
            since = letter.not_before if letter.attempts == 1 else letter.put_at
            health.count_letter(since, self._clock(), asked_for=not sent_once(letter.kind))
            _log.info("%s: sent", named(letter))
        else:
            _log.warning("%s, attempt %d: %s", named(letter), letter.attempts, came)


def named(letter: Letter) -> str:
    """What the log calls a letter; without a runner where nothing is kept of who gets it."""
    to = f" to runner {letter.runner_id}" if letter.runner_id else ""
    day = f" for {letter.for_day}" if letter.for_day else ""
    return f"letter {letter.id}{to} {letter.kind}{day}"


def _under(letter: Letter) -> ReplyParameters | None:
    """In a group an answer hangs under the message it answers, as long as that is still there."""
    where = said_in(letter.reply_to) if letter.chat else None
    return None if where is None else ReplyParameters(where[1], allow_sending_without_reply=True)


def _takes_only_words(came: CallOutcome) -> bool:
    """Whether the server refused a picture or a file and may still take words, which say the same."""
    return isinstance(came, NotFound) or (isinstance(came, Refused) and came.status != FORBIDDEN)


def _message_id(result: object) -> str:
    return str(result.get("message_id", "")) if isinstance(result, dict) else ""
