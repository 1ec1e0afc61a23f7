"""The twelve weeks of a coach's group on sheets, as values to draw and to tell. (docs/pictures.md)

What is in it is what the coach may see: minutes, the dose, rhythm, and of health nothing but "pausing".
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from nudgebot.domain.overview.group import Group, State, roster
from nudgebot.domain.overview.progress import Progress, progress

ROWS: Final = 12  # runners on a page, so that each can be read where a phone shows it 400 px wide (house)
STEP: Final = 20  # min: the scale ends on a round number
ABOVE: Final = 110  # % of the highest dose, that the scale reaches at least


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One runner: number and name, the state with the fact beside it (as in `Sight`), their weeks.

    `weeks` is None while the runner is still being asked the questions.
    """

    number: int
    name: str
    state: State
    weeks: Progress | None
    days: int = 0
    why: str = ""
    last: date | None = None
    done: int = 0
    target: int = 0


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page: a line a runner, in the order of the roster; `today` is the coach's day.

    The same value is the same picture. `light` is the ground that the coach wants pictures on.

    `page` of `pages`, from 1; `runners` are all of the group. `top` is the minutes of a week that the height of every
    row stands for, the same on all pages. `title` is which group it is, "" if the coach has one alone.
    """

    today: date
    lines: tuple[SheetRow, ...]
    runners: int
    top: int
    page: int = 1
    pages: int = 1
    light: bool = False
    title: str = ""


def sheet(group: Group, now: datetime, today: date, page: int = 1, *, light: bool = False) -> Sheet:
    """A page of the sheet of `group`, whose books have been brought up to `now`; `today` is the coach's own day."""
    lines: list[SheetRow] = []
    for each in roster(group, now):
        book = each.member.book
        weeks = None if each.state is State.JOINING else progress(book, book.today(now), to_coach=True)
        fact = (each.days, each.why, each.last, each.done, each.target)
        lines.append(SheetRow(each.member.id, group.labels[each.member.id], each.state, weeks, *fact))
    pages = max(1, -(-len(lines) // ROWS))
    shown = min(max(page, 1), pages)
    rows = tuple(lines[(shown - 1) * ROWS : shown * ROWS])
    return Sheet(today, rows, len(lines), _top(lines), shown, pages, light, group.title)


def _top(lines: list[SheetRow]) -> int:
    drawn = [line.weeks for line in lines if line.weeks is not None]
    weeks = [week.minutes or 0 for each in drawn for week in each.weeks]
    most = max([1, *weeks, *(each.high * ABOVE // 100 for each in drawn)])
    return -(-most // STEP) * STEP
