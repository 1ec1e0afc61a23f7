"""The text alternative of the picture of the last twelve weeks: the same content in words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from nudgebot.training.progress import Progress
from nudgebot.training.wording.common import MONTHS, and_list

NOTHING_YET = (
    "No minutes in the last 12 weeks yet. After a run write them, 42 easy for instance; then /progress shows them."
)
NOT_DRAWN = "In words only: where I run, no picture can be drawn."
NOT_TAKEN = "In words only: the picture was not taken here."
STRETCHES = 5  # of a kind; the newest are named, so that the whole stays a caption


def caption(shown: Progress) -> str:
    """The picture in words: under 1024 UTF-16 units, the most that stands under a picture."""
    if shown.empty:
        return NOTHING_YET
    known = [week for week in shown.weeks if week.minutes is not None]
    first = known[0].start
    *before, current = known
    lines = [f"Minutes a week, by the week's first day, {_dated(first)} to {_dated(shown.today)}:"]
    if before:
        lines.append(" · ".join(f"{_short(week.start)} {week.minutes}" for week in before))
    lines.append(f"This week so far: {current.minutes}. Your dose now: {_dose(shown)} min a week.")
    runs = sum(day.run > 0 for day in shown.days)
    lines.append(f"Run days: {runs}." if runs else "No runs, other activity only.")
    long = [day for day in shown.days if day.long]
    if long:
        longest = max(long, key=lambda day: day.run)
        lines.append(f"Long runs: {len(long)}; the longest {longest.run} min on {_short(longest.day)}.")
    lines += _stretches("Other activity on", [day.day for day in shown.days if day.other and not day.run], colon="")
    lines += _stretches("Away or paused", [day.day for day in shown.days if day.paused])
    lines += _stretches("Gaps (from the third rest day on)", [day.day for day in shown.days if day.gap])
    return "\n".join(lines)


def _dose(shown: Progress) -> str:
    return f"{shown.low}" if shown.low == shown.high else f"{shown.low} to {shown.high}"


def _stretches(what: str, days: Sequence[date], colon: str = ":") -> list[str]:
    spans: list[tuple[date, date]] = []
    for day in days:
        if spans and day - spans[-1][1] == timedelta(days=1):
            spans[-1] = (spans[-1][0], day)
        else:
            spans.append((day, day))
    if not spans:
        return []
    named: list[str] = []
    for first, last in spans[-STRETCHES:]:
        if (last - first).days < 2:
            named += [_short(first)] if first == last else [_short(first), _short(last)]
        else:
            named.append(f"{_short(first)} to {_short(last)}")
    if len(spans) > STRETCHES:
        named.insert(0, "earlier ones")
    return [f"{what}{colon} {and_list(named)}."]


def _short(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]}"


def _dated(day: date) -> str:
    return f"{_short(day)} {day.year}"
