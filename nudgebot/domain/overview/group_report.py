"""The twelve weeks of a coach's group on one sheet, as values to draw and to tell. (docs/pictures.md)

What is in it is what the coach may see: minutes, the dose, rhythm, and of health nothing but "pausing".
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from nudgebot.domain.overview.group import Group, State, roster, told_apart
from nudgebot.domain.overview.progress import Progress, progress


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One runner: number and name, the state, days of silence, why they pause where they share it, their weeks.

    `weeks` is None while the runner is still being asked the questions.
    """

    number: int
    name: str
    state: State
    days: int
    why: str
    weeks: Progress | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A line a runner, in the order of the roster; `today` is the coach's day. The same value is the same picture."""

    today: date
    lines: tuple[SheetRow, ...]


def sheet(group: Group, now: datetime, today: date) -> Sheet:
    """The sheet of `group`, whose books have been brought up to `now`; `today` is the coach's own day."""
    seen = roster(group, now)
    lines: list[SheetRow] = []
    for each, name in zip(seen, told_apart(seen), strict=True):
        book = each.member.book
        weeks = None if each.state is State.JOINING else progress(book, book.today(now), to_coach=True)
        lines.append(SheetRow(each.member.id, name, each.state, each.days, each.why, weeks))
    return Sheet(today, tuple(lines))
