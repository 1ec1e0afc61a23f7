"""Returns and walk-run without holes: what is run beyond the plan takes nothing away, and no week falls to nothing.

The rules are those of docs/season.md, "Coming back".
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import WalkRun, WeekKind
from nudgebot.domain.planning import planner
from tests.domain.plans import DAY, on, ran, steady


def lives_on(book: Book, day: date, *, extra: int) -> tuple[Book, date]:
    """The book after the session of `day`, where one is planned, was run `extra` min longer; and the next day."""
    book = planner.roll(book, day)
    session = book.session_on(day)
    if session is not None:
        left = [s for s in book.plan if s.day > day]
        book = planner.replan(ran(book, day, session.minutes + extra), day, True)[0]
        kept = [s for s in book.plan if s.day > day]
        assert len(kept) == len(left), f"after {session.minutes + extra} on {day}: {left} to {kept}"
        assert all(now.minutes <= then.minutes for now, then in zip(kept, left, strict=True))
    return book, day + DAY


@settings(max_examples=15)
@given(
    off=st.integers(6, 40),
    extras=st.lists(st.integers(0, 14), min_size=20, max_size=20),
    on_ladder=st.booleans(),
)
def test_a_longer_run_on_the_way_back_takes_no_session_away_and_leaves_no_week_empty(
    off: int, extras: list[int], on_ladder: bool
) -> None:
    book = steady(weeks=5)
    day = on("Sat", 4) + timedelta(days=off)
    if on_ladder:
        book = replace(book, walk_run=WalkRun(2, 0, day))
    for extra in extras:
        book, day = lives_on(book, day, extra=extra)
        week = book.week_of(day - DAY)
        assert week is not None
        assert week.target > 0
        if week.kind in {WeekKind.RETURN, WeekKind.WALK_RUN} and day - DAY == week.start:
            assert any(week.holds(s.day) for s in book.plan), "a week that begins with nothing to run"


@pytest.mark.parametrize("silent", [1, 2, 4, 5])
def test_a_week_whose_last_session_passed_in_silence_stays_the_week_it_was(silent: int) -> None:
    book = planner.roll(steady(weeks=5), on("Tue", 7))
    assert book.weeks[-1].kind is WeekKind.RETURN
    target = book.weeks[-1].target
    for n in range(silent + 1):
        book = planner.roll(book, on("Tue", 7) + n * DAY)
    assert 0 < book.weeks[-1].target <= target
    assert planner.roll(book, on("Tue", 7) + silent * DAY) == book
