"""May I run on that day? As the plan has it, with the reason where it is no."""

from __future__ import annotations

from datetime import date, timedelta

from nudgebot.domain.messages.common import SESSION_WORDS, on_day
from nudgebot.domain.messages.plan.lines import next_line, sessions_left
from nudgebot.domain.model.runner import Book, LimitReason, Training, Walking
from nudgebot.domain.model.week import SESSION_MIN
from nudgebot.domain.planning.allowed import may_run
from nudgebot.domain.planning.gap import open_on

# Why a day takes no run; what the runner closed is theirs to open.
CLOSED = {
    LimitReason.ILL: "running waits after the illness",
    LimitReason.PAIN: "that day rests after the pain",
    LimitReason.REST: "that day is rest, after more than the plan had",
    LimitReason.FLIGHT: "that day rests after the flight",
    LimitReason.EVENT: "that day is kept free for the event",
    LimitReason.WEATHER: "the weather called running outside off",
}


def may_i_run(book: Book, day: date, today: date) -> str:
    """The answer, and what is next."""
    if not isinstance(book.standing, Training | Walking):
        return f"Not {on_day(day, today)}. {next_line(book, today)}"
    session = next((each for each in sessions_left(book, today) if each.day == day), None)
    if session is not None:
        return f"Yes: {session.minutes} min {SESSION_WORDS[session.kind]} is planned {on_day(day, today)}."
    return f"{_unplanned(book, day, today)} {next_line(book, today)}"


def _unplanned(book: Book, day: date, today: date) -> str:
    when = on_day(day, today)
    if any(entry.day == day and entry.counts for entry in book.log):
        return "Today's session is in, and one a day is enough."
    limit = book.limit_on(day)
    if limit is not None and not limit.minutes and limit.reason in CLOSED:
        return f"Not {when}: {CLOSED[limit.reason]}{_until(book, day, today)}."
    if isinstance(book.standing, Walking):
        return f"A walk is fine {when}; running waits until a clinician has cleared it."
    if may_run(book, day):
        return f"Nothing is planned {when}, but {SESSION_MIN} min easy is fine if you feel fresh, and it counts."
    if limit is not None and not limit.minutes:
        return f"{when.capitalize()} is closed in the plan; if it suits after all, tell me that it is free."
    return f"Better not {when}: one more run there is too much for the days around it. A walk is fine."


def _until(book: Book, day: date, today: date) -> str:
    """The words " until Sunday", for a day that is one of several."""
    ahead = (day + timedelta(days=n) for n in range(1, 15))  # no wait of the plan's own is longer
    first = next((each for each in ahead if open_on(book, each) > 0), None)
    return "" if first is None or first == day + timedelta(days=1) else f" until {on_day(first, today)}"
