"""Settings, said: what is known of a runner, and a change shown back before it holds."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from nudgebot.domain.messages.common import capital, short_day
from nudgebot.domain.messages.plan.repeats import setting_line
from nudgebot.domain.messages.settings.intake import prompts, wish_words
from nudgebot.domain.model import intake
from nudgebot.domain.model.actions import ChangeSetting
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.nudged import AS_USUAL, wish_of
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.profile import conditions, places
from nudgebot.domain.profile.answer_readers import SKIP, days_text
from nudgebot.domain.profile.intake import READERS
from nudgebot.domain.profile.intake_codec import text_of

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
