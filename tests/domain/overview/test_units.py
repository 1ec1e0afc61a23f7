"""Whether somebody speaks of miles, and what is said of a run in them; the hundredth run."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from nudgebot.domain.dialogue.undo.journal import count_runs
from nudgebot.domain.dialogue.values import Answer
from nudgebot.domain.messages.common import distance_words
from nudgebot.domain.messages.plan.plan_pages import progress_caption, season_page, week_page
from nudgebot.domain.model.intake import DatedEvent, Intake
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import Book
from nudgebot.domain.overview.progress import First, first_in, progress, speaks_miles
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository
from nudgebot.storage.database import reading
from tests.domain.drawn_weeks import MONDAY, drawn
from tests.talking import marta, talk

MONDAY_EVENING = datetime(2027, 1, 4, 19, tzinfo=UTC)


def ran(*kilometres: float, country: str = "PT") -> Book:
    """Somebody who told of runs of these distances, a day each."""
    book = drawn("Mon 30")
    log = tuple(LogEntry(f"{n}", MONDAY + timedelta(days=n), 30, distance_km=km) for n, km in enumerate(kilometres))
    return replace(book, log=log, profile=replace(book.profile, country=country))


# 1 mile is 1.609344 km (international yard and pound agreement of 1959).
@pytest.mark.parametrize(
    ("kilometres", "country", "miles"),
    [
        ((4.989,), "PT", True),
        ((5.0,), "US", False),
        ((5.25,), "GB", False),
        ((8.047, 5.0), "PT", False),
        ((5.0, 8.047), "PT", True),
        ((6.872,), "PT", True),  # 4.27 miles
        ((), "GB", True),
        ((), "DE", False),
    ],
)
def test_the_newest_distance_told_says_the_unit_and_the_country_where_none_was(
    kilometres: tuple[float, ...], country: str, miles: bool
) -> None:
    assert speaks_miles(ran(*kilometres, country=country)) is miles


def test_an_event_in_miles_says_it_too() -> None:
    book = ran()
    assert speaks_miles(replace(book, intake=Intake(event=DatedEvent(date(2027, 5, 2), "ten miler"))))


@pytest.mark.parametrize(("km", "far", "sum_of_two"), [(6.437, "4.0 miles", "8.0 miles"), (6.4, "6.4 km", "12.8 km")])
def test_the_pages_say_distance_in_the_unit_that_was_told_and_minutes_stay_the_dose(
    km: float, far: str, sum_of_two: str
) -> None:
    book = ran(km, km)
    today = MONDAY + timedelta(days=2)
    week = week_page(book, today, planner.forecast(book, today, 1))
    assert week.count(f"done, 30 min run, {far}") == 2
    season = season_page(book, today, planner.forecast(book, today, 8))
    assert f"Runs with a distance, last 12 weeks: {sum_of_two}." in season
    shown = progress(book, today)
    assert f"{sum_of_two}." in progress_caption(shown)
    assert progress_caption(progress(book, today, to_coach=True)) == progress_caption(replace(shown, metres=0))
    assert "distance" not in season_page(ran(), today, []) + progress_caption(progress(replace(book, log=()), today))


def test_a_marathon_is_said_in_either_unit() -> None:
    # World Athletics, Book of Rules: 42.195 km; 26.2 miles is common usage.
    assert (distance_words(42195), distance_words(42195, miles=True)) == ("42.2 km", "26.2 miles")


def test_runs_told_are_counted_and_one_taken_back_is_not() -> None:
    engine = marta("Ana")
    talk(
        "20\n@ 2027-01-06 19:00\n25\nundo\n20 bike\n@ 2027-01-09 10:00\n35",
        engine=engine,
        speaker="Ana",
        at=MONDAY_EVENING,
    )
    with reading(engine) as conn:
        assert book_repository.load(conn, 1).intake.runs == 2


def test_the_hundredth_run_gets_a_word() -> None:
    before = replace(ran(5.0), intake=Intake(runs=98))
    run = LogEntry("new", MONDAY + timedelta(days=2), 30)
    after = replace(before, log=(*before.log, run))
    assert first_in(after, run) is not First.HUNDREDTH
    counted = count_runs(before, Answer(after, ())).book
    assert counted.intake.runs == 99
    assert first_in(counted, run) is First.HUNDREDTH
    assert count_runs(counted, Answer(before, ())).book.intake.runs == 98 - 1
