"""The text alternative of the picture of the last twelve weeks: the same content in words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from nudgebot.domain.messages.common import MONTHS, and_list, count_of, distance_line, from_to, stretches_of
from nudgebot.domain.model.parameters import LOG_REACHES
from nudgebot.domain.model.runner import Book
from nudgebot.domain.overview.progress import Progress

NOTHING_YET = (
    "No minutes in the last 12 weeks yet. After a run write them, 42 easy for instance; then /progress shows them."
)
NOT_DRAWN = "In words, as I cannot draw pictures here."
NOT_TAKEN = "In words, as the picture could not be sent here."
STRETCHES = 5  # of a kind; the newest are named, so that the whole stays a caption


def caption(shown: Progress) -> str:
    """The picture in words: under 1024 UTF-16 units, the most that stands under a picture."""
    if shown.empty:
        return NOTHING_YET
    known = [week for week in shown.weeks if week.minutes is not None]
    first = known[0].start
    *before, current = known
    lines = [f"Minutes a week, by the week's first day, {day_and_year(first)} to {day_and_year(shown.today)}:"]
    if before:
        lines.append(" · ".join(f"{day_and_month(week.start)} {week.minutes}" for week in before))
    lines.append(f"This week so far: {current.minutes}. Your dose now: {from_to(shown.low, shown.high)} min a week.")
    runs = sum(day.run > 0 for day in shown.days)
    lines.append(f"Run days: {runs}." if runs else "No runs, other activity only.")
    lines += filter(None, [distance_line(shown.metres, miles=shown.miles)])
    long = [day for day in shown.days if day.long]
    if long:
        longest = max(long, key=lambda day: day.run)
        lines.append(f"Long runs: {len(long)}; the longest {longest.run} min on {day_and_month(longest.day)}.")
    lines += _stretches("Other activity on", [day.day for day in shown.days if day.other and not day.run], colon="")
    lines += _stretches("Away or paused", [day.day for day in shown.days if day.paused])
    lines += _stretches("Gaps (from the third rest day on)", [day.day for day in shown.days if day.gap])
    return "\n".join(lines)


def sum_of_month(book: Book, first: date, today: date) -> str:
    """How much was run in the month that begins on `first`: the days of the log that a book holds go so far back."""
    name = f"{first:%B}"
    if first < today - LOG_REACHES.span:
        return f"{name} is too long ago to add up here: /export has every run, /progress the last 12 weeks."
    days = [entry for entry in book.log if (entry.day.year, entry.day.month) == (first.year, first.month)]
    runs = [entry.minutes for entry in days if entry.is_run]
    others = sum(entry.minutes for entry in days if entry.counts and not entry.is_run)
    so_far = " so far" if (today.year, today.month) == (first.year, first.month) else ""
    if not runs and not others:
        return f"{name}{so_far}: nothing in the log."
    told = f"{count_of(len(runs), 'run')}, {sum(runs)} min" if runs else "no runs"
    beside = f", and {others} min of other sessions that counted" if others else ""
    return f"{name}{so_far}: {told}{beside}."


def _stretches(what: str, days: Sequence[date], colon: str = ":") -> list[str]:
    named = stretches(days, STRETCHES)
    return [f"{what}{colon} {and_list(named)}."] if named else []


def stretches(days: Sequence[date], most: int) -> list[str]:
    """The newest `most` stretches of days in a row, three or more of them as "1 Dec to 3 Dec"."""
    spans = stretches_of(days, day_and_month, day_and_month)
    return ["earlier ones"] * (len(spans) > most) + [name for span in spans[-most:] for name in span]


def day_and_month(day: date) -> str:
    """The words "7 Dec"."""
    return f"{day.day} {MONTHS[day.month - 1]}"


def day_and_year(day: date) -> str:
    """The words "7 Dec 2026"."""
    return f"{day_and_month(day)} {day.year}"
