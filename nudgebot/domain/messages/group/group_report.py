"""The text alternative of the group's sheet: the same content in words, a line a runner."""

from __future__ import annotations

from nudgebot.domain.messages.common import count_of, from_to, short_day
from nudgebot.domain.messages.group.roster import HEADINGS, fact
from nudgebot.domain.messages.plan.progress import day_and_month, stretches
from nudgebot.domain.overview.group import State
from nudgebot.domain.overview.group_report import Sheet, SheetRow
from nudgebot.domain.overview.progress import Progress

STRETCHES = 2  # of a kind and runner; the newest are named


def sheet_caption(shown: Sheet) -> str:
    """A page in words. For some eight runners it fits under a picture; what does not goes on below it."""
    first = next((line.weeks.weeks[0].start for line in shown.lines if line.weeks), None)
    since = f" from {day_and_month(first)} on" if first else ""
    lines = [f"{title(shown)}: minutes a week{since} (dose), then this week so far"]
    for state in State:
        named = [_line(line, shown) for line in shown.lines if line.state is state]
        if named:
            lines += [f"{HEADINGS[state]}:", *named]
    if any(day.gap for line in shown.lines if line.weeks for day in line.weeks.days):
        lines.append("A gap is from the third rest day in a row on.")
    if shown.page < shown.pages:
        lines.append(f"/roster picture {shown.page + 1} shows the next page.")
    return "\n".join(lines)


def title(shown: Sheet) -> str:
    """The words "Mon 4 Jan, 30 runners, page 1 of 4", or "Kim's group, 4 Jan, page 1 of 4": one line of the picture."""
    page = f", page {shown.page} of {shown.pages}" if shown.pages > 1 else ""
    which = (
        f"{shown.title}, {day_and_month(shown.today)}"
        if shown.title
        else f"{short_day(shown.today)}, {count_of(shown.runners, 'runner')}"
    )
    return f"{which}{page}"


def _line(line: SheetRow, shown: Sheet) -> str:
    beside = fact(line, shown.today)
    name = f"{line.name}, {beside}" if beside else line.name
    if line.weeks is None:
        return name
    return f"{name} ({from_to(line.weeks.low, line.weeks.high)}): {'; '.join(_weeks(line.weeks))}"


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
