"""Days that are taken by a rule or a calendar, shown back as dates, and the calendar that goes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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


FILE: Final = (
    "Your sessions of the next weeks, for your calendar. If the plan changes, ask again: each keeps its place."
)
WITH_FEED: Final = "Or let your calendar follow by itself: /calendar link makes a private address for it."
FEED_IS_OPEN: Final = "Your private address stays as it is; /calendar off closes it."
NO_FEED: Final = "A private address needs the web part of this bot, which its host has not switched on."
CLOSED: Final = "Closed: nobody can read your plan by the old address any more."
ALARM_OFF: Final = "No alarms in the calendar from now on."
NOTHING_BUSY: Final = "I found nothing in that calendar that takes room from your running. Nothing is changed."
BUSY_DROPPED: Final = "Fine, nothing is changed."
SHOWN_DAYS: Final = 14  # lines; further days are counted


def show_feed(address: str) -> str:
    """The private address, shown once."""
    return (
        f"Add this address to your calendar as a subscription:\n{address}\n"
        "Whoever has it can read your plan, so keep it to yourself. I show it only once: /calendar link makes a new "
        "one and ends this one, /calendar off ends it."
    )


def confirm_alarm(minutes: int) -> str:
    """When alarms ring."""
    return f"From now on each session has an alarm, {minutes} min before it. Many calendars leave out those of a feed."


def ask_about_busy_days(limits: Mapping[date, int], today: date) -> str:
    """What a calendar would change, before it changes anything."""
    closed = [day for day, minutes in limits.items() if not minutes]
    lines: list[str] = [f"No room for a run: {days_list(closed, today)}."] if closed else []
    short: Sequence[tuple[date, int]] = [(day, minutes) for day, minutes in limits.items() if minutes]
    lines += [f"{short_day(day)}: at most {minutes} min." for day, minutes in short[:SHOWN_DAYS]]
    if len(short) > SHOWN_DAYS:
        lines.append(f"… and {len(short) - SHOWN_DAYS} more days like that.")
    lines.append("I looked at times only and keep nothing else. Shall I plan around them?")
    return "\n".join(["From your calendar, the next four weeks:", *lines])


def confirm_busy_days(days: int) -> str:
    """The days are taken."""
    return f"Good, {days} {'day is' if days == 1 else 'days are'} planned around."
