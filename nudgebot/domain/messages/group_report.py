"""The text alternative of the group's sheet: the same content in words, a line a runner."""

from __future__ import annotations

from nudgebot.domain.messages.common import short_day
from nudgebot.domain.messages.group import HEADINGS
from nudgebot.domain.messages.progress import dose, short, stretches
from nudgebot.domain.overview.group import State
from nudgebot.domain.overview.group_report import Sheet, SheetRow
from nudgebot.domain.overview.progress import Progress

STRETCHES = 2  # of a kind and runner; the newest are named


def sheet_caption(shown: Sheet) -> str:
    """The sheet in words. For some ten runners it fits under a picture; what does not goes on below it."""
    many = "1 runner" if len(shown.lines) == 1 else f"{len(shown.lines)} runners"
    first = next((line.weeks.weeks[0].start for line in shown.lines if line.weeks), None)
    since = f" from {short(first)} on" if first else ""
    lines = [f"{short_day(shown.today)}, {many}: minutes a week{since} (dose), then this week so far"]
    for state in State:
        named = [_line(line) for line in shown.lines if line.state is state]
        if named:
            lines += [f"{HEADINGS[state]}:", *named]
    return "\n".join(lines)


def heading(line: SheetRow) -> str:
    """What stands beside a runner's name: days of silence, or why they pause where they share it."""
    if line.days:
        return f"{line.days} d"
    return line.why


def _line(line: SheetRow) -> str:
    beside = heading(line)
    name = f"{line.name}, {beside}" if beside else line.name
    if line.weeks is None:
        return name
    return f"{name} ({dose(line.weeks)}): {'; '.join(_weeks(line.weeks))}"


def _weeks(shown: Progress) -> list[str]:
    *before, current = shown.weeks
    known = [f"{week.minutes}" for week in before if week.minutes is not None]
    parts = [f"{' '.join(known)}, now {current.minutes or 0}" if known else f"now {current.minutes or 0}"]
    long = [day.run for day in shown.days if day.long]
    if long:
        parts.append(f"{len(long)} long, up to {max(long)}")
    gaps = stretches([day.day for day in shown.days if day.gap], STRETCHES)
    pauses = stretches([day.day for day in shown.days if day.paused], STRETCHES)
    parts += [f"gap {', '.join(gaps)}"] if gaps else []
    parts += [f"pausing {', '.join(pauses)}"] if pauses else []
    return parts
