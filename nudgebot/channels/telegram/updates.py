"""A Telegram update, as the server sent it, becomes something heard: a line, a press, a reach, or nothing for us.

Updates are read from the raw object with our own eyes, one by one: a server may omit what we do not need, and
one update that cannot be read costs nobody else's line. Field names are those of the Telegram Bot API 10.1.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from nudgebot.channels.telegram.keyboard import ButtonRef, read_callback_data
from nudgebot.channels.telegram.raw_fields import (
    MalformedError,
    Raw,
    int_in,
    moment_in,
    name_in,
    number_in,
    object_in,
    optional_in,
    text_in,
)
from nudgebot.domain.model.speech import Incoming
from nudgebot.storage.inbox import storable

VOICE = "telegram"
KINDS = ("message", "edited_message", "callback_query", "my_chat_member")  # what getUpdates is asked for
NOT_TEXT = "\N{OBJECT REPLACEMENT CHARACTER}"  # stands for a message that is not the runner's own text
CONTENT = (  # fields of a message that carry something a person sent on purpose, and that we cannot read
    "animation",
    "audio",
    "checklist",
    "contact",
    "dice",
    "document",
    "game",
    "paid_media",
    "photo",
    "poll",
    "sticker",
    "story",
    "video",
    "video_note",
    "voice",
)
FORWARDED = ("forward_origin", "forward_date", "forward_from", "forward_from_chat", "forward_sender_name")


@dataclass(frozen=True, slots=True)
class BotName:
    """Who the bot is on the platform; `username` is "" if the server does not say."""

    id: int
    username: str = ""


@dataclass(frozen=True, slots=True)
class TextLine:
    """Somebody said something."""

    incoming: Incoming


@dataclass(frozen=True, slots=True)
class SentFile:
    """Somebody sent a file in private: by what id it is fetched, and how large the platform says that it is (bytes)."""

    incoming: Incoming
    file_id: str
    size: int


@dataclass(frozen=True, slots=True)
class Press:
    """Somebody pressed a button: `ref` says where its action is to be looked up.

    Without one, and with no action in `incoming`, the button is of an older version.
    """

    incoming: Incoming
    callback_id: str
    ref: ButtonRef | None = None


@dataclass(frozen=True, slots=True)
class Unsigned:
    """Said in a group in the name of a chat (an anonymous administrator, a channel): by whom, nobody can tell."""

    incoming: Incoming


@dataclass(frozen=True, slots=True)
class Reach:
    """A person blocked the bot, or let it speak again."""

    user: str
    reachable: bool


@dataclass(frozen=True, slots=True)
class ChatMoved:
    """A group became a supergroup, which has another number."""

    old: str
    new: str


@dataclass(frozen=True, slots=True)
class ShutOut:
    """The bot was taken out of a group."""

    chat: str


@dataclass(frozen=True, slots=True)
class NotForUs:
    """Nothing that asks for an answer; `why` is for the log."""

    why: str


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Not an update of the published form; `where` names the field."""

    where: str


HeardUpdate = TextLine | SentFile | Press | Unsigned | Reach | ChatMoved | ShutOut | NotForUs | Unreadable


def hear(raw: Raw, bot: BotName, received_at: datetime) -> HeardUpdate:
    """What update `raw` means to us; `received_at` stands in where the platform gives no date."""
    try:
        if "message" in raw:
            return _message(object_in(raw, "message"), bot, received_at, edited=False)
        if "edited_message" in raw:
            return _message(object_in(raw, "edited_message"), bot, received_at, edited=True)
        if "callback_query" in raw:
            return _press(object_in(raw, "callback_query"), received_at)
        if "my_chat_member" in raw:
            return _reach(object_in(raw, "my_chat_member"))
    except MalformedError as fault:
        return Unreadable(str(fault))
    return NotForUs("a kind we do not read")


def said_in(key: str | None) -> tuple[str, int] | None:
    """The group and the message that a key of ours names; None for a private message, a press, or no message."""
    found = re.fullmatch(r"tg:(-[0-9]+):([0-9]+)(?::[0-9]+)?", key or "")
    return (found[1], int(found[2])) if found else None


def callback_id(raw: Raw) -> str:
    """The id to answer a press with, "" if the update is not a press."""
    query = raw.get("callback_query")
    found = query.get("id") if isinstance(query, Mapping) else None
    return storable(found) if isinstance(found, str) else ""


def _message(message: Raw, bot: BotName, received_at: datetime, *, edited: bool) -> HeardUpdate:
    chat = object_in(message, "chat")
    chat_id = int_in(chat, "id")
    message_id = int_in(message, "message_id")
    kind = text_in(chat, "type") or ("private" if chat_id > 0 else "group")
    if "migrate_to_chat_id" in message:
        return ChatMoved(str(chat_id), str(int_in(message, "migrate_to_chat_id")))
    sender = optional_in(message, "from")
    unsigned = message.get("sender_chat") is not None
    if kind == "channel" or (unsigned and kind == "private"):
        return NotForUs("said by a chat, not by a person")
    if sender.get("is_bot") is True and not unsigned:  # the stand-in for an anonymous administrator is a bot
        return NotForUs("said by a bot")
    text = _said(message, edited=edited)
    if isinstance(text, NotForUs):
        return text
    addressed = kind == "private" or _is_reply_to(message, bot)
    named = _without_bot_name(text, bot)
    if named is None:
        return NotForUs("addressed to somebody else")
    line, calls_us = named
    if kind != "private" and line == NOT_TEXT:
        return NotForUs("no text in a group")
    key = f"tg:{chat_id}:{message_id}"
    at = moment_in(message, "date", received_at)
    edit_at = moment_in(message, "edit_date", at) if edited else at
    incoming = Incoming(
        key=f"{key}:{int(edit_at.timestamp())}" if edited else key,
        voice=VOICE,
        # In private the chat's id is the person's id; it is also where the answer goes.
        user="" if unsigned else str(chat_id if kind == "private" else int_in(sender, "id")),
        name="" if unsigned else name_in(sender) or name_in(chat),
        text=line,
        at=at,  # of a corrected message too: its "today" is the day on which it was first said
        chat="" if kind == "private" else str(chat_id),
        edits=key if edited else "",
        addressed=addressed or calls_us,
        door=f"https://t.me/{bot.username}?start=" if bot.username else "",
    )
    if unsigned:
        return Unsigned(incoming)
    document = optional_in(message, "document")
    if kind != "private" or edited or any(field in message for field in FORWARDED) or not text_in(document, "file_id"):
        return TextLine(incoming)
    under = "" if line == NOT_TEXT else line
    size = document.get("file_size")
    return SentFile(replace(incoming, text=under), text_in(document, "file_id"), size if isinstance(size, int) else 0)


def _said(message: Raw, *, edited: bool) -> str | NotForUs:
    """The line a message stands for."""
    if any(field in message for field in FORWARDED):
        return NOT_TEXT  # somebody else's run is not the runner's log
    for words in (message.get("text"), message.get("caption")):
        if isinstance(words, str) and (said := storable(words)).strip():
            return said
    if "location" in message:
        if edited:
            return NotForUs("a live location moved")
        place = object_in(message, "location")
        return f"location {number_in(place, 'latitude'):.6f} {number_in(place, 'longitude'):.6f}"
    if edited:
        return NotForUs("an edit without text")
    return NOT_TEXT if any(field in message for field in CONTENT) else NotForUs("a service message")


def _without_bot_name(text: str, bot: BotName) -> tuple[str, bool] | None:
    """`text` without the bot's name in it, and whether it calls the bot; None if it is for another bot."""
    head, *rest = text.strip().split(maxsplit=1)
    tail = f" {rest[0]}" if rest else ""
    if head.startswith("/"):
        command, at, name = head.partition("@")
        if at and bot.username and name.lower() != bot.username.lower():
            return None
        return command + tail, True
    if bot.username and head.lower().rstrip(",:") == f"@{bot.username.lower()}":
        return rest[0] if rest else "/help", True
    return text, False


def _is_reply_to(message: Raw, bot: BotName) -> bool:
    author = optional_in(optional_in(message, "reply_to_message"), "from")
    return author.get("id") == bot.id


def _press(query: Raw, received_at: datetime) -> Press | NotForUs:
    sender = object_in(query, "from")
    chat = optional_in(optional_in(query, "message"), "chat")
    query_id = text_in(query, "id")
    if not query_id:
        where = "callback_query.id"
        raise MalformedError(where)
    if sender.get("is_bot") is True:
        return NotForUs("pressed by a bot")
    data = text_in(query, "data")
    chat_id = chat.get("id")
    private = not isinstance(chat_id, int) or chat_id > 0  # under a message that is gone no chat is named
    pressed = read_callback_data(data)
    incoming = Incoming(
        key=f"tg:press:{query_id}",
        voice=VOICE,
        user=str(chat_id if private and isinstance(chat_id, int) else int_in(sender, "id")),
        name=name_in(sender),
        text="",
        at=received_at,  # a press carries no date; the platform keeps one for 150 s at most
        action=None if isinstance(pressed, ButtonRef) else pressed,
        chat="" if private else str(chat_id),
    )
    return Press(incoming, query_id, pressed if isinstance(pressed, ButtonRef) else None)


def _reach(change: Raw) -> Reach | ShutOut | NotForUs:
    chat = object_in(change, "chat")
    chat_id = int_in(chat, "id")
    status = text_in(object_in(change, "new_chat_member"), "status")
    if (text_in(chat, "type") or "private") != "private":
        return ShutOut(str(chat_id)) if status in ("kicked", "left") else NotForUs("came into a group")
    return Reach(str(chat_id), reachable=status not in ("kicked", "left"))
