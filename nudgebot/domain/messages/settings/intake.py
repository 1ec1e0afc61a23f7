"""The intake's questions, said, and what a runner wants to hear unasked, in words."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import time
from functools import cache
from importlib import resources
from typing import Final

from nudgebot.domain.messages.common import DAY_NAMES, and_list, short_day
from nudgebot.domain.model.actions import ChosenValue, Reply
from nudgebot.domain.model.intake import Intake, Quiet
from nudgebot.domain.model.nudged import AS_USUAL, DayPart, NudgeAmount, NudgeWish
from nudgebot.domain.model.speech import QUESTION, Button, Say
from nudgebot.domain.profile import places


@dataclass(frozen=True, slots=True)
class Prompt:
    """A question: its text, its buttons as (label, canonical answer), and an example of an answer that can be read.

    `name` is what its setting is called, "" for what is none; `also` are other names that a line can begin with.
    """

    text: str
    example: str
    buttons: Sequence[tuple[str, str]] = ()
    name: str = ""
    also: Sequence[str] = ()


@cache
def prompts() -> Mapping[str, Prompt]:
    """Every question by its id: the rows of `intake.toml`, and the one about messages, whose choices are values."""
    text = resources.files("nudgebot.domain.messages.settings").joinpath("intake.toml").read_text("utf-8")
    choices = [(label, wish.text) for label, wish in OPTIONS]
    about_messages = Prompt(HOW_MUCH, "fewer, once a week, mornings, evenings", choices, "messages")
    return {asks: Prompt(**row) for asks, row in tomllib.loads(text).items()} | {"nudges": about_messages}


def value_of(asks: str, line: str) -> str:
    """The canonical answer of the button that says `line`, else `line` itself."""
    said = line.strip(" .!").casefold()
    return next((value for label, value in prompts()[asks].buttons if label.casefold() == said), line)


def question(asks: str, told: Intake, *, name: str = "", wrong: bool = False, guess: str = "") -> Say:
    """The question `asks`; `wrong` where the last line was no answer to it, `guess` a likely country's code."""
    prompt = prompts()[asks]
    buttons = prompt.buttons
    if asks == "long_day":
        opened = [day for day, minutes in zip(DAY_NAMES, told.days or (), strict=False) if minutes]
        buttons = tuple((day, day[:3].lower()) for day in reversed(opened))
    if asks == "country" and guess:
        buttons = ((places.country_name(guess), guess),)
    text = prompt.text
    if asks == "adult" and name and not wrong:
        text = f"Hello {name}. {text}"
    if wrong:
        # The list above stays where it is: asked again is the question alone.
        brief = next(line for line in text.splitlines() if "?" in line)
        text = f"I could not read that as an answer. For example: {prompt.example}.\n{brief}"
    return Say(text, QUESTION, tuple(Button(label, Reply(asks, ChosenValue(value))) for label, value in buttons), asks)


NOT_ADULT = "Then I leave it there, and nothing is kept. I am for adults who agree to it; /start begins again."


AMOUNTS: Final[Mapping[NudgeAmount, str]] = {
    NudgeAmount.USUAL: "",
    NudgeAmount.FEWER: "the warning before a long gap and the week's review, no more",
    NudgeAmount.WEEKLY: "the week's review, no more",
}
PARTS: Final[Mapping[DayPart, str]] = {
    DayPart.ANY: "",
    DayPart.MORNINGS: "nothing after noon",
    DayPart.EVENINGS: "nothing before noon; reminders come the evening before",
}
STILL_SAFE: Final = "After a warning sign I still ask once or twice."
HOW_MUCH: Final = "How much would you like to hear from me?"
OPTIONS: Final = (
    ("As usual", AS_USUAL),
    ("Fewer", NudgeWish(NudgeAmount.FEWER)),
    ("Once a week", NudgeWish(NudgeAmount.WEEKLY)),
    ("Evening before", NudgeWish(eve=True)),
)


def wish_words(wish: NudgeWish) -> str:
    """The wish as one line."""
    evening = wish.eve and wish.part is not DayPart.EVENINGS
    parts = [
        AMOUNTS[wish.amount],
        PARTS[wish.part],
        "reminders come the evening before" if evening else "",
        f"nothing on {and_list([f'{DAY_NAMES[day]}s' for day in wish.without])}" if wish.without else "",
        f"nothing up to and including {short_day(wish.silent_to)}" if wish.silent_to else "",
    ]
    return "; ".join(filter(None, parts)) or AS_USUAL.text


def confirm_wish(wish: NudgeWish) -> str:
    """The wish as it holds from now on."""
    if wish == AS_USUAL:
        return "Fine, messages as usual again."
    return f"Fine. Messages from now on: {wish_words(wish)}. {STILL_SAFE}"


def confirm_quiet(quiet: Quiet, *, moved: bool) -> str:
    """The quiet hours as they are from now on; `moved` where the morning reminder comes at their end."""
    reminder = f" The morning reminder comes at {quiet.last:%H:%M}." if moved else ""
    return f"Fine, I stay silent from {quiet.first:%H:%M} to {quiet.last:%H:%M}.{reminder}"


def say_same(wish: NudgeWish) -> str:
    """The wish that was in force already."""
    return f"That is how it is already: {wish_words(wish)}."


def ask_about_clash(remind: time, run: time) -> str:
    """A reminder after the run it is for."""
    clash = f"The reminder at {remind:%H:%M} comes after your usual run at {run:%H:%M}."
    return f"{clash} Shall it come the evening before instead?"
