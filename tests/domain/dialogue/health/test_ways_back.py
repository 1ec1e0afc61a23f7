"""What counts as days without a run, and how much a week after a light one may hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason, Pause, Profile, Runner, Training
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.season import Figures, Why
from nudgebot.domain.planning.week_builder import lay
from nudgebot.tools.simulate.judge.record import Record
from tests.domain.plans import on, plan_from, ran, steady
from tests.talking import joined

DAY = timedelta(days=1)
MONDAY = date(2027, 3, 1)
JOINED = datetime(2027, 1, 4, 9, tzinfo=UTC)
RUNNER = Runner(1, "talk", "rosa", "Rosa", JOINED, JOINED)
OPEN = (60, 0, 60, 0, 90, 45, 120)


def walked(start: date, kind: SessionKind, week: WeekKind) -> tuple[Week, tuple[LogEntry, ...]]:
    """A week of three sessions of 30 min, and the log in which they were done."""
    walks = kind is SessionKind.WALK
    sessions = tuple(Session(start + DAY * n, 30, kind) for n in (0, 2, 4))
    activity = Activity.WALK if walks else Activity.RUN
    log = tuple(LogEntry(f"{s.day}", s.day, 30, activity, in_place_of_run=walks) for s in sessions)
    return Week(start, 90, 0, week, sessions), log


def climbed(first: WeekKind, then: SessionKind) -> Book:
    """Two weeks of walks in weeks of kind `first`, then two with sessions of kind `then`; off the ladder since."""
    led = WeekKind.WALK_RUN if then is SessionKind.WALK_RUN else WeekKind.RETURN
    parts = [walked(MONDAY + 7 * n * DAY, SessionKind.WALK, first) for n in (0, 1)]
    parts += [walked(MONDAY + 7 * n * DAY, then, led) for n in (2, 3)]
    log = tuple(entry for _, each in parts for entry in each)
    return Book(RUNNER, Profile(weekly=0, active=False), Training(), log=log, weeks=tuple(week for week, _ in parts))


@pytest.mark.parametrize(
    ("first", "then", "without"),
    [
        (WeekKind.WALK_RUN, SessionKind.WALK_RUN, []),  # the ladder, from its first step
        (WeekKind.WALKING, SessionKind.WALK_RUN, [14]),  # walks until a clinician's word
        (WeekKind.WALK_RUN, SessionKind.EASY, [14]),  # walks after an illness
    ],
)
def test_the_walks_that_begin_a_ladder_are_no_days_off_once_it_is_climbed(
    first: WeekKind, then: SessionKind, without: list[int]
) -> None:
    """docs/season.md: what comes after the ladder is judged by the same days as on it, by plan and judge alike."""
    book = climbed(first, then)
    today = MONDAY + 26 * DAY
    assert [each.days for each in limits.breaks(book, today)] == without
    assert [each.days for each in Record(book, today).gaps(today)] == without


@pytest.mark.parametrize(("last_run", "most"), [(5, 65), (2, 85)])
@pytest.mark.parametrize("closed", [(), (3,), (2, 3), (0, 2), (4, 6)])
def test_no_session_is_added_to_a_week_after_a_light_one(last_run: int, most: int, closed: tuple[int, ...]) -> None:
    """It is to hold 65 min: no more, though a fourth session would keep the next week from a gap.

    Only a gap that is open when it begins is closed first, by one of the shortest.
    """
    start = MONDAY + 14 * DAY
    book = Book(
        RUNNER,
        Profile(goal=Goal.CUSTOM, weekly=150, longest=60, custom_minutes=240, open_minutes=OPEN, long_day=6),
        Training(),
        log=(LogEntry("last", start - DAY * (7 - last_run), 45),),
        weeks=(Week(start - 7 * DAY, 45, 0, WeekKind.RETURN, full=120),),
        limits=tuple(DayLimit(start + DAY * n, 0, LimitReason.BUSY) for n in closed),
    )
    for long_run in (0, 25, 60):
        laid = lay(book, start, Figures(65, long_run, WeekKind.REGAIN, Why.LIGHTENED), start)
        assert 0 < laid.target <= most


def test_heat_on_a_day_without_a_session_moves_the_run_that_comes_too_late() -> None:
    """Thursday's run was missed; Friday, when another would keep the rhythm, is too hot: then Saturday, not Sunday."""
    laid = steady(long_day="Sun")
    book = ran(laid, on("Tue", 5), 45)
    assert plan_from(book, on("Fri", 5)) == "Sun 90"
    now = datetime.combine(on("Fri", 5), time(9), UTC)
    told = answer(book, Heard("k", "43 °C and 60 % humidity out there", now, now))
    assert "not outside" in told.says[0].text
    assert "new" in told.says[0].text
    assert plan_from(told.book, on("Fri", 5)).startswith("Sat")


@pytest.mark.parametrize(("day", "left"), [(-3, 2), (-1, 2), (0, 1)])
def test_a_run_told_for_a_day_before_an_illness_is_none_of_the_two_at_half(day: int, left: int) -> None:
    today = MONDAY + 3 * DAY
    now = datetime.combine(today, time(20), UTC)
    book = replace(steady(), half_runs=2, pauses=(Pause(today - 2 * DAY, today - DAY),))
    told = answer(book, Heard("k", f"25 min easy on {today + day * DAY:%-d %B}", now, now))
    assert len(told.book.log) == len(book.log) + 1
    assert told.book.half_runs == left


@pytest.mark.parametrize(("off", "mean"), [(28, 0), (30, 90), (50, 90)])
def test_what_is_run_on_the_ladder_counts_in_the_mean_week_and_what_is_run_in_a_return_does_not(
    off: int, mean: int
) -> None:
    """docs/season.md: the days of a return count in no mean; after more than four weeks there is a ladder and none."""
    since = MONDAY + off * DAY
    parts = [walked(since + 7 * n * DAY, SessionKind.WALK_RUN, WeekKind.WALK_RUN) for n in range(4)]
    first = Week(MONDAY - 7 * DAY, 30, 0, WeekKind.FIRST, (Session(MONDAY - DAY, 30, SessionKind.EASY),))
    log = (LogEntry("before", MONDAY - DAY, 30), *(entry for _, each in parts for entry in each))
    log = (*log[:-1], replace(log[-1], minutes=75))  # longer than planned: as it was planned, for what follows
    book = Book(RUNNER, Profile(weekly=0), Training(), log=log, weeks=(first, *(week for week, _ in parts)))
    today = since + 28 * DAY
    assert limits.mean_before(limits.as_planned(book), today) == pytest.approx(mean, abs=10)
    assert Record(book, today).mean_week(today) == pytest.approx(mean, abs=10)


def test_a_run_told_beside_somebody_elses_emergency_counts_in_the_days_that_follow() -> None:
    """Two run days, a third told with a neighbour's collapse: the fourth in a row is planned no more."""
    played = joined(
        "@ 2027-01-04 19:00\n20\n@ 2027-01-05 19:00\n20\n@ 2027-01-06 19:00\n"
        "my neighbour has just collapsed and is not breathing. 35 min done\n@ dump"
    )
    assert played.dump["standing"] == "training"
    assert [entry["minutes"] for entry in played.dump["log"]] == [20, 20, 35]
    assert "2027-01-07" not in {session["date"] for session in played.dump["plan"]}
