"""The group on one screen: who needs a word first, and the one fact that says why; and the words of its sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import DAY_NAMES, count_of, from_to, short_day, sums
from nudgebot.domain.messages.plan.plan_pages import day_and_month, stretches
from nudgebot.domain.overview.group import Sight, State
from nudgebot.domain.overview.group_report import Sheet, SheetRow
from nudgebot.domain.overview.progress import Progress

HEADINGS: Final = {
    State.SILENT: "Silent",
    State.PAUSING: "Pausing",
    State.GAP_OPEN: "Gap open",
    State.GAP_TONIGHT: "Gap opens tonight",
    State.MORE: "More than planned",
    State.BACK: "Back from a break",
    State.JOINING: "Not through the questions yet",
    State.TODAY: "Session today",
    State.IN_RHYTHM: "In rhythm",
}
# What a coach may call them in "/tell silent: …", beside the words of the headings.
STATE_WORDS: Final[Mapping[str, frozenset[State]]] = {
    **{heading.casefold(): frozenset({state}) for state, heading in HEADINGS.items()},
    "gap": frozenset({State.GAP_OPEN, State.GAP_TONIGHT}),
    "more": frozenset({State.MORE}),
    "back": frozenset({State.BACK}),
    "joining": frozenset({State.JOINING}),
    "today": frozenset({State.TODAY}),
    "rhythm": frozenset({State.IN_RHYTHM}),
}


def roster(seen: Sequence[Sight], labels: Mapping[int, str], today: date, title: str = "") -> str:
    """The group on one phone screen: a line a state, those who need a word first; `title` is which of several."""
    lines = [", ".join(filter(None, (title, short_day(today), count_of(len(seen), "runner"))))]
    for state in State:
        named = [f"{labels[s.member.id]} {fact(s, today)}".rstrip() for s in seen if s.state is state]
        if named:
            lines.append(f"{HEADINGS[state]}: {', '.join(named)}")
    return "\n".join(lines)


def fact(seen: Sight | SheetRow, today: date) -> str:
    """The fact beside a name: days of silence or pausing, minutes of the target, or the last day with activity.

    Of whoever runs in a pause also the last run: nothing is planned for them, and perhaps a word helps.
    """
    if seen.target:
        return sums(seen.done, seen.target)
    last = "" if seen.last is None else _short(seen.last, today)
    if not seen.days:
        return last
    why = f" ({seen.why})" if seen.why else ""
    ran = f", ran {last}" if last and seen.state is State.PAUSING else ""
    return f"{seen.days} d{why}{ran}"


def _short(day: date, today: date) -> str:
    return DAY_NAMES[day.weekday()][:3] if (today - day).days < 7 else day_and_month(day)


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
