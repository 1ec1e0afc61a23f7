"""What a request to the Bot API may hold, for the methods this bot uses.

Names, types and limits are copied by hand from the published description of the Bot API 10.1 (core.telegram.org/
bots/api, read through a machine-readable copy of June 2026): sendMessage, setMessageReaction, answerCallbackQuery,
setMyCommands, getUpdates, deleteWebhook, getMe, InlineKeyboardMarkup, BotCommand. sendPhoto, sendDocument and getFile
are from memory, held against the parameters of the Bot API library.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

FIELDS: dict[str, frozenset[str]] = {
    "getMe": frozenset(),
    "getUpdates": frozenset({"offset", "limit", "timeout", "allowed_updates"}),
    "getFile": frozenset({"file_id"}),
    "deleteWebhook": frozenset({"drop_pending_updates"}),
    "setMyCommands": frozenset({"commands", "scope", "language_code"}),
    "answerCallbackQuery": frozenset({"callback_query_id", "text", "show_alert", "url", "cache_time"}),
    "setMessageReaction": frozenset({"chat_id", "message_id", "reaction", "is_big"}),
    "sendMessage": frozenset(
        {"chat_id", "text", "parse_mode", "entities", "reply_markup", "reply_parameters", "disable_notification"}
    ),
    "sendDocument": frozenset(
        {
            "chat_id", "document", "thumbnail", "caption", "parse_mode", "caption_entities",
            "disable_content_type_detection", "reply_markup", "reply_parameters", "disable_notification",
        }
    ),
    "sendPhoto": frozenset(
        {
            "chat_id", "photo", "caption", "parse_mode", "caption_entities", "show_caption_above_media", "has_spoiler",
            "reply_markup", "reply_parameters", "disable_notification",
        }
    ),
}  # fmt: skip
COMMAND = re.compile(r"[a-z0-9_]{1,32}")


def units(text: str) -> int:
    """UTF-16 code units, in which the platform measures text."""
    return sum(2 if ord(character) > 0xFFFF else 1 for character in text)


def breaches(method: str, fields: Mapping[str, str]) -> list[str]:
    """What is wrong with a request, one line each; nothing for a right one."""
    if method not in FIELDS:
        return [f"{method}: no such method in the table"]
    wrong = [f"{method}: unknown field {name}" for name in sorted(fields.keys() - FIELDS[method])]
    match method:
        case "sendMessage":
            wrong += _send_message(method, fields)
            if not fields.get("text", "").strip() or units(fields.get("text", "")) > 4096:
                wrong.append("sendMessage: text is not 1-4096 units")
        case "sendPhoto":
            wrong += _send_message(method, fields)
            if not fields.get("photo"):
                wrong.append("sendPhoto: photo is missing")
            if units(fields.get("caption", "")) > 1024:
                wrong.append("sendPhoto: caption is longer than 1024 units")
        case "sendDocument":
            wrong += _send_message(method, fields)
            if not fields.get("document"):
                wrong.append("sendDocument: document is missing")
            if units(fields.get("caption", "")) > 1024:
                wrong.append("sendDocument: caption is longer than 1024 units")
        case "answerCallbackQuery":
            if not fields.get("callback_query_id"):
                wrong.append("answerCallbackQuery: callback_query_id is missing")
            if units(fields.get("text", "")) > 200:
                wrong.append("answerCallbackQuery: text is longer than 200")
        case "setMessageReaction":
            signs = json.loads(fields.get("reaction", "[]"))
            # "Bots can't use paid reactions", and a bot sets at most one on a message.
            if len(signs) > 1 or any(sign.keys() != {"type", "emoji"} or sign["type"] != "emoji" for sign in signs):
                wrong.append("setMessageReaction: reaction is not one ReactionTypeEmoji")
        case "setMyCommands":
            wrong += _commands(json.loads(fields.get("commands", "[]")))
        case "getUpdates":
            if not 1 <= int(fields.get("limit", "100")) <= 100:
                wrong.append("getUpdates: limit is not 1-100")
            if not 0 <= int(fields.get("timeout", "0")) <= 50:
                wrong.append("getUpdates: timeout is not 0-50 s")
    return wrong


def _send_message(method: str, fields: Mapping[str, str]) -> list[str]:
    wrong = []
    if not re.fullmatch(r"-?[1-9][0-9]*", fields.get("chat_id", "")):
        wrong.append(f"{method}: chat_id is no id")
    if "reply_markup" in fields:
        for row in json.loads(fields["reply_markup"])["inline_keyboard"]:
            for key in row:
                if set(key) != {"text", "callback_data"} or not key["text"]:
                    wrong.append(f"{method}: a key needs a label and callback_data")
                elif not 1 <= len(key["callback_data"].encode()) <= 64:
                    wrong.append(f"{method}: callback_data is not 1-64 bytes")
    return wrong


def _commands(commands: list[dict[str, str]]) -> list[str]:
    wrong = [] if len(commands) <= 100 else ["setMyCommands: more than 100 commands"]
    wrong += [
        f"setMyCommands: {command}"
        for command in commands
        if not COMMAND.fullmatch(command["command"]) or not 1 <= len(command["description"]) <= 256
    ]
    return wrong
