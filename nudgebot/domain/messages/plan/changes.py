"""The answers to a changed week: called off, moved, busy, away, back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from nudgebot.domain.messages.common import capital, days_list, on_day, session_line
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
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import Session
from nudgebot.domain.planning.planner import Replanned

UNTIL_WHEN = "Until when? A day or a date is enough, such as Friday; I keep quiet until then."
END_NOT_KNOWN = 'If you are back sooner, write "back"; if it takes longer, say so whenever you like.'
MOVED_BEFORE = "That run has been moved or called off already."
WHICH_DAY = "To which day?"
ANY_TIME = "Any time today is fine."
NOT_HARMED = "One run more or less does not matter to the habit."


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
