"""The two-day rule: rest days so far, the last day that keeps it, and gaps that were announced.

American Diabetes Association, Diabetes Care 2016;39:2065-2079: no more than two consecutive days without activity.
Monday to Thursday has two days between (kept), Monday to Friday three (not kept).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from itertools import pairwise

import pytest

from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import DayLimit, LimitReason, at_wall
from nudgebot.domain.planning.gap import (
    Rhythm,
    announced,
    commutes_on,
    day_exists,
    open_days,
    open_on,
    open_session,
    rhythm,
)
from tests.domain.drawn_weeks import BERLIN, DAYS, MONDAY, day_of, does, drawn, name_of, utc


@pytest.mark.parametrize(
    ("run", "today", "rest", "last", "opens"),
    [
        ("Mon", "Mon", 0, "Thu", "Fri"),
        ("Mon", "Tue", 0, "Thu", "Fri"),
        ("Mon", "Wed", 1, "Thu", "Fri"),
        ("Mon", "Thu", 2, "Thu", "Fri"),
        ("Mon", "Fri", 3, "Thu", "Fri"),
        ("Wed", "Sat", 2, "Sat", "Sun"),
    ],
)
def test_three_days_without_a_run_make_one_gap_day(run: str, today: str, rest: int, last: str, opens: str) -> None:
    book = replace(drawn("", past=""), log=(LogEntry("a", day_of(run), 30),))
    assert rhythm(book, day_of(today)) == Rhythm(day_of(run), rest, day_of(last), day_of(opens))


@pytest.mark.parametrize("plan", ["Mon Wed Sat", "Tue Thu Sun"])
def test_the_two_most_even_layouts_keep_the_rule_week_after_week(plan: str) -> None:
    days = sorted(MONDAY + timedelta(days=7 * week + DAYS.index(name)) for week in range(3) for name in plan.split())
    book = drawn("", past="")
    for day, following in pairwise(days):
        state = rhythm(replace(book, log=(LogEntry("a", day, 30),)), following)
        assert state is not None
        assert state.last_allowed >= following


@pytest.mark.parametrize(
    ("minutes", "activity", "counts"),
    [
        (10, Activity.RUN, True),
        (9, Activity.RUN, False),
        (10, Activity.WALK, True),
        (30, Activity.SWIM, True),
        (60, Activity.STRENGTH, False),
        (60, Activity.MOBILITY, False),
    ],
)
def test_any_ten_aerobic_minutes_end_a_gap(minutes: int, activity: Activity, counts: bool) -> None:
    book = replace(drawn(""), log=(LogEntry("a", MONDAY, 30), LogEntry("b", MONDAY + timedelta(2), minutes, activity)))
    state = rhythm(book, day_of("Thu"))
    assert state is not None
    assert name_of(state.last_active) == ("Wed" if counts else "Mon")


def test_days_are_the_runners_dates_and_no_blocks_of_24_hours() -> None:
    # From 23:50 on Monday to 00:10 on Wednesday there is one day between, though only 24 hours and 20 minutes.
    midnight = replace(BERLIN, day_turn=time(0))
    book = does(drawn("", profile=midnight), "ran 30", at_wall(MONDAY, time(23, 50), midnight))
    wednesday = at_wall(day_of("Wed"), time(0, 10), midnight)
    state = rhythm(book, book.today(wednesday))
    assert state is not None
    assert (name_of(state.last_active), state.rest_days) == ("Mon", 1)


def test_a_date_that_the_zone_skips_is_no_rest_day() -> None:
    # Samoa had no 30 December 2011 (IANA time zone database, Pacific/Apia).
    assert not day_exists(date(2011, 12, 30), "Pacific/Apia")
    assert day_exists(date(2011, 12, 30), "Europe/Berlin")
    apia = replace(BERLIN, zone="Pacific/Apia")
    book = replace(drawn("", profile=apia, monday=date(2011, 12, 26)), log=(LogEntry("a", date(2011, 12, 28), 30),))
    state = rhythm(book, date(2011, 12, 31))
    assert state == Rhythm(date(2011, 12, 28), 1, date(2012, 1, 1), date(2012, 1, 2))


def test_a_gap_long_open_is_out_of_sight() -> None:
    book = replace(drawn("", past=""), log=(LogEntry("a", MONDAY, 30),))
    assert rhythm(book, MONDAY + timedelta(days=6)) is not None
    assert rhythm(book, MONDAY + timedelta(days=7)) is None


def test_the_day_of_joining_counts_like_activity() -> None:
    book = drawn("", past="")
    new = replace(book, runner=replace(book.runner, joined_at=utc("2027-01-04T20:00")))
    assert rhythm(new, day_of("Wed")) == Rhythm(MONDAY, 1, day_of("Thu"), day_of("Fri"))


@pytest.mark.parametrize(
    ("minutes", "limit", "day", "rides"),
    [
        (50, None, "Fri", True),
        (49, None, "Fri", False),
        (200, None, "Sat", False),
        (200, LimitReason.AWAY, "Fri", False),
        (200, LimitReason.BUSY, "Fri", True),
    ],
)
def test_a_habitual_commute_counts_on_working_days(
    minutes: int, limit: LimitReason | None, day: str, rides: bool
) -> None:
    book = drawn("", profile=replace(BERLIN, commute="bike", commute_minutes=minutes))
    limits = () if limit is None else (DayLimit(day_of(day), 0, limit),)
    assert commutes_on(replace(book, limits=limits), day_of(day)) is rides
    assert not commutes_on(replace(book, profile=replace(book.profile, commute="")), day_of(day))


@pytest.mark.parametrize(
    ("closed", "plan", "was"),
    [
        ("Tue Wed Thu", "", True),
        ("Thu", "", True),
        ("", "", False),
        ("Wed Thu", "Wed 45", True),
        ("Thu", "Wed 45", False),
        ("Thu", "Thu 45", True),
        ("Wed", "Wed 45", False),
    ],
)
def test_a_gap_is_announced_when_its_last_day_is_closed_and_nothing_before_was_to_prevent_it(
    closed: str, plan: str, was: bool
) -> None:
    book = replace(drawn(plan, past=""), log=(LogEntry("a", MONDAY, 30),))
    limits = tuple(DayLimit(day_of(name), 0, LimitReason.BUSY) for name in closed.split())
    state = rhythm(book, day_of("Wed"))
    assert state is not None
    assert announced(replace(book, limits=limits), state) is was


def test_the_newest_word_on_a_day_holds() -> None:
    book = drawn("")
    limits = (DayLimit(MONDAY, 0, LimitReason.BUSY), DayLimit(MONDAY, 30, LimitReason.BUSY))
    assert open_on(book, MONDAY) == 90
    assert open_on(replace(book, limits=limits), MONDAY) == 30
    assert open_days(replace(book, limits=limits[:1]), MONDAY, day_of("Wed")) == (day_of("Tue"), day_of("Wed"))


@pytest.mark.parametrize(
    ("entry", "stays_open"),
    [
        (LogEntry("a", MONDAY, 5), False),
        (LogEntry("a", MONDAY, 30, Activity.BIKE), True),
        (LogEntry("a", MONDAY, 30, Activity.BIKE, in_place_of_run=True), False),
        (LogEntry("a", MONDAY - timedelta(days=1), 45), True),
    ],
)
def test_a_session_is_open_until_it_is_done_or_called_off(entry: LogEntry, stays_open: bool) -> None:
    book = replace(drawn("Mon 45"), log=(entry,))
    assert (open_session(book, MONDAY) is not None) is stays_open
    called_off = replace(book, limits=(DayLimit(MONDAY, 0, LimitReason.SKIP),))
    assert open_session(called_off, MONDAY) is None
