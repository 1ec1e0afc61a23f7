"""A week that life bent: the check values of the replanning, from a runner's book."""

from __future__ import annotations

import pytest

from nudgebot.domain.model.runner import Book, Ill, LimitReason
from nudgebot.domain.planning import planner
from nudgebot.domain.solver.problem import Limit
from tests.domain.plans import crossed, limited, on, plan_from, ran, steady

W = 5  # the week under test; five weeks were run before it


@pytest.fixture(scope="module")
def book() -> Book:
    """Three at 45, 45, 90 on Monday, Wednesday, Saturday, at a steady 180."""
    return steady()


def replanned(book: Book, weekday: str, *, closed: bool = False) -> tuple[str, planner.Replanned]:
    day = on(weekday, W)
    after, what = planner.replan(book, day, closed)
    assert what is not None
    return plan_from(after, what.first_day), what


def test_the_steady_week_is_45_45_90(book: Book) -> None:
    assert plan_from(book, on("Mon", W)) == "Mon 45, Wed 45, Sat 90"


def test_monday_missed_all_days_open_asked_on_tuesday(book: Book) -> None:
    plan, what = replanned(book, "Tue")
    assert plan == "Tue 45, Wed 45, Sat 90"
    assert (what.let_go, what.gap_days, what.long_lost) == (0, (), 0)


def test_42_of_45_changes_nothing(book: Book) -> None:
    plan, what = replanned(ran(book, on("Mon", W), 42), "Mon")
    assert plan == "Wed 45, Sat 90"
    assert not what.changed
    assert what.let_go == 0


def test_monday_and_wednesday_missed(book: Book) -> None:
    assert replanned(book, "Thu")[0] == "Thu 45, Sat 90"


def test_monday_missed_with_only_wednesday_and_saturday_open(book: Book) -> None:
    closed = {on(day, W): 0 for day in ("Tue", "Thu", "Fri", "Sun")}
    plan, what = replanned(limited(book, closed), "Tue")
    assert plan == "Wed 60, Sat 95"
    assert what.let_go == 25
    assert Limit.AVAILABLE in what.binding


def test_rain_on_saturday_with_sunday_open(book: Book) -> None:
    run = ran(ran(book, on("Mon", W), 45), on("Wed", W), 45)
    plan, what = replanned(limited(run, {on("Sat", W): 0}), "Sat")
    assert plan == "Sun 90"
    assert what.let_go == what.long_lost == 0


def test_conference_tuesday_to_thursday_after_mondays_run(book: Book) -> None:
    away = limited(ran(book, on("Mon", W), 45), {on(day, W): 0 for day in ("Tue", "Wed", "Thu")})
    plan, what = replanned(away, "Mon")
    assert plan == "Fri 45, Sat 90"
    assert what.gap_days == (on("Thu", W),)


@pytest.mark.parametrize("reason", [LimitReason.ILL, LimitReason.PAIN, LimitReason.AWAY, LimitReason.REST])
def test_what_illness_pain_rest_or_travel_took_is_not_made_up(book: Book, reason: LimitReason) -> None:
    plan, what = replanned(limited(book, {on("Mon", W): 0}, reason), "Tue")
    # The 45 of Monday are let go; Wednesday's may move, since Tuesday closes the gap a day earlier.
    assert sum(int(part.split()[1]) for part in plan.split(", ")) == 135
    assert what.let_go == 0


def test_minutes_lost_on_a_day_to_come_are_named(book: Book) -> None:
    _, what = replanned(limited(ran(book, on("Mon", W), 45), {on("Wed", W): 0}, LimitReason.ILL), "Mon")
    assert (what.lost, what.let_go, what.problem.target) == (45, 0, 90)


def test_at_most_one_ordinary_session_is_made_up(book: Book) -> None:
    _, what = replanned(book, "Fri")
    assert what.problem.target == 45 + 90


@pytest.mark.parametrize(("minutes", "target"), [(36, 135), (35, 145), (45, 135), (50, 130), (60, 120)])
def test_short_and_long_runs_weigh_on_what_is_still_wanted(book: Book, minutes: int, target: int) -> None:
    # "Less than 10 minutes short of a session adds nothing"; minutes beyond the plan are taken off.
    assert replanned(ran(book, on("Mon", W), minutes), "Mon")[1].problem.target == target


def test_a_ride_in_place_of_a_run_is_neither_made_up_nor_taken_off_twice(book: Book) -> None:
    plan, _ = replanned(crossed(book, on("Mon", W), 45, in_place=True), "Mon")
    assert plan == "Wed 45, Sat 90"


def test_a_ride_on_a_rest_day_in_place_of_a_run_is_taken_off(book: Book) -> None:
    ride = crossed(ran(book, on("Mon", W), 45), on("Tue", W), 30, in_place=True)
    assert replanned(ride, "Tue")[1].problem.target == 105


def test_a_ride_beside_the_plan_ends_the_gap_and_changes_no_minute(book: Book) -> None:
    ride = crossed(ran(book, on("Mon", W), 45), on("Tue", W), 60, in_place=False)
    plan, what = replanned(ride, "Wed")
    assert plan == "Wed 45, Sat 90"
    assert what.problem.cross[-1] == 60


def test_the_long_run_is_done_at_nine_tenths(book: Book) -> None:
    run = ran(ran(book, on("Mon", W), 45), on("Wed", W), 45)
    assert replanned(ran(run, on("Fri", W), 81), "Fri")[1].problem.long_run == 0
    assert replanned(ran(run, on("Fri", W), 80), "Fri")[1].problem.long_run == 90


def test_a_missed_long_run_may_go_on_the_day_after(book: Book) -> None:
    run = ran(ran(book, on("Mon", W), 45), on("Wed", W), 45)
    assert replanned(run, "Sun")[0] == "Sun 90"


def test_no_day_left_is_no_replan(book: Book) -> None:
    assert planner.replan(ran(book, on("Sun", W), 45), on("Sun", W), today_closed=False)[1] is None
    assert planner.replan(book, on("Sun", W), today_closed=True)[1] is None


def test_nothing_is_replanned_while_ill(book: Book) -> None:
    ill = Book(book.runner, book.profile, Ill(on("Mon", W)), plan=book.plan, weeks=book.weeks)
    assert planner.replan(ill, on("Tue", W), today_closed=False) == (ill, None)


def test_a_session_that_the_evening_took_counts_as_the_one_missed(book: Book) -> None:
    plan, what = replanned(book, "Wed", closed=True)
    assert plan == "Thu 45, Sat 90"
    assert what.problem.available[0] == 0


def test_after_a_big_jump_the_next_day_rests_and_nothing_is_made_up(book: Book) -> None:
    # Cap of the week: 95. Wednesday's 45 fall on the day of rest and are let go; Monday's are not made up.
    jump = limited(ran(book, on("Tue", W), 120), {on("Wed", W): 0}, LimitReason.REST)
    plan, what = replanned(jump, "Tue")
    assert what.first_day == on("Wed", W)
    assert all(x <= 90 for x in what.problem.available)
    assert sum(int(part.split()[1]) for part in plan.split(", ")) <= 180 - 120


def test_what_is_run_beyond_the_plan_takes_nothing_from_the_long_run(book: Book) -> None:
    run = ran(ran(book, on("Mon", W), 70), on("Tue", W), 60)
    _, what = replanned(run, "Tue")
    # The long run stays whole, the other session keeps its shortest length, and both are within the caps.
    assert [session.minutes for session in what.after] == [20, 90]
    assert what.problem.window_max >= 130 + 20 + 90


def test_a_second_replan_does_not_make_up_the_same_run_again(book: Book) -> None:
    once, _ = planner.replan(book, on("Tue", W), today_closed=False)
    twice, what = planner.replan(once, on("Tue", W), today_closed=False)
    assert twice == once
    assert what is not None
    assert not what.changed


def test_day_after_day_missed_and_replanned_makes_up_no_more_than_one_session(book: Book) -> None:
    for weekday in ("Tue", "Wed", "Thu"):
        book, _ = planner.replan(book, on(weekday, W), today_closed=False)
    assert plan_from(book, on("Thu", W)) == "Thu 45, Sat 90"


def test_replanning_again_and_again_stretches_no_run_further(book: Book) -> None:
    closed = limited(book, {on(day, W): 0 for day in ("Tue", "Thu", "Fri", "Sun")})
    for _ in range(3):
        closed, what = planner.replan(closed, on("Tue", W), today_closed=False)
        assert what is not None
        assert plan_from(closed, on("Tue", W)) == "Wed 60, Sat 95"
        assert what.let_go == 25
