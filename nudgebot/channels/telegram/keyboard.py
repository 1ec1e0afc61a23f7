"""Buttons under a Telegram message: how they are laid out, and how a press finds its way back to its line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from telegram.constants import InlineKeyboardButtonLimit

from nudgebot.domain.model.speech import Button

DATA_BYTES = int(InlineKeyboardButtonLimit.MAX_CALLBACK_DATA)  # 64 bytes
SHORT_LABEL = 12  # characters of a label that still leave room for a neighbour on a narrow phone
IN_A_ROW = 3
REF = re.compile(r"#([0-9]{1,18})\.([0-9]{1,3})")


@dataclass(frozen=True, slots=True)
class Pressed:
    """The line of a button and the token of its question, as its callback data carried them."""

    says: str
    about: str


@dataclass(frozen=True, slots=True)
class ButtonRef:
    """Button `number` (from 0) of letter `letter`: its line is too long to travel and is looked up."""

    letter: int
    number: int


def callback_data(button: Button, letter: int, number: int) -> str:
    """What button `number` of letter `letter` sends when it is pressed: 1-64 bytes."""
    data = f"{button.about}\n{button.says}"
    fits = len(data.encode()) <= DATA_BYTES and "\n" not in button.about
    return data if fits else f"#{letter}.{number}"


def read_callback_data(data: str) -> Pressed | ButtonRef:
    """The way back; foreign data is taken for a line."""
    if ref := REF.fullmatch(data):
        return ButtonRef(int(ref[1]), int(ref[2]))
    about, newline, says = data.partition("\n")
    return Pressed(says, about) if newline else Pressed(data, "")


def keyboard(buttons: Sequence[Button], letter: int) -> dict[str, list[list[dict[str, str]]]]:
    """An inline keyboard in reading order: short labels share a row, else each has its own."""
    keys = [
        {"text": button.label, "callback_data": callback_data(button, letter, number)}
        for number, button in enumerate(buttons)
    ]
    width = IN_A_ROW if all(len(button.label) <= SHORT_LABEL for button in buttons) else 1
    return {"inline_keyboard": [keys[start : start + width] for start in range(0, len(keys), width)]}
