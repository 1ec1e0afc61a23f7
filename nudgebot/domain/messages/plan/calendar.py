"""The words about the calendar that goes out, and about busy days that come in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import days_list, short_day

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
