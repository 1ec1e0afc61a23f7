"""Twelve weeks as values and in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from nudgebot.domain.messages.plan.plan_pages import NOTHING_YET, progress_caption
from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    LimitReason,
    OnHold,
    Pause,
    Profile,
    Walking,
)
from nudgebot.domain.model.week import Week, WeekKind
from nudgebot.domain.overview.progress import WEEKS, DayDone, Progress, WeekDone, progress
from nudgebot.storage import book_repository
from tests.rendering.books import DAY, FIRST, TODAY, empty_book, full_book, run
from tests.servers.contract import units
from tests.talking import marta, talk

HELD = datetime(2027, 1, 12, 9, tzinfo=UTC)


def days_where(shown: Progress, what: str) -> list[date]:
    return [day.day for day in shown.days if getattr(day, what)]


def with_log(*entries: LogEntry, joined: datetime | None = None) -> Book:
    book = empty_book() if joined is None else empty_book(joined)
    return replace(book, log=tuple(sorted(entries, key=lambda entry: entry.day)))


def test_twelve_weeks_across_the_turn_of_the_year_are_added_up() -> None:
    shown = progress(full_book(), TODAY)
    assert [week.start for week in shown.weeks] == [FIRST + 7 * n * DAY for n in range(WEEKS)]
    assert shown.weeks[-1].start == date(2027, 1, 18)
    # Two runs of 30 and the long run; nothing while away; the Thursday of Christmas Eve left out; a week begun.
    assert [week.minutes for week in shown.weeks] == [110, 112, 114, 116, 0, 120, 122, 94, 126, 128, 130, 30]
    assert (shown.days[0].day, shown.days[-1].day) == (FIRST, TODAY)
    assert (shown.low, shown.high) == (150, 180)


def test_the_marks_of_the_days_are_where_they_belong() -> None:
    shown = progress(full_book(), TODAY)
    assert days_where(shown, "long") == [FIRST + 7 * n * DAY + 6 * DAY for n in range(11) if n != 4]
    assert days_where(shown, "other") == [date(2026, 11, 14), date(2026, 12, 19)]
    # The last day away is a Monday; she ran on the Tuesday after it.
    assert days_where(shown, "paused") == [date(2026, 11, 30) + n * DAY for n in range(8)]
    # Tuesday 22 December to Sunday 27: four rest days, of which the third and the fourth are a gap.
    assert days_where(shown, "gap") == [date(2026, 12, 25), date(2026, 12, 26)]


@pytest.mark.parametrize(
    ("active", "gap"),
    [
        ([0, 3, 5], []),  # two rest days keep the rule: Diabetes Care 2016;39:2065-2079
        ([0, 4], [3]),
        ([0, 6], [3, 4, 5]),
        ([0], [3, 4, 5, 6]),  # today is not over
    ],
)
def test_rest_days_past_the_second_in_a_row_are_a_gap(active: list[int], gap: list[int]) -> None:
    today = FIRST + 7 * DAY
    start = datetime(2026, 11, 2, 12, tzinfo=UTC)
    book = with_log(*(run(FIRST + n * DAY, 10) for n in active), joined=start)
    assert days_where(progress(book, today), "gap") == [FIRST + n * DAY for n in gap]


def test_a_gap_that_began_before_the_twelve_weeks_goes_on_in_them() -> None:
    book = with_log(run(FIRST - 2 * DAY, 30), run(FIRST + 3 * DAY, 30), run(TODAY, 30))
    assert days_where(progress(book, TODAY), "gap")[:3] == [FIRST + n * DAY for n in (1, 2, 6)]


@pytest.mark.parametrize("kind", [LimitReason.AWAY, LimitReason.ILL])
def test_days_away_and_ill_are_paused_and_no_gap(kind: LimitReason) -> None:
    limits = tuple(DayLimit(TODAY - n * DAY, 0, kind) for n in range(5, 0, -1))
    book = replace(with_log(run(TODAY - 6 * DAY, 30)), limits=limits)
    shown = progress(book, TODAY)
    assert days_where(shown, "paused") == [limit.day for limit in limits]
    assert days_where(shown, "gap") != []  # long before
    assert max(days_where(shown, "gap")) < TODAY - 6 * DAY


@pytest.mark.parametrize(
    "standing", [OnHold(HELD, "emergency", "chest", "said"), Walking(HELD, "screening"), Ill(HELD.date())], ids=type
)
def test_a_hold_a_walk_and_an_illness_are_paused_all_the_same(standing: OnHold | Walking | Ill) -> None:
    shown = progress(replace(full_book(), standing=standing, log=full_book().log[:-5]), TODAY)
    away = progress(full_book(), TODAY)
    hold = [HELD.date() + n * DAY for n in range(9)]
    assert days_where(shown, "paused") == days_where(away, "paused") + hold
    assert "chest" not in progress_caption(shown)


def test_a_past_week_of_walking_is_paused_but_for_the_days_run_and_to_a_coach_like_any_other() -> None:
    start = TODAY - timedelta(days=16)
    book = replace(with_log(run(start, 20)), weeks=(Week(start, 0, 0, WeekKind.WALKING),))
    assert days_where(progress(book, TODAY), "paused") == [start + n * DAY for n in range(1, 7)]
    assert days_where(progress(book, TODAY, to_coach=True), "paused") == []


def test_a_hold_that_is_over_is_shaded_by_the_days_it_took() -> None:
    book = replace(with_log(run(FIRST, 30)), pauses=(Pause(FIRST + 8 * DAY, FIRST + 9 * DAY),))
    assert days_where(progress(book, TODAY), "paused") == [FIRST + 8 * DAY, FIRST + 9 * DAY]


CLEARED = "@ +2d\n/back\nyes\nDr Sousa, today\ncleared"
TWO = ["2027-01-04 2027-01-04", "2027-01-05 2027-01-06"]
PAUSES: tuple[tuple[str, str, list[str]], ...] = (
    ("chest pain", CLEARED, ["2027-01-04 2027-01-05"]),
    ("chest pain", "that was not about me\nyes\nyes", []),
    ("chest pain", "@ +2d\nthat was not about me\nyes\nyes", ["2027-01-04 2027-01-05"]),
    ("fever since this morning", "@ +4d\nback\nno", ["2027-01-04 2027-01-07"]),
    # A graver sign begins another hold, and a fever ends in one: all the days are kept.
    ("my calf is swollen, red and warm", f"@ +1d\ncrushing chest pain\n{CLEARED}", TWO),
    ("fever since this morning", f"@ +1d\nchest pain\n{CLEARED}", TWO),
    ("20 easy", "@ +2d", []),
    ("away for 3 days", "@ +4d", []),
)  # fmt: skip


@pytest.mark.parametrize(("line", "then", "kept"), PAUSES)
def test_of_a_hold_and_of_an_illness_that_end_the_days_are_kept(line: str, then: str, kept: list[str]) -> None:
    engine = marta()
    talk(f"@ 2027-01-04 12:00\n{line}\n{then}", engine=engine)
    with engine.begin() as conn:
        book = book_repository.find(conn, "talk", "Marta")
    engine.dispose()
    assert book is not None
    assert [f"{pause.first} {pause.last}" for pause in book.pauses] == kept


def test_weeks_before_the_runner_joined_are_unknown_and_not_nought() -> None:
    book = with_log(run(TODAY - DAY, 30), joined=datetime(2027, 1, 13, 9, tzinfo=UTC))
    shown = progress(book, TODAY)
    assert [week.minutes for week in shown.weeks] == [None] * 10 + [0, 30]


def test_other_work_counts_toward_the_week_only_in_place_of_a_run() -> None:
    bike = run(TODAY, 40, Activity.BIKE)
    assert progress(with_log(bike), TODAY).weeks[-1].minutes == 0
    assert progress(with_log(replace(bike, in_place_of_run=True)), TODAY).weeks[-1].minutes == 40


def test_a_dose_of_ones_own_is_one_number() -> None:
    book = replace(full_book(), profile=Profile(goal=Goal.CUSTOM, custom_minutes=120))
    shown = progress(book, TODAY)
    assert (shown.low, shown.high) == (120, 120)
    assert "Your dose now: 120 min" in progress_caption(shown)


def test_the_words_say_what_the_picture_shows() -> None:
    assert progress_caption(progress(full_book(), TODAY)) == (
        "Minutes a week, by the week's first day, 2 Nov 2026 to 20 Jan 2027:\n"
        "2 Nov 110 · 9 Nov 112 · 16 Nov 114 · 23 Nov 116 · 30 Nov 0 · 7 Dec 120 · 14 Dec 122 · 21 Dec 94 · "
        "28 Dec 126 · 4 Jan 128 · 11 Jan 130\n"
        "This week so far: 30. Your dose now: 150 to 180 min a week.\n"
        "Run days: 30.\n"
        "Long runs: 10; the longest 70 min on 17 Jan.\n"
        "Other activity on 14 Nov and 19 Dec.\n"
        "Away or paused: 30 Nov to 7 Dec.\n"
        "Gaps (from the third rest day on): 25 Dec and 26 Dec."
    )


def test_an_empty_book_has_a_sentence_and_no_picture() -> None:
    shown = progress(empty_book(), TODAY)
    assert shown.empty
    assert progress_caption(shown) == NOTHING_YET


def test_the_words_fit_under_a_picture_at_their_longest() -> None:
    """ "0-1024 characters after entities parsing": caption of sendPhoto, Bot API 10.1 (from memory)."""
    days = tuple(
        DayDone(FIRST + n * DAY, run=600 * (n % 2), other=30, long=True, paused=n % 4 == 0, gap=n % 4 == 2)
        for n in range(84)
    )
    weeks = tuple(WeekDone(FIRST + 7 * n * DAY, 4200) for n in range(WEEKS))
    assert units(progress_caption(Progress(FIRST + 83 * DAY, 150, 180, weeks, days))) <= 1024
