"""Days that are taken by a rule, shown back as dates."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import DAY_NAMES, and_list, capital, days_list, short_day
from nudgebot.domain.model.repeat import Repeat

SHOWN: Final = 5  # dates of a rule that are named before "and so on"
ORDINALS: Final = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth", -1: "last"}
HOW_MUCH: Final = "How much room is there on those days?"
OTHER_WEEKS: Final = "The other weeks"
RUNS_OR_MESSAGES: Final = "Is that no runs on those days, or no messages?"
NO_RUNS, NO_MESSAGES = "No runs", "No messages"
KEPT_AS_IT_WAS: Final = "Fine, the days stay as they are."


def rule_words(repeat: Repeat) -> str:
    """The rule as people say it: "the first Monday of each month", "every other Saturday and Sunday"."""
    names = [DAY_NAMES[day] for day in repeat.weekdays]
    if repeat.cycle:
        return f"{repeat.on} of every {repeat.cycle} days from {short_day(repeat.start)}"
    if repeat.nth:
        return f"the {ORDINALS[repeat.nth]} {and_list(names)} of each month"
    if repeat.weeks > 1:
        return f"every other {and_list(names) if names else 'week'}"
    if not names and repeat.end is not None:
        return f"{short_day(repeat.start)} to {short_day(repeat.end)}"
    return f"every {and_list(names)}" if names else "every day"


def dates_words(repeat: Repeat, today: date) -> str:
    """The next dates of the rule: all of them where they are few or in a row, else the first and how it goes on."""
    dates = repeat.dates(today, 60)
    if not dates:
        return ""
    in_a_row = (dates[-1] - dates[0]).days + 1 == len(dates)
    if repeat.end is not None and (in_a_row or len(dates) <= SHOWN + 1):
        return _listed(dates, today)
    first = ", ".join(short_day(day) for day in dates[:SHOWN])
    return f"{first} and so on{f' until {short_day(repeat.end)}' if repeat.end else ''}"


def _listed(dates: Sequence[date], today: date) -> str:
    return days_list(dates, today) if len(dates) > 2 else and_list([short_day(day) for day in dates])


def room(minutes: int) -> str:
    """What a day holds."""
    return f"at most {minutes} min" if minutes else "no run"


def show_back(repeat: Repeat, today: date, *, sure: bool) -> str:
    """The rule with its dates, before it holds."""
    rule = f" ({rule_words(repeat)})" if repeat.weekdays and (repeat.nth or repeat.weeks > 1) else ""
    dates = f"{dates_words(repeat, today)}{rule}"
    return f"{dates}: {room(repeat.minutes)}. Is that right?" if sure else f"{dates}. {HOW_MUCH}"


def confirm(repeat: Repeat) -> str:
    """The rule holds from now on."""
    ends = f" It ends by itself after {short_day(repeat.end)}." if repeat.end else ""
    return f"Noted: {setting_line(repeat)}.{ends}"


def setting_line(repeat: Repeat) -> str:
    """One line of the settings: "every Sunday from Wed 10 Mar to Fri 9 Apr: no run (kids)"."""
    span = f" until {short_day(repeat.end)}" if repeat.end and (repeat.weekdays or repeat.cycle) else ""
    why = f" ({repeat.why})" if repeat.why else ""
    return f"{rule_words(repeat)}{span}, {room(repeat.minutes)}{why}"


def say_free_again(repeats: Sequence[Repeat]) -> str:
    """Rules that are taken back."""
    return f"{capital(and_list([rule_words(each) for each in repeats]))}: free again."
