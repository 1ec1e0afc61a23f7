"""Whether the open days can hold the goal's dose at all, and which day or minutes would open it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import TypeAlias

from nudgebot.domain.model.intake import OpenDays
from nudgebot.domain.model.parameters import DAYS_OPENED
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SESSION_MIN, STEP, WeekKind
from nudgebot.domain.planning import dose
from nudgebot.domain.planning.run_days import longest_gap
from nudgebot.domain.planning.week_template import Pattern, pattern_of

Opened: TypeAlias = tuple[tuple[int, int], ...]  # weekdays (0 = Monday), and the most minutes on each


@dataclass(frozen=True, slots=True)
class Shortfall:
    """The open days hold `held` min a week, the goal asks for `wanted` at least.

    `opens` are the weekdays (0 = Monday) that would make the room, each with the minutes it would need; empty if
    more than two days would have to change.
    """

    held: int
    wanted: int
    opens: Opened


def shortfall(book: Book) -> Shortfall | None:
    """What the open days lack at the top of the dose, by the standing week alone; None if they hold the dose."""
    wanted, held = dose.band(book.profile)[0], sum(_standing_week(book, book.profile.open_minutes).minutes)
    return Shortfall(held, wanted, _to_open(book, wanted)) if held < wanted else None


def _standing_week(book: Book, open_minutes: OpenDays) -> Pattern:
    """The week at the top of the dose."""
    profile = replace(book.profile, open_minutes=open_minutes)
    top = dose.band(profile)[1]
    return pattern_of(replace(book, profile=profile), top, dose.long_run_length(profile), WeekKind.STEADY)


def _is_enough(book: Book, opened: Opened, wanted: int) -> bool:
    return sum(_standing_week(book, _with(book.profile.open_minutes, opened)).minutes) >= wanted


def _to_open(book: Book, wanted: int) -> Opened:
    """The fewest days that make the room: without a gap, open ones first, then the fewest minutes, the most even."""
    minutes = book.profile.open_minutes
    lengths = sorted({dose.dose_of(book.profile.goal).ordinary, dose.long_run_length(book.profile)} - {0})
    for count in range(1, DAYS_OPENED.value + 1):
        found: list[tuple[tuple[bool, int, int, int, bool], Opened]] = []
        for days in combinations(range(7), count):
            for length in lengths:
                opened = tuple((day, max(length, minutes[day])) for day in days)
                if _is_enough(book, opened, wanted):
                    least = _least(book, opened, wanted)
                    layout = _standing_week(book, _with(minutes, least)).layout
                    closed = sum(minutes[day] < SESSION_MIN for day in days)
                    more = sum(most - minutes[day] for day, most in least)
                    other = book.profile.long_day not in days
                    found.append(((not layout.gap_ok, closed, more, longest_gap(layout.days), other), least))
        if found:
            return min(found)[1]
    return ()


def _least(book: Book, opened: Opened, wanted: int) -> Opened:
    """The same days with as few minutes as still make the room, on the grid."""
    minutes = book.profile.open_minutes
    for place, (day, _) in enumerate(opened):
        for most in range(max(SESSION_MIN, minutes[day] // STEP * STEP), opened[place][1], STEP):
            tried = (*opened[:place], (day, most), *opened[place + 1 :])
            if _is_enough(book, tried, wanted):
                opened = tried
                break
    return opened


def _with(minutes: OpenDays, opened: Opened) -> OpenDays:
    most = dict(opened)
    a, b, c, d, e, f, g = (most.get(day, held) for day, held in enumerate(minutes))
    return (a, b, c, d, e, f, g)
