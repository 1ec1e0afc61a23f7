"""From week to week: progression, lighter weeks, returns and the walk-run ladder."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.runner import Book, Pause, Profile, SymptomNote, Training
from nudgebot.domain.model.week import Return, Session, SessionKind, WalkRun, Week, WeekKind
from nudgebot.domain.planning import limits, planner, season, ways_back
from tests.domain.plans import DAY, MONDAY, OPEN, every_session_run, on, ran, shown, steady, unplanned


def begun(**settings: object) -> Book:
    profile = replace(Profile(goal=Goal.ENDURANCE, open_minutes=OPEN, long_day=5), **settings)  # type: ignore[arg-type]
    return planner.begin(unplanned(profile), MONDAY, now_closed=False)


def run_weeks(book: Book, count: int) -> Book:
    """The book after `count` weeks with every session run."""
    for _ in range(count):
        book = planner.roll(every_session_run(book), book.weeks[-1].end + DAY)
    return book


def share_run(book: Book, percent: int) -> Book:
    """The book with so much of each session of its last week run, and the next week laid."""
    for session in book.weeks[-1].sessions:
        book = ran(book, session.day, -(-session.minutes * percent // 100))
    return planner.roll(book, book.weeks[-1].end + DAY)


def figures(week: Week) -> tuple[int, int]:
    return week.target, week.long_run


@pytest.mark.parametrize(("weekly", "longest", "by"), [(60, 20, 19), (90, 30, 17)])
def test_an_endurance_runner_reaches_180_with_a_90_by_about_week(weekly: int, longest: int, by: int) -> None:
    # "reaches 180 with a 90 by about week 19, a health-sized start of 90 and 30 by about week 17".
    book = run_weeks(begun(weekly=weekly, longest=longest), by + 2)
    reached = next(n for n, week in enumerate(book.weeks, 1) if figures(week) == (180, 90))
    assert abs(reached - by) <= 1
    caps = [limits.session_max(replace(book, weeks=book.weeks[:n]), w.start) for n, w in enumerate(book.weeks, 1)]
    assert all(week.longest <= cap for week, cap in zip(book.weeks, caps, strict=True))


def test_the_first_four_weeks_of_a_small_start() -> None:
    book = run_weeks(begun(weekly=60, longest=20), 4)
    assert [(w.kind, *figures(w)) for w in book.weeks] == [
        (WeekKind.FIRST, 60, 20),
        (WeekKind.STEP, 70, 25),
        (WeekKind.STEP, 80, 30),
        (WeekKind.LIGHTER, 60, 20),
        (WeekKind.STEP, 90, 35),
    ]


@pytest.mark.parametrize(
    ("weekly", "goal", "first"),
    [(40, Goal.MAINTAIN, 60), (75, Goal.MAINTAIN, 75), (400, Goal.MAINTAIN, 90), (123, Goal.ENDURANCE, 120)],
)
def test_week_1_is_the_stated_minutes_at_least_60_never_above_the_dose(weekly: int, goal: Goal, first: int) -> None:
    assert begun(goal=goal, weekly=weekly, longest=60).weeks[0].target == first


def test_a_first_week_begun_midweek_holds_the_sessions_that_fit() -> None:
    profile = Profile(goal=Goal.ENDURANCE, weekly=90, longest=30, open_minutes=OPEN, long_day=5)
    thursday = planner.begin(unplanned(profile, on("Thu")), on("Thu"), now_closed=False)
    assert shown(thursday.weeks[0]) == "Sat 30"
    sunday = planner.begin(unplanned(profile, on("Sun")), on("Sun"), now_closed=False)
    assert (sunday.weeks[0].start, shown(sunday.weeks[0])) == (on("Mon", 1), "Mon 30, Wed 30, Sat 30")
    late = planner.begin(unplanned(profile, on("Sat")), on("Sat"), now_closed=True)
    assert late.weeks[0].start == on("Mon", 1)


@pytest.mark.parametrize(
    ("percent", "kind", "target"),
    # At least 90 % done: a step; 60-89 %: the same; under 60 %: the mean of the last two weeks done, at least 60.
    [(100, WeekKind.STEP, 130), (90, WeekKind.STEP, 130), (80, WeekKind.REPEAT, 120), (50, WeekKind.BACK, 60)],
)
def test_the_next_week_is_set_from_what_was_done(percent: int, kind: WeekKind, target: int) -> None:
    book = share_run(begun(weekly=120, longest=50), percent)
    assert (book.weeks[-1].kind, book.weeks[-1].full) == (kind, target)


def test_a_step_back_is_the_mean_of_the_last_two_weeks_done() -> None:
    book = share_run(run_weeks(begun(weekly=120, longest=50), 1), 55)
    # 120 and about 55 % of 130: a mean of about 95, on the grid.
    done = sum(season.done(book, week) for week in book.weeks[:2])
    assert (book.weeks[-1].kind, book.weeks[-1].full) == (WeekKind.BACK, done // 2 // 5 * 5)


def test_a_week_made_light_by_life_restarts_the_count_of_the_lighter_week() -> None:
    book = run_weeks(share_run(run_weeks(begun(weekly=90, longest=40), 2), 70), 3)
    assert [w.kind for w in book.weeks[3:]] == [WeekKind.REPEAT, WeekKind.STEP, WeekKind.STEP, WeekKind.LIGHTER]


def test_lighter_weeks_come_every_eighth_week_once_the_top_was_held() -> None:
    book = run_weeks(steady(weeks=0), 30)
    lighter = [n for n, week in enumerate(book.weeks, 1) if week.kind is WeekKind.LIGHTER]
    assert [b - a for a, b in pairwise(lighter)][1:] == [8, 8]


@pytest.mark.parametrize("goal", [Goal.HEALTH, Goal.MAINTAIN])
def test_lighter_weeks_end_for_health_and_keep_once_the_top_was_held(goal: Goal) -> None:
    book = run_weeks(begun(goal=goal, weekly=120, longest=40), 24)
    assert all(week.kind is WeekKind.STEADY for week in book.weeks[8:])


def test_pain_of_three_holds_the_step_and_pregnancy_does() -> None:
    book = every_session_run(begun(weekly=90, longest=40))
    hurt = replace(book, symptoms=(SymptomNote(on("Wed"), "rest", "niggle", score=3),))
    assert planner.roll(hurt, on("Mon", 1)).weeks[-1].kind is WeekKind.REPEAT
    pregnant = replace(book, profile=replace(book.profile, pregnancy=True))
    assert planner.roll(pregnant, on("Mon", 1)).weeks[-1].kind is WeekKind.REPEAT
    assert planner.roll(book, on("Mon", 1)).weeks[-1].kind is WeekKind.STEP


@pytest.mark.parametrize(("step", "target"), [(0, 150), (5, 155), (10, 165), (15, 170)])
def test_a_coach_sets_the_step(step: int, target: int) -> None:
    book = run_weeks(begun(weekly=150, longest=60, coach_step=step), 1)
    assert book.weeks[-1].target == target


def test_a_coachs_small_step_is_not_stretched_to_the_usual_least_of_ten_minutes() -> None:
    assert run_weeks(begun(weekly=75, longest=35, coach_step=5), 1).weeks[-1].target == 80
    assert run_weeks(begun(weekly=75, longest=35), 1).weeks[-1].target == 85


def test_a_late_log_recomputes_the_week_until_something_in_it_was_run() -> None:
    book = begun(weekly=120, longest=50)
    first, second, third = book.weeks[0].sessions
    partly = planner.roll(ran(ran(book, first.day, first.minutes), second.day, second.minutes), on("Mon", 1))
    assert partly.weeks[-1].kind is WeekKind.REPEAT or partly.weeks[-1].kind is WeekKind.BACK
    late = planner.roll(ran(partly, third.day, third.minutes), on("Mon", 1))
    assert late.weeks[-1].kind is WeekKind.STEP
    begun_week = ran(partly, on("Mon", 1), 30)
    assert planner.roll(ran(begun_week, third.day, third.minutes), on("Mon", 1)).weeks == partly.weeks


def test_only_tuesday_and_thursday_shrink_the_week_and_keep_the_ordinary_length() -> None:
    book = begun(weekly=180, longest=90, open_minutes=(0, 120, 0, 120, 0, 0, 0), long_day=3)
    assert (shown(book.weeks[0]), book.weeks[0].full) == ("Tue 45, Thu 90", 180)


# The return table; common practice, from memory: Daniels, Running Formula (Human Kinetics).


def days_later(book: Book, days_off: int) -> tuple[Book, date]:
    """The steady runner after a last run, so many days without one, and the first day back."""
    last = max(entry.day for entry in book.log)
    back = last + timedelta(days=days_off + 1)
    for n in range(1, days_off + 2):
        book = planner.roll(book, last + timedelta(days=n))
    return book, back


@pytest.mark.parametrize(
    ("off", "half", "whole"),
    [(6, 3, 6), (7, 4, 7), (14, 7, 14), (28, 14, 28)],  # 14 days off: 7 at 50 %, then 7 at 75 %
)
def test_a_break_of_6_to_28_days_is_followed_by_as_many_days_half_then_three_quarters(
    off: int, half: int, whole: int
) -> None:
    book, back = days_later(steady(), off)
    assert book.returning is not None
    assert (book.returning.since, book.returning.days) == (back, off)
    shares = [limits.share_on(book.returning, back + timedelta(days=n)) for n in range(whole + 1)]
    assert shares == [50] * half + [75] * (whole - half) + [100]


def test_fourteen_days_off_at_180() -> None:
    book, back = days_later(steady(weeks=3), 14)
    assert book.returning is not None
    assert (book.returning.old_target, book.returning.old_long, back.weekday()) == (180, 90, 6)
    coming = planner.forecast(ran(book, back, 20), back, 3)
    assert [(w.kind, shown(w)) for w in coming] == [
        # Seven days at half, Sunday's first run among them: 90 of 180. Ordinary runs never under 20.
        (WeekKind.RETURN, "Tue 20, Thu 20, Sat 30"),
        (WeekKind.RETURN, "Mon 30, Wed 30, Sat 65"),
        (WeekKind.REPEAT, "Mon 55, Wed 55, Sat 70"),
    ]
    assert coming[2].target == 180, "afterwards the old target returns"
    assert coming[2].long_run == coming[1].long_run + 5, "and the long run climbs by five"


def _last_of_a_return(percent: int, *, paused: bool) -> Week:
    """The week after fourteen days off at 180, with so much of the sessions of its last week run."""
    book, back = days_later(steady(weeks=3), 14)
    if paused:
        book = replace(book, pauses=(Pause(back - 9 * DAY, back - 6 * DAY),))
    book = planner.roll(ran(book, back, 20), back + DAY)
    return share_run(run_weeks(book, 1), percent).weeks[-1]


@pytest.mark.parametrize(
    ("percent", "kind", "full"),
    [
        (90, WeekKind.REPEAT, 180),
        # 70 of the 70 min of the first week and 64 of the 125 of the second: their mean is 67, one step is 10.
        (50, WeekKind.REGAIN, 75),
    ],
)
def test_only_a_return_that_was_done_leads_back_to_the_old_target(percent: int, kind: WeekKind, full: int) -> None:
    week = _last_of_a_return(percent, paused=False)
    assert (week.kind, week.base) == (kind, full)


def test_a_return_from_an_illness_leads_on_by_a_step_however_much_was_done() -> None:
    week = _last_of_a_return(100, paused=True)
    assert (week.kind, week.base) == (WeekKind.REGAIN, 105)  # 70 and 125 min done: a mean of 97, and 10


@pytest.mark.parametrize(("paused", "full"), [(False, 145), (True, 70)])
def test_a_week_in_which_a_return_soon_ends_is_no_more_than_regained_after_an_illness(paused: bool, full: int) -> None:
    book, back = days_later(steady(weeks=3), 8)
    if paused:
        book = replace(book, pauses=(Pause(back - 5 * DAY, back - 2 * DAY),))
    book = share_run(planner.roll(ran(book, back, 20), back + DAY), 100)
    week = book.weeks[-1]
    assert book.returning is not None
    assert (back.weekday(), book.returning.end) == (0, week.start), "only its Monday is of the return"
    done = [season.done(book, each) for each in book.weeks[-3:-1]]
    # 62.5 is the mean of the last two weeks done; a step of 10 leads to 70 on the grid.
    assert (week.kind, sum(done) / 2, week.target) == (WeekKind.RETURN, 62.5, full)


def test_the_weeks_stay_gentle_until_one_is_full_again() -> None:
    book = share_run(run_weeks(begun(weekly=120, longest=60), 1), 50)
    book = replace(book, pauses=(Pause(on("Tue", 1), on("Wed", 1)),))
    book = planner.roll(book, on("Mon", 2))
    kinds = []
    for percent in (70, 60, 80, 100):
        book = share_run(book, percent)
        kinds.append(book.weeks[-1].kind)
    assert kinds == [WeekKind.REGAIN, WeekKind.REGAIN, WeekKind.REPEAT, WeekKind.STEP]


def test_a_gentle_week_that_rest_days_made_small_and_that_was_done_is_full() -> None:
    open_minutes = (0, 0, 60, 90, 0, 60, 60)  # with a rest day after each run two sessions fit
    book = share_run(run_weeks(begun(weekly=90, longest=30, open_minutes=open_minutes), 1), 30)
    book = replace(book, pauses=(Pause(on("Tue", 1), on("Wed", 1)),))
    book = planner.roll(replace(book, weeks=book.weeks[:-1]), on("Mon", 2))
    assert (book.weeks[-1].kind, len(book.weeks[-1].sessions)) == (WeekKind.REGAIN, 2)
    assert run_weeks(book, 1).weeks[-1].kind is WeekKind.STEP


def test_a_run_on_the_way_back_counts_as_planned_when_a_hold_has_cut_its_week() -> None:
    """35 of 20 min at half of an old week of 100, and a hold for a day: the days to come keep a session."""
    returning = Return(on("Tue", 4), 11, 100, 55, 110)
    book = replace(steady(weeks=4), returning=returning)
    laid = replace(book.weeks[-1], kind=WeekKind.RETURN, target=40, full=110, sessions=(
        Session(on("Tue", 4), 20, SessionKind.EASY), Session(on("Thu", 4), 20, SessionKind.EASY)))  # fmt: skip
    away = tuple(entry for entry in book.log if entry.day < on("Fri", 2))
    held = ran(replace(book, weeks=(*book.weeks[:-1], laid), plan=(), log=away), on("Tue", 4), 35)
    well = planner.return_after(held, on("Wed", 4))
    assert [session.day for session in well.plan] != []
    assert all(session.minutes == 20 for session in well.plan)


def test_a_long_run_on_another_day_than_planned_on_the_way_back_leaves_the_next_week_a_session() -> None:
    """40 min in place of a missed 20: as much as was planned counts, in the seven days that lead into the next week."""
    back = on("Wed", 4)
    laid = Week(on("Mon", 4), 20, 20, WeekKind.RETURN, (Session(on("Sat", 4), 20, SessionKind.EASY),), full=60)
    ran_before = tuple(entry for entry in steady(weeks=4).log if entry.day < on("Tue", 3))
    book = replace(steady(weeks=4), returning=Return(back, 8, 60, 30, 60), log=ran_before)
    book = ran(replace(book, weeks=(*book.weeks[:-1], laid), plan=()), on("Sun", 4), 40)
    assert limits.as_planned(book).log[-1].minutes == 20
    week = planner.roll(book, on("Mon", 5)).weeks[-1]
    assert week.target >= 20
    assert week.sessions[0].day > on("Mon", 5)  # a rest day after the run


@pytest.mark.parametrize("off", [0, 3, 5])
def test_up_to_five_days_without_a_run_the_plan_goes_on(off: int) -> None:
    book, _ = days_later(steady(), off)
    assert book.returning is None
    assert book.walk_run is None


def test_more_than_28_days_restart_on_walk_run_from_step_0_once() -> None:
    book, back = days_later(steady(), 29)
    assert (book.walk_run, book.returning) == (WalkRun(0, 0, back), None)
    later, _ = days_later(steady(), 40)
    assert later.walk_run == book.walk_run
    assert later.weeks[-1].kind is WeekKind.WALK_RUN
    assert not planner.screening_is_due(later, back)
    assert planner.screening_is_due(days_later(steady(), 57)[0], back + timedelta(days=28))


def test_after_a_short_illness_the_first_two_runs_are_at_half() -> None:
    book = replace(steady(), standing=Training())
    well = planner.after_illness(book, on("Mon", 5))
    assert shown(well.weeks[-1]) == "Mon 20, Wed 20, Sat 90"
    assert well.half_runs == 2


def test_a_late_log_ends_a_return_that_was_none() -> None:
    book, back = days_later(steady(), 7)
    assert book.returning is not None
    told = planner.roll(ran(book, back - timedelta(days=3), 45), back)
    assert told.returning is None


def test_a_return_lasts_as_many_days_as_the_break() -> None:
    returning = Return(MONDAY, 7, 180, 90, 180)
    assert (returning.first_half_end, returning.end) == (MONDAY + 3 * DAY, MONDAY + 6 * DAY)


# Walk-run.


def climbed(book: Book, sessions: int, effort: int = 3) -> Book:
    """The book with so many walk-run sessions done, every other day."""
    for n in range(sessions):
        book = ran(book, MONDAY + timedelta(days=2 * n), 30, effort)
    return ways_back.climb(book, MONDAY + timedelta(days=2 * sessions))


@pytest.mark.parametrize(("sessions", "step", "clean"), [(1, 0, 1), (2, 1, 0), (4, 2, 0), (7, 3, 1), (14, 7, 0)])
def test_two_clean_sessions_lead_one_step_up(sessions: int, step: int, clean: int) -> None:
    place = climbed(begun(weekly=0, longest=0), sessions).walk_run
    assert place is not None
    assert (place.step, place.clean) == (step, clean)


def test_the_ladder_ends_after_its_last_step() -> None:
    assert climbed(begun(weekly=0, longest=0), 16).walk_run is None


def test_a_session_over_easy_effort_or_a_sore_morning_after_is_repeated() -> None:
    hard = climbed(begun(weekly=0, longest=0), 6, effort=5).walk_run
    assert hard is not None
    assert (hard.step, hard.clean) == (0, 0)
    sore = replace(begun(weekly=0, longest=0), symptoms=(SymptomNote(MONDAY + DAY, "rest", "calf", score=3),))
    place = climbed(sore, 2).walk_run
    assert place is not None
    assert place.clean == 1


def test_a_runner_screened_inactive_walks_for_two_weeks_first() -> None:
    place = climbed(begun(weekly=0, longest=0, active=False), 6).walk_run
    assert place is not None
    assert place.step == 0


def test_three_runs_in_a_row_over_easy_effort_lead_to_walk_run() -> None:
    book = begun(weekly=90, longest=30)
    for session in book.weeks[0].sessions:
        book = ran(book, session.day, session.minutes, 6)
    book = planner.roll(book, on("Mon", 1))
    assert book.walk_run == WalkRun(3, 0, on("Mon", 1))
    assert {s.kind for s in book.plan} == {SessionKind.WALK_RUN}


def test_a_walk_run_week_stays_at_60_to_90_on_days_of_their_own() -> None:
    book = run_weeks(begun(weekly=0, longest=0), 4)
    for week in book.weeks:
        days = [session.day for session in week.sessions]
        assert 60 <= week.target <= 90
        assert all((b - a).days > 1 for a, b in pairwise(days))
        assert {session.minutes for session in week.sessions} <= {20, 30}


@pytest.mark.parametrize(("step", "total_run"), [(0, 0), (1, 6), (2, 12), (3, 18), (4, 24), (5, 24), (6, 26), (7, 30)])
def test_every_step_runs_longer_in_30_minutes_than_the_one_before(step: int, total_run: int) -> None:
    run, walk = ways_back.STEPS[step]
    assert sum(minute % (run + walk) < run for minute in range(30)) == total_run


def test_weeks_lightened_by_two_fevers_are_no_base_for_a_step_up() -> None:
    # "target 90, weeks done 30 and 20 after two fevers: at most 60, never 90; no two run days in a row in it".
    book = run_weeks(begun(weekly=90, longest=30, goal=Goal.HEALTH), 2)
    for parts in ((10, 10, 10), (10, 0, 10)):
        days = [session.day for session in book.weeks[-1].sessions]
        for day, minutes in zip(days, parts, strict=False):
            book = ran(book, day, minutes) if minutes else book
        book = replace(book, pauses=(*book.pauses, Pause(days[0] + DAY, days[0] + DAY)))
        book = planner.roll(book, book.weeks[-1].end + DAY)
    week = book.weeks[-1]
    assert (week.kind, week.target) == (WeekKind.REGAIN, 60)
    days = [session.day for session in week.sessions]
    assert all(later - day >= 2 * DAY for day, later in pairwise(days))
    again = run_weeks(book, 1).weeks[-1]
    assert (again.kind, again.target) == (WeekKind.STEP, 70)


def test_walking_after_covid_ends_on_its_day_and_then_the_return_table_holds() -> None:
    book = replace(begun(weekly=90, longest=30), walk_run=WalkRun(0, 0, MONDAY, MONDAY + 14 * DAY))
    assert ways_back.climb(book, MONDAY + 13 * DAY).walk_run is not None
    assert ways_back.climb(book, MONDAY + 14 * DAY).walk_run is None


@pytest.mark.parametrize(("saturday", "sunday"), [(20, 35), (25, 30), (30, 25), (35, 20)])
def test_a_week_that_is_trimmed_keeps_the_cap_of_what_is_left_of_it(saturday: int, sunday: int) -> None:
    """60 min a week, Wednesdays closed; the first week was run on its last two days alone."""
    profile = Profile(goal=Goal.HEALTH, weekly=60, longest=20, open_minutes=(45, 90, 0, 45, 60, 60, 60), zone="UTC")
    book = planner.begin(unplanned(profile), MONDAY, now_closed=False)
    book = planner.roll(ran(ran(book, on("Sat"), saturday), on("Sun"), sunday), on("Mon", 1))
    minutes = {entry.day: entry.minutes for entry in book.log} | {s.day: s.minutes for s in book.weeks[-1].sessions}
    for session in book.weeks[-1].sessions:
        seven = sum(minutes.get(session.day - DAY * n, 0) for n in range(7))
        assert seven <= limits.window_max(book, session.day)
