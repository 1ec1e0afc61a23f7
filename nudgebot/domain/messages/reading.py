"""What is said where a line can be read in more than one way."""

from __future__ import annotations

from datetime import date, timedelta
from typing import assert_never

from nudgebot.domain.text.reply import Intent, Reading

TEACHES = (
    "Thank you. From now on, when I ask what a line means and you press a button, whoever hosts this bot may use that "
    "line to train the reader. Lines about your health are left out. /teach no ends it and forgets those lines."
)
TEACHES_NOT = "Your lines are not used for training, and those I had kept for it are forgotten."
_TEACHING = (
    "When I ask what a line means and you press a button, I remember your answer. May whoever hosts this bot also use "
    "such lines to train the reader? Lines about your health are left out. {now} {then}"
)
SOMETHING_ELSE = "Something else"
HELP = 'Then tell me in other words, please. After a run the minutes are enough, like "30 min".'


def ask_which(first: Reading, today: date) -> str:
    """The question, with the likeliest reading shown."""
    return f"I am not sure I read that right. Did you mean: {label(first, today)}?"


def label(reading: Reading, today: date) -> str:
    """A reading in the few words of a button."""
    match reading.intent:
        case Intent.LOG:
            minutes = (
                " + ".join(f"{run.minutes}" for run in reading.logs) if reading.minutes is None else reading.minutes
            )
            return f"{f'{minutes} min' if minutes else 'a run'} done{_on(reading.day, today)}"
        case Intent.SKIP:
            return f"no run{_on(reading.day, today) or ' today'}"
        case Intent.MOVE:
            return f"move a run to {_name(reading.days[0], today)}" if reading.days else "move a run"
        case Intent.BUSY:
            limit = f"at most {reading.minutes} min" if reading.minutes is not None else "no time"
            return f"{limit}{_on(reading.days[0] if reading.days else None, today) or ' today'}"
        case Intent.AWAY:
            return "days without runs"
        case Intent.BACK:
            return "back to running"
        case Intent.STATUS:
            return "show the week"
        case Intent.UNDO:
            return f"correct to {reading.minutes} min" if reading.minutes is not None else "take back the last change"
        case Intent.SYMPTOM:
            return "something hurts or feels wrong"
        case Intent.SETTINGS:
            return "change a setting"
        case Intent.ASK:
            return "a question"
        case Intent.HELLO:
            return "just telling"
        case Intent.UNKNOWN:
            return SOMETHING_ELSE.casefold()
        case _:
            assert_never(reading.intent)


def _on(day: date | None, today: date) -> str:
    """The day with its little word; nothing if it is today."""
    if day is None or day == today:
        return ""
    near = abs((day - today).days) <= 1
    return f" {'' if near else 'on '}{_name(day, today)}"


def _name(day: date, today: date) -> str:
    names = {today: "today", today - timedelta(days=1): "yesterday", today + timedelta(days=1): "tomorrow"}
    return names.get(day) or f"{day:%A} {day.day} {day:%B}"


def show_teaching(*, teaches: bool) -> str:
    """What the consent to training is about, and how it stands."""
    now, then = ("Now: yes.", "/teach no ends it.") if teaches else ("Now: no.", "/teach yes allows it.")
    return _TEACHING.format(now=now, then=then)
