"""An event, from the sentence that names it to the weeks after."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import capital, on_day, short_day
from nudgebot.domain.model.event import last_rest_day
from nudgebot.domain.model.intake import DatedEvent
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SessionKind, Week
from nudgebot.domain.planning.event_weeks import is_far

HOW_LONG: Final = "How many minutes was it?"
FINISHED: Final = "Well done!"
DID_NOT_FINISH: Final = (
    "Stopping was sensible. Rest first, and if something hurts, tell me. How many minutes did you run? 0 is fine."
)
TAKEN_OFF: Final = "Fine, the event is off, and the week goes on as usual."
FAR: Final = (
    "It will probably take much longer than that, and this plan does not prepare you for it. Take walk breaks from the "
    "start, or choose a shorter distance."
)
NOT_MINE: Final = "That is easy running; training for speed is beyond this plan."


def event_lines(book: Book, coming: Sequence[Week]) -> list[str]:
    """What the minutes allow by the day of an event, honestly, and how the plan goes there; nothing for none ahead."""
    event = book.intake.event
    if event is None:
        return []
    by_then = [week for week in coming if week.start <= event.day]
    if not by_then:
        return []
    most = max(week.target for week in by_then)
    longest = max(week.longest for week in by_then)
    allows = f"by then up to {most} min a week and a run of {longest} min, if all goes as planned"
    lines = [f"{capital(event.what)} on {short_day(event.day)}: {allows}. {NOT_MINE}"]
    if is_far(book, event.what, longest):
        lines.append(FAR)
    long_runs = [s.day for week in by_then for s in week.sessions if s.kind is SessionKind.LONG and s.day < event.day]
    last_long = f"The last long run is on {short_day(long_runs[-1])}, the" if long_runs else "The"
    lines.append(
        f"{last_long} week before is light, the day before is rest. "
        f"After it: rest and easy walking until {short_day(last_rest_day(event))}."
    )
    return [*lines, *(f"After that: {each.what} on {short_day(each.day)}." for each in book.intake.events_later)]


def morning_of(event: DatedEvent, today: date) -> str:
    """The one message on the day, or on the evening before it."""
    if event.day > today:
        return f"Tomorrow is your {event.what}. Lay out your things, and sleep well."
    return (
        f"Today is your {event.what}. Start slower than feels right, walk when you like, and enjoy it. If anything "
        "feels wrong in the chest, the head or the breath, stop and get help. Tell me how it went whenever you like."
    )


def ask_how_it_was(event: DatedEvent, *, told: bool) -> str:
    """The kind question on the day after."""
    if told:
        return f"The day after your {event.what}: do you feel better than you thought, the same, or worse?"
    return f"How was the {event.what}? The minutes are enough, 58 min for instance."


def congratulate(event: DatedEvent, minutes: int, today: date) -> str:
    """The event is done, whatever the minutes; what comes now."""
    rest = last_rest_day(event)
    return (
        f"Well done! Your {event.what}, {minutes} min. Now rest and easy walking until {on_day(rest, today)}, then "
        "shorter runs. Nothing is to be made up."
    )
