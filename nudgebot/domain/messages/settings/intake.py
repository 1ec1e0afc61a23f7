"""The intake's questions, said."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from nudgebot.domain.messages.common import DAY_NAMES
from nudgebot.domain.messages.settings.wishes import HOW_MUCH, OPTIONS
from nudgebot.domain.model.actions import ChosenValue, Reply
from nudgebot.domain.model.intake import Intake
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
