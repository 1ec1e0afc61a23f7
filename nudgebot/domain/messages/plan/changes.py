"""Talk around changes of a plan: a run put off or called off, days away, an event, and what the plan does about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final

from nudgebot.domain.messages.common import capital, days_list, on_day, session_line, short_day
from nudgebot.domain.messages.plan.lines import (
    gap_note,
    gentle_lines,
    next_line,
    replan_lines,
    say_changes,
    say_let_go,
    standing_line,
)
from nudgebot.domain.messages.plan.repeats import room
from nudgebot.domain.model.actions import ChosenDays
from nudgebot.domain.model.event import last_rest_day
from nudgebot.domain.model.intake import DatedEvent
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import Session, SessionKind, Week
from nudgebot.domain.planning.event_weeks import is_far
from nudgebot.domain.planning.planner import Replanned

UNTIL_WHEN = "Until when? A day or a date is enough, such as Friday; I keep quiet until then."
END_NOT_KNOWN = 'If you are back sooner, write "back"; if it takes longer, say so whenever you like.'
MOVED_BEFORE = "That run has been moved or called off already."
WHICH_DAY = "To which day?"
ANY_TIME = "Any time today is fine."
NOT_HARMED = "One run more or less does not matter to the habit."
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


def say_called_off(
    book: Book, day: date, had: Session | None, today: date, replanned: Replanned | None, for_good: bool
) -> str:
    """A run called off, with what that changes."""
    if had is None:
        first = f"Fine, no run {on_day(day, today)}; none was planned."
    elif for_good:
        first = f"Fine, the {had.minutes} min {on_day(day, today)} are let go. {NOT_HARMED}"
    elif day < today:
        first = f"Noted, no run {on_day(day, today)}."
    else:
        first = f"Fine, no run {on_day(day, today)}."
    return with_plan(first, book, today, replanned)


def say_moved(book: Book, to: date, today: date, replanned: Replanned | None) -> str:
    """A session that went to another day, or as near to it as the limits allow."""
    landed = book.session_on(to)
    if landed is not None:
        first = f"{capital(session_line(landed, today))} instead."
    else:
        first = f"I could not put it {on_day(to, today)}."
    lines = [first]
    if replanned is not None:
        lines += replan_lines(replanned, today)
    return "\n".join([" ".join(filter(None, (lines[0], standing_line(book, today)))), *lines[1:]])


def say_no_room(book: Book, to: date, today: date) -> str:
    """A run is wanted on a day that has no room for one."""
    return f"I could not put a run {on_day(to, today)}; the plan stays as it is. {next_line(book, today)}"


def say_nothing_to_move(book: Book, first: date, today: date) -> str:
    """There is no session to move."""
    return f"There is no run {on_day(first, today)} to move. {next_line(book, today)}"


def say_limited(book: Book, days: Sequence[date], minutes: int | None, today: date, replanned: Replanned | None) -> str:
    """Days closed or limited."""
    return with_plan(f"Noted, {days_list(days, today)}: {room(minutes or 0)}.", book, today, replanned)


def say_away(days: Sequence[date], today: date, replanned: Replanned | None) -> str:
    """Days away, with dates, so that "till" cannot be misread."""
    if len(days) == 1:
        lines = [f"Noted: no run {on_day(days[0], today)}. I keep quiet that day."]
    else:
        lines = [f"Noted: no runs {days_list(days, today)}, the last day included. I keep quiet until then."]
    if replanned is None:
        return lines[0]
    kept = [tuple(s for s in sessions if s.day not in days) for sessions in (replanned.before, replanned.after)]
    lines.append(say_changes(replace(replanned, before=kept[0], after=kept[1]), today))
    lines.append(gap_note(replanned, today, announced=days))
    if len(days) < 7:  # of a longer one nobody expects a whole week
        lines.append(say_let_go(replanned, today))
    return "\n".join(filter(None, lines))


def ask_shorter_pause(days: int) -> str:
    """A pause longer than we keep."""
    return f"That is more than {days} days. Until when, roughly? You can always add to it later."


def welcome_back(book: Book, today: date, replanned: Replanned | None, *, screening: bool = False) -> str:
    """Welcome back, with the way back where the pause was long; `screening` asks for the signs again."""
    lines = ["Good to have you back."]
    lines += gentle_lines(book, today)
    if book.returning is None and book.walk_run is not None:
        lines.append("It starts with walking and running in turn, step by step.")
    lines += replan_lines(replanned, today)
    lines.append(next_line(book, today))
    if screening:
        lines.append("After so long a break: has anything changed with your heart, health or medicine? Write: signs")
    return "\n".join(lines)


def say_snoozed(at: datetime, today: date) -> str:
    """When the nudge comes again."""
    return f"I come back to it {on_day(at.date(), today)} at {at:%H:%M}."


def with_plan(first: str, book: Book, today: date, replanned: Replanned | None) -> str:
    """`first`, with what a replan changed, or what is next where it changed nothing."""
    lines = replan_lines(replanned, today)
    if not lines:
        return " ".join(filter(None, (first, next_line(book, today))))
    return "\n".join([first, *lines])


def until_choices(today: date) -> tuple[tuple[str, ChosenDays], ...]:
    """The likely ends of a pause that begins today; a Sunday's "Sunday" is the next one."""
    sunday = 6 - today.weekday() or 7
    ends = (("Tomorrow", 1), ("Sunday", sunday), ("In a week", 6))
    return tuple((label, ChosenDays(tuple(today + timedelta(days=n) for n in range(last + 1)))) for label, last in ends)


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
