"""Settings, said: the intake's questions (`intake.toml`), what is known, and a change shown back before it holds."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from functools import cache
from importlib import resources
from typing import Final

from nudgebot.domain.messages.common import DAY_NAMES, and_list, capital, short_day
from nudgebot.domain.messages.plan.repeats import setting_line
from nudgebot.domain.model import intake
from nudgebot.domain.model.actions import ChangeSetting, ChosenValue, Reply
from nudgebot.domain.model.intake import Intake, Quiet
from nudgebot.domain.model.nudged import AS_USUAL, DayPart, NudgeAmount, NudgeWish, wish_of
from nudgebot.domain.model.speech import QUESTION, Button, Say
from nudgebot.domain.profile import conditions, places
from nudgebot.domain.profile.answer_readers import SKIP, days_text
from nudgebot.domain.profile.intake import READERS
from nudgebot.domain.profile.intake_codec import text_of


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
    text = resources.files("nudgebot.domain.messages").joinpath("intake.toml").read_text("utf-8")
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


def say_same_wish(wish: NudgeWish) -> str:
    """The wish that was in force already."""
    return f"That is how it is already: {wish_words(wish)}."


def ask_about_clash(remind: time, run: time) -> str:
    """A reminder after the run it is for."""
    clash = f"The reminder at {remind:%H:%M} comes after your usual run at {run:%H:%M}."
    return f"{clash} Shall it come the evening before instead?"


SETTING_NAMES: Mapping[str, str] = {asks: row.name for asks, row in prompts().items() if row.name}
EDITABLE = ("goal", "days", "long_day", "zone", "run_time", "remind_at", "quiet", "nudges", "country", "birth_year")
WHICH_SETTING = (
    "If I should change something, press what, or write its name and the new value, such as: usual run time 18:00. "
    "/settings shows all. Nothing is changed yet."
)
UNLESS_TOLD: Mapping[str, str] = {"nudges": AS_USUAL.text}


def settings_page(told: Intake) -> Say:
    """All that the runner told, and how to change it."""
    lines = ["What I know:"]
    lines += [
        f"{SETTING_NAMES[key]}: {show_answer(key, text)}"
        for key in READERS
        if key in SETTING_NAMES and (text := text_of(told, key) or UNLESS_TOLD.get(key, ""))
    ]
    if confirmed := conditions.confirmed_rows(told):
        lines.append(f"told: {', '.join(row.id.replace('_', ' ') for row in confirmed)}")
    for row, value in intake.set_by_coach(told):
        lines.append(
            f"set by your coach: {row.says.format(value)} (/decline {row.word}, or /decline {row.word} for good)"
        )
    if told.coach_not:
        lines.append(f"not to be set by a coach: {', '.join(told.coach_not)} (/decline {told.coach_not[0]} off)")
    lines += [f"event after that: {each.what} on {short_day(each.day)} {each.day.year}" for each in told.events_later]
    later = told.days_later
    if later is not None:
        lines.append(f"days from {short_day(later.start)} on: {days_text(later.days)}")
    lines += [f"taken: {setting_line(each)}" for each in told.repeats]
    if told.learned_hour is not None and text_of(told, "remind_at") == SKIP:
        lines.append(f"learned: the morning reminder comes at {told.learned_hour.at:%H:%M}")
    lines.append(
        "To change one, write its name and the new value: goal endurance · days tue 45, thu 45, sun 90 · "
        "zone Lisbon · morning reminder 06:45 · quiet 22:00-07:00 · fewer messages · no mornings"
    )
    return Say("\n".join(lines), buttons=_changes())


def ask_which_setting() -> Say:
    """A line sounds like a setting, and it is not clear which."""
    return Say(WHICH_SETTING, buttons=_changes())


def _changes() -> tuple[Button, ...]:
    return tuple(Button(SETTING_NAMES[key].capitalize(), ChangeSetting(key)) for key in EDITABLE)


def say_ground(*, light: bool) -> str:
    """The ground of the pictures."""
    now, other = ("light", "dark") if light else ("dark", "light")
    return f"Pictures come on a {now} ground. /pictures {other} changes it."


def show_answer(question: str, answer: str) -> str:
    """An answer in canonical form, for a person."""
    if question == "goal":
        return answer.replace("_", " ")
    if question == "nudges":
        return wish_words(wish_of(answer) or AS_USUAL)
    if question == "remind_at" and answer == SKIP:
        return "left to me"
    if question == "country":
        return places.country_name(answer)
    if question == "event":
        day, _, what = answer.partition(" ")
        return f"{what} on {short_day(date.fromisoformat(day))} {day[:4]}"
    return answer


def ask_to_keep_both(old: str, new: str) -> str:
    """Another event, shown back before it stands beside the one that is ahead."""
    return f"{capital(show_answer('event', new))}, and {show_answer('event', old)}. Shall I keep both?"


def ask_to_confirm(question: str, old: str, new: str) -> str:
    """A changed setting, shown back before it holds."""
    if not old or old == SKIP:
        return f"{SETTING_NAMES[question].capitalize()}: {show_answer(question, new)}. Shall I keep that?"
    return f"Change {SETTING_NAMES[question]} to {show_answer(question, new)} (now {show_answer(question, old)})?"


WALKING_FIRST = "Then a clinician should clear running first; walks are the sessions until you write /back."
MEDICINE_TOO = (
    "From now on full sentences and effort say what is easy: with such a medicine a heart-rate range says nothing. "
    "Ask whoever prescribed it whether running as you do is fine, before the next run."
)
FIRST_RUN_FAR = "After a trip across five time zones or more: no run today, and the first is short, 30 min at most."
COUNTRY_TOO = "And which country are you in now? It sets the emergency number I would show."


def say_unreadable(question: str, example: str) -> str:
    """A value that could not be read."""
    return f"I could not read that for {SETTING_NAMES[question]}. For example: {example}."


def say_same(question: str, value: str) -> str:
    """What was asked for is what is set already."""
    return f"{SETTING_NAMES[question].capitalize()} is {show_answer(question, value)} already."


def say_kept(question: str) -> str:
    """Nothing was changed."""
    return f"{SETTING_NAMES[question].capitalize()} stays as it is."
