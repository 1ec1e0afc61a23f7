"""A message as Telegram takes it: text in pieces, buttons in rows, and how a press finds its way back to its action."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from telegram.constants import InlineKeyboardButtonLimit, MessageLimit

from nudgebot.domain.model.action_codec import decode, encode
from nudgebot.domain.model.actions import Action
from nudgebot.domain.model.speech import Button

DATA_BYTES = int(InlineKeyboardButtonLimit.MAX_CALLBACK_DATA)  # 64 bytes
SHORT_LABEL = 12  # characters of a label that still leave room for a neighbour on a narrow phone
IN_A_ROW = 3
REF = re.compile(r"#([0-9]{1,18})\.([0-9]{1,3})")


@dataclass(frozen=True, slots=True)
class ButtonRef:
    """Button `number` (from 0) of letter `letter`: its action is too long to travel and is looked up."""

    letter: int
    number: int


def callback_data(button: Button, letter: int, number: int) -> str:
    """What button `number` of letter `letter` sends when it is pressed: 1-64 bytes."""
    data = encode(button.action)
    return data if len(data.encode()) <= DATA_BYTES else f"#{letter}.{number}"


def read_callback_data(data: str) -> Action | ButtonRef | None:
    """The way back; None for foreign data, and for a button of an older version."""
    if ref := REF.fullmatch(data):
        return ButtonRef(int(ref[1]), int(ref[2]))
    return decode(data)


def keyboard(buttons: Sequence[Button], letter: int) -> dict[str, list[list[dict[str, str]]]]:
    """An inline keyboard in reading order: short labels share a row, else each has its own."""
    keys = [
        {"text": button.label, "callback_data": callback_data(button, letter, number)}
        for number, button in enumerate(buttons)
    ]
    width = IN_A_ROW if all(len(button.label) <= SHORT_LABEL for button in buttons) else 1
    return {"inline_keyboard": [keys[start : start + width] for start in range(0, len(keys), width)]}


MAX_UNITS = int(MessageLimit.MAX_TEXT_LENGTH)
MAX_CAPTION = int(MessageLimit.CAPTION_LENGTH)


def units(text: str) -> int:
    """Length in UTF-16 code units, the platform's measure: an emoji counts as two."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def split(text: str, limit: int = MAX_UNITS, *, first: int | None = None) -> tuple[str, ...]:
    """`text` in pieces of at most `limit` units, none blank: cut after a line, else at a space, else anywhere.

    `first` is the limit of the first piece where that is another one.
    """
    pieces: list[str] = []
    rest = text.strip()
    while units(rest) > (room := limit if pieces or first is None else first):
        end = _reach(rest, room)
        cut = rest.rfind("\n", 0, end + 1)
        if cut <= 0:
            cut = rest.rfind(" ", 0, end + 1)
        if cut <= 0:
            cut = end
        pieces.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    if rest:
        pieces.append(rest)
    return tuple(pieces)


def _reach(text: str, limit: int) -> int:
    """How many characters of `text` fit into `limit` units."""
    used = 0
    for count, character in enumerate(text):
        used += 2 if ord(character) > 0xFFFF else 1
        if used > limit:
            return count
    return len(text)
