"""More than planned: one kind question, the long run untouched, the review that says what was run; and warm words."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from nudgebot.domain.model.intake import DatedEvent
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SessionKind, WalkRun
from nudgebot.domain.overview.progress import First, first_in
from nudgebot.domain.planning import limits, more, planner
from nudgebot.domain.planning.replan_input import is_coming_back
from tests.domain.plans import on, ran, steady
from tests.talking import joined

W = 5  # the week at hand of `steady`
DAY = timedelta(days=1)


@pytest.fixture
def book() -> Book:
    return steady()


def test_a_week_well_over_its_target_is_more_than_planned_once_in_two_weeks(book: Book) -> None:
    before = ran(ran(book, on("Mon", W), 80), on("Tue", W), 80)
    after = ran(before, on("Thu", W), 80)
    assert more.newly(before, after, on("Thu", W))
    again = ran(after, on("Fri", W), 80)
    assert not more.newly(after, again, on("Fri", W))


def test_three_runs_beyond_plan_in_seven_days_are_more_than_planned(book: Book) -> None:
    two = ran(ran(book, on("Tue", W), 20), on("Thu", W), 20)
    three = ran(two, on("Fri", W), 20)
    assert not more.more_than_planned(two, on("Thu", W))
    assert more.more_than_planned(three, on("Fri", W))


def test_nobody_is_asked_on_walk_run_or_around_an_event(book: Book) -> None:
    lots = ran(ran(book, on("Mon", W), 150), on("Tue", W), 150)
    assert more.more_than_planned(lots, on("Tue", W))
    assert not more.more_than_planned(replace(lots, walk_run=WalkRun(2, 0, on("Mon", W))), on("Tue", W))
    event = DatedEvent(on("Mon", W), "5k")
    assert not more.more_than_planned(replace(lots, intake=replace(lots.intake, event=event)), on("Tue", W))


def test_a_plan_that_is_let_grow_grows_by_one_step_and_not_past_its_top(book: Book) -> None:
    low = replace(book, weeks=tuple(replace(week, full=100, target=100) for week in book.weeks))
    grown = more.grow(low, on("Tue", W))
    assert grown.weeks[-1].base == 110
    assert more.grow(book, on("Tue", W)) == book  # 180 is the top of the dose


@examples(max_examples=40)
@given(st.lists(st.tuples(st.sampled_from(["Mon", "Tue", "Wed", "Thu"]), st.integers(10, 70)), min_size=1, max_size=3))
def test_easy_runs_beside_the_plan_take_nothing_from_the_long_run(runs: list[tuple[str, int]]) -> None:
    book = ran(ran(steady(), on("Mon", W), 45), on("Wed", W), 45)
    for name, minutes in runs:
        book = ran(book, on(name, W), minutes)
    if any(limits.is_jump(book, entry) for entry in book.log) or is_coming_back(book, on("Fri", W)):
        return
    after, _ = planner.replan(book, on("Thu", W), True)
    long_run = next(s for s in after.plan if s.kind is SessionKind.LONG and s.day >= on("Fri", W))
    assert long_run.minutes >= 90


@pytest.mark.parametrize(
    ("told", "entries", "first"),
    [
        ((0, 0), [(0, 15)], First.EVER),
        ((60, 20), [(0, 20), (20, 20)], First.BACK),
        ((60, 20), [(0, 20), (2, 30)], First.THIRTY),
        ((100, 45), [(0, 45), (2, 61)], First.HOUR),
        ((100, 45), [(0, 45), (2, 45)], None),
        ((60, 20), [(0, 20), (2, 25)], None),
    ],
)
def test_a_run_is_the_first_of_something_or_an_ordinary_one(
    told: tuple[int, int], entries: list[tuple[int, int]], first: First | None
) -> None:
    book = steady()
    start = book.weeks[0].start - 200 * DAY
    log = tuple(LogEntry(str(n), start + n * DAY, minutes) for n, minutes in entries)
    book = replace(book, log=log, weeks=(), profile=replace(book.profile, weekly=told[0], longest=told[1]))
    assert first_in(book, log[-1]) is first


def test_the_question_is_asked_and_both_answers_are_taken() -> None:
    lines = ["25", "@ +1d", "25", "@ +1d", "25", "@ +1d", "30"]
    asked, said = joined("\n".join([*lines, "just a one-off"])).texts[-2:]
    assert "A one-off, or shall the plan grow by a step?" in asked
    assert said == "Good. The plan stays as it is."
    assert "a step larger" in joined("\n".join([*lines, "let it grow"])).texts[-1]
