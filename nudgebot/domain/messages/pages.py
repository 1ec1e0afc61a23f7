"""Longer answers that do not hang on a run: help, privacy, settings, small talk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from nudgebot.domain.messages.common import capital, short_day
from nudgebot.domain.messages.group.host import how_long
from nudgebot.domain.messages.plan.repeats import in_settings
from nudgebot.domain.messages.settings.wishes import wish_words
from nudgebot.domain.model import coach_settings
from nudgebot.domain.model.actions import ChangeSetting
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.nudge_wish import AS_USUAL, wish_of
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.profile import conditions, places
from nudgebot.domain.profile.answer_readers import SKIP, days_text
from nudgebot.domain.profile.intake import LATER, QUESTIONS
from nudgebot.domain.profile.intake_codec import text_of

HELP_LINES = """Just write what happened, in one line:
42 easy · ran 30 min yesterday · 20 + 25 · 5 km in 34 min
no run today · kid sick, tomorrow? · busy thu and fri · 20 min at most tomorrow
away mon to thu · back · bike 40 instead of my run
my calf hurts 3/10 · undo · what's next?"""
HELP_CAUTION = (
    "I read for warning signs, but I can miss them. In an emergency call your emergency number, do not write to me."
)

PRIVACY = """What is stored: your answers, your minutes, the complaints you wrote to me, when I wrote to you.
Where: in the database of whoever hosts this bot, nowhere else. The chat platform sees what passes through it.
Who sees it: you. A host can read the database, and train the reader with your lines once you say /teach yes. A coach
sees your name, minutes, dose and rhythm, of your health nothing but “pausing”; /share lets more through, kind by
kind. In a group chat nothing of your health is said.
{how_long}
/erase deletes all of it at once, in two steps; /export hands it over first. Backups follow the host's rules.
No advertising, no analytics, no sale."""

EXPORTED = (
    "Everything kept of you: all of it as JSON, and each list as CSV. Nothing is deleted by it; /erase does that."
)
HELLO = "Hello. Write a line after a run, or /week for the plan."
AGREED = "Good. Write the minutes afterwards, that is all."
THANKS = "Any time."
HEARD = "Thanks for telling me."
NOTHING_PLANNED = "Nothing is planned meanwhile, so there is nothing to call off."
UNKNOWN_WHILE_ILL = "I did not get that. How are you: better, the same, or worse?"
UNKNOWN = "I did not get that. After a run just write the minutes, 42 easy for instance; /help shows the rest."
ABOUT_OTHERS = "I hope they are looked after. If it is there now, or comes back: {call}."
TEXT_ONLY = "I read text, runs as GPX files, and calendars. After a run just write the minutes: 42 easy."
TEXT_ONLY_AT_FIRST = "I read text, nothing else. Write /start, and I ask you a few things before the first run."
STOPPED = "I go silent now. Your log stays; write anything when you want me back, or /erase to delete all of it."
BY_INVITATION = "This bot is by invitation. Whoever coaches or hosts here can send you one."
NOT_NOW = "That button is out of date. Just write it as a line."
NOT_OPEN = "That question is no longer open. Just write it as a line."
IF_MISSED = (
    "Nothing bad. Minutes not run come back where the week has room; the rest is let go. "
    "After a longer break the first runs are shorter. Write what changes, like busy thursday, and I rearrange."
)
CANNOT_ANSWER = "I have no good answer to that. About the plan, /why and /week may help; about health, ask a clinician."
WELCOME_BACK = "Welcome back."
ERASE_ASK = "This deletes everything about you here, at once and for good. Write: erase everything"
ERASED = "Everything about you is deleted here. /start begins anew."
ERASE_KEPT = "Nothing is deleted."

SETTING_NAMES: Mapping[str, str] = {
    "active": "active lately",
    "disease": "known disease",
    "doctor_knows": "doctor knows",
    "signs": "signs",
    "pregnancy": "pregnancy",
    "medicine": "heart-rate medicine",
    "goal": "goal",
    "weekly": "minutes a week before",
    "longest": "longest run before",
    "commute": "commute",
    "days": "days",
    "long_day": "long run on",
    "zone": "time zone",
    "run_time": "usual run time",
    "remind_at": "morning reminder",
    "quiet": "quiet",
    "country": "country",
    "birth_year": "birth year",
    "resting_hr": "resting heart rate",
    "max_hr": "maximum heart rate",
    "event": "event",
    "nudges": "messages",
}
EDITABLE = ("goal", "days", "long_day", "zone", "run_time", "remind_at", "quiet", "nudges", "country", "birth_year")


WHICH_SETTING = (
    "If I should change something, press what, or write its name and the new value, such as: usual run time 18:00. "
    "/settings shows all. Nothing is changed yet."
)
UNLESS_TOLD: Mapping[str, str] = {"nudges": AS_USUAL.text}


def help_page(commands: Sequence[str]) -> str:
    """What can be written, with a line for each group of commands, and the caution."""
    return "\n".join([HELP_LINES, *commands, HELP_CAUTION])


HELP_WIDTH = 100  # characters of a line of commands


def in_lines(told: Sequence[str]) -> str:
    """Short pieces, several on a line."""
    lines: list[str] = []
    for piece in told:
        if lines and len(lines[-1]) + len(piece) + 3 <= HELP_WIDTH:
            lines[-1] += f" · {piece}"
        else:
            lines.append(piece)
    return "\n".join(lines)


def privacy(months: int) -> str:
    """What is stored, where, who sees it, and how long: so many months."""
    return PRIVACY.format(how_long=how_long(months))


def settings(told: Intake) -> Say:
    """All that the runner told, and how to change it."""
    lines = ["What I know:"]
    lines += [
        f"{SETTING_NAMES[q.id]}: {shown(q.id, text)}"
        for q in (*QUESTIONS, *LATER)
        if q.id in SETTING_NAMES and (text := text_of(told, q.id) or UNLESS_TOLD.get(q.id, ""))
    ]
    if confirmed := conditions.kept(told):
        lines.append(f"told: {', '.join(row.id.replace('_', ' ') for row in confirmed)}")
    for row, value in coach_settings.set_rows(told):
        lines.append(
            f"set by your coach: {row.says.format(value)} (/decline {row.word}, or /decline {row.word} for good)"
        )
    if told.coach_not:
        lines.append(f"not to be set by a coach: {', '.join(told.coach_not)} (/decline {told.coach_not[0]} off)")
    lines += [f"event after that: {each.what} on {short_day(each.day)} {each.day.year}" for each in told.events_later]
    later = told.days_later
    if later is not None:
        lines.append(f"days from {short_day(later.start)} on: {days_text(later.days)}")
    lines += [f"taken: {in_settings(each)}" for each in told.repeats]
    if told.learned_hour is not None and text_of(told, "remind_at") == SKIP:
        lines.append(f"learned: the morning reminder comes at {told.learned_hour.at:%H:%M}")
    lines.append(
        "To change one, write its name and the new value: goal endurance · days tue 45, thu 45, sun 90 · "
        "zone Lisbon · morning reminder 06:45 · quiet 22:00-07:00 · fewer messages · no mornings"
    )
    return Say("\n".join(lines), buttons=_changes())


def which_setting() -> Say:
    """A line sounds like a setting, and it is not clear which."""
    return Say(WHICH_SETTING, buttons=_changes())


def _changes() -> tuple[Button, ...]:
    return tuple(Button(SETTING_NAMES[key].capitalize(), ChangeSetting(key)) for key in EDITABLE)


def pictures(*, light: bool) -> str:
    """The ground of the pictures."""
    now, other = ("light", "dark") if light else ("dark", "light")
    return f"Pictures come on a {now} ground. /pictures {other} changes it."


def shown(question: str, answer: str) -> str:
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


def event_beside(old: str, new: str) -> str:
    """Another event, shown back before it stands beside the one that is ahead."""
    return f"{capital(shown('event', new))}, and {shown('event', old)}. Shall I keep both?"


def setting_confirm(question: str, old: str, new: str) -> str:
    """A changed setting, shown back before it holds."""
    if not old or old == SKIP:
        return f"{SETTING_NAMES[question].capitalize()}: {shown(question, new)}. Shall I keep that?"
    return f"Change {SETTING_NAMES[question]} to {shown(question, new)} (now {shown(question, old)})?"


WALKING_FIRST = "Then a clinician should clear running first; walks are the sessions until you write /back."
MEDICINE_TOO = (
    "From now on full sentences and effort say what is easy: with such a medicine a heart-rate range says nothing. "
    "Ask whoever prescribed it whether running as you do is fine, before the next run."
)
FIRST_RUN_FAR = "After a trip across five time zones or more: no run today, and the first is short, 30 min at most."
COUNTRY_TOO = "And which country are you in now? It sets the emergency number I would show."


def setting_example(question: str, example: str) -> str:
    """A value that could not be read."""
    return f"I could not read that for {SETTING_NAMES[question]}. For example: {example}."


def setting_same(question: str, value: str) -> str:
    """What was asked for is what is set already."""
    return f"{SETTING_NAMES[question].capitalize()} is {shown(question, value)} already."


def setting_kept(question: str) -> str:
    """Nothing was changed."""
    return f"{SETTING_NAMES[question].capitalize()} stays as it is."
