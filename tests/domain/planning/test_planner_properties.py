"""Properties of the plan over books that life has bent in every way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import LogEntry, counted_minutes, run_days, run_minutes
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason, Profile
from nudgebot.domain.model.week import SESSION_MIN, STEP, WeekKind
from nudgebot.domain.planning import limits, planner
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.replan_input import history, is_coming_back, replan_problem
from nudgebot.domain.planning.still_wanted import LET_GO
from nudgebot.domain.solver.problem import gap_days_of
from tests.domain.plans import DAY, MONDAY, unplanned

MINUTES = st.sampled_from((0, 0, 20, 30, 45, 60, 90, 120))


@st.composite
def profiles(draw: st.DrawFn) -> Profile:
    opened = draw(st.tuples(*[MINUTES] * 7).filter(any))
    return Profile(
        goal=draw(st.sampled_from(Goal)),
        custom_minutes=draw(st.integers(60, 300)),
        weekly=draw(st.sampled_from((0, 40, 60, 90, 120, 180, 240))),
        longest=draw(st.integers(0, 100)),
        open_minutes=opened,
        long_day=draw(st.integers(0, 6)),
        active=draw(st.booleans()),
        coach_run_days=draw(st.sampled_from((1, 2, 2, 2, 3, 6))),
        coach_session=draw(st.sampled_from((0, 0, 0, 45))),
    )


@dataclass(frozen=True, slots=True)
class Day:
    """What a day of a life brings, for how many days life closes the plan, and how long nothing is heard after it."""

    what: str = "q"
    closed: int = 1
    silent: int = 0


SILENCES = (*(0,) * 63, 2, 5, 7, 14, 21, 28, 35)
DAYS = st.builds(Day, st.sampled_from("rrrrrmmmhhxbaiq"), st.integers(1, 4), st.sampled_from(SILENCES))
CLOSES = {"b": LimitReason.BUSY, "a": LimitReason.AWAY, "i": LimitReason.ILL}


@cache
def lived(profile: Profile, first: int, days: tuple[Day, ...]) -> tuple[Book, date]:
    """A book after these days, and today: what was planned run, half run, missed, outdone or closed."""
    book = planner.begin(unplanned(profile), MONDAY + first * DAY, False)
    today = book.weeks[0].start
    for day in days:
        book = planner.roll(book, today)
        session = book.session_on(today)
        planned = session.minutes if session else 0
        if minutes := {"r": planned, "h": planned // 2, "x": 35 + planned}.get(day.what, 0):
            entry = LogEntry(f"run {today}", today, minutes, effort=3, cap=limits.session_max(book, today))
            book = replace(book, log=(*book.log, entry))
        if reason := CLOSES.get(day.what):
            closed = tuple(DayLimit(today + n * DAY, 0, reason) for n in range(day.closed))
            book = replace(book, limits=tuple(sorted((*book.limits, *closed), key=lambda limit: limit.day)))
        if day.what != "q":
            book, _ = planner.replan(book, today, today_closed=False)
        today += DAY * (1 + day.silent)
    return planner.roll(book, today), today


# The same lives for every property (one seed), so that each has to be lived but once.
DAY_LISTS = st.integers(0, 40).flatmap(lambda n: st.tuples(*[DAYS] * n))
LIVES = st.builds(lived, profiles(), st.integers(0, 6), DAY_LISTS)


def of_every_life(test: Callable[[tuple[Book, date]], None]) -> Callable[[], None]:
    tries = settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
    return tries(seed(20270104)(given(LIVES)(test)))


def breaches(book: Book, first: date) -> list[str]:
    """Every hard limit that the plan breaks from `first` on."""
    found = []
    book = limits.as_planned(book)  # a longer run on the way back or on walk-run counts as planned
    week = book.weeks[-1]
    for session in book.plan:
        day, minutes = session.day, session.minutes
        if day < first or not week.holds(day):
            continue
        if minutes % STEP or minutes < SESSION_MIN:
            found.append(f"{day}: {minutes} is off the grid")
        if minutes > limits.session_max(book, day):
            found.append(f"{day}: {minutes} over the single-session cap {limits.session_max(book, day)}")
        if minutes > open_on(book, day):
            found.append(f"{day}: {minutes} where {open_on(book, day)} are open")
        # Planned days up to `first` are over: only what was run counts there.
        past, _ = history(book, first)
        planned = [s.minutes for s in book.plan if day - 6 * DAY <= s.day <= day and s.day >= first]
        reach = max(0, 6 - (day - first).days)
        seven = sum(planned) + (sum(past[-reach:]) if reach else 0)
        if seven > limits.window_max(book, day):
            found.append(f"{day}: {seven} in seven days, cap {limits.window_max(book, day)}")
        running = {s.day for s in book.plan if s.day >= first} | {
            first - DAY * (n + 1) for n, ran in enumerate(reversed(past)) if ran >= 10
        }
        most = 1 if is_coming_back(book, day) else book.profile.coach_run_days
        streak = 1
        while day - DAY * streak in running:
            streak += 1
        if streak > most:
            found.append(f"{day}: {streak} run days in a row, allowed {most}")
    return found


@of_every_life
def test_no_plan_breaks_a_hard_limit(life: tuple[Book, date]) -> None:
    """ "Hard limits (never traded for anything)": caps, closed days, the grid, run days in a row."""
    book, today = life
    after, what = planner.replan(book, today, today_closed=False)
    if what is not None:
        assert breaches(after, what.first_day) == []


@of_every_life
def test_a_fresh_week_breaks_no_hard_limit_and_leaves_no_gap_that_could_be_avoided(life: tuple[Book, date]) -> None:
    book, _ = life
    start = book.weeks[-1].end + DAY
    fresh = planner.roll(book, start)
    assert fresh.weeks[-1].start == start
    assert breaches(fresh, start) == []
    frame = replan_problem(fresh, start, today_closed=False)
    if frame is not None and frame.problem.target and fresh.weeks[-1].kind is not WeekKind.RETURN:
        _, what = planner.replan(fresh, start, today_closed=False)
        assert what is not None
        planned = frame.problem.planned
        assert len(gap_days_of(frame.problem, planned)) == len(what.gap_days)


@of_every_life
def test_done_and_planned_never_pass_the_weeks_target_after_a_replan(life: tuple[Book, date]) -> None:
    """ "done + target never over the week's target"."""
    book, today = life
    week, frame = book.week_of(today), replan_problem(book, today, today_closed=False)
    if frame is not None and week is not None:
        done = counted_minutes(limits.as_planned(book).log, week.start, (frame.first_day - week.start).days)
        assert frame.problem.target == 0 or done + frame.problem.target <= week.target


@of_every_life
def test_rolling_twice_is_rolling_once(life: tuple[Book, date]) -> None:
    book, today = life
    assert planner.roll(book, today) == book


@of_every_life
def test_minutes_lost_to_illness_or_travel_are_never_made_up(life: tuple[Book, date]) -> None:
    """ "nothing missed through illness, pain, hold or away is made up"."""
    book, today = life
    before, _ = planner.replan(book, today, today_closed=False)
    coming = [session for session in before.plan if session.day >= today]
    if not coming:
        return
    whole = replan_problem(before, today, False)
    for reason in sorted(LET_GO):
        lost = DayLimit(coming[0].day, 0, reason)
        limited = replace(before, limits=tuple(sorted((*before.limits, lost), key=lambda limit: limit.day)))
        frame = replan_problem(limited, today, False)
        if frame is not None and whole is not None:
            assert frame.problem.target <= whole.problem.target
            assert frame.let_go >= coming[0].minutes or coming[0].day < frame.first_day


@of_every_life
def test_missed_minutes_never_cross_into_the_next_week(life: tuple[Book, date]) -> None:
    book, _ = life
    week = book.weeks[-1]
    fresh = planner.roll(book, week.end + DAY).weeks[-1]
    # With no run at all in the week before, nothing is added to what the rules of progression give.
    # (A session of 20 may come on top where it closes a gap.)
    assert fresh.target <= fresh.base + SESSION_MIN
    assert fresh.base <= max(90, week.base * 1.15 + 10, *(w.base for w in book.weeks))


@of_every_life
def test_a_replan_is_its_own_answer(life: tuple[Book, date]) -> None:
    book, today = life
    once, _ = planner.replan(book, today, today_closed=False)
    twice, _ = planner.replan(once, today, today_closed=False)
    assert twice == once


def test_a_run_day_needs_ten_minutes() -> None:
    book = unplanned(Profile())
    short = replace(book, log=(LogEntry("a", MONDAY, 9), LogEntry("b", MONDAY + DAY, 10)))
    assert run_days(short.log) == {MONDAY + DAY}
    assert run_minutes(short.log, MONDAY, 2) == (9, 10)
