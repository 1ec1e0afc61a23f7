"""An event, from the sentence to the weeks after: taper and recovery as coaches have them (common practice)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.dialogue.settings.named_setting import fact_in
from nudgebot.domain.model.event import (
    HALF,
    MARATHON,
    closes,
    events_ahead,
    kilometres,
    last_rest_day,
    with_event,
    with_next_event,
    without_event,
)
from nudgebot.domain.model.intake import DatedEvent, Intake
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SessionKind
from nudgebot.domain.planning import limits, planner
from nudgebot.domain.planning.event_weeks import is_far, minutes_likely
from nudgebot.domain.profile.intake_codec import as_rows, from_rows
from tests.domain.drawn_weeks import day_of, drawn, play, sent
from tests.domain.plans import MONDAY, steady
from tests.talking import joined

DAY = timedelta(days=1)
TODAY = date(2027, 3, 10)


@pytest.mark.parametrize(
    ("what", "km", "rest"),
    [
        ("5k", 5.0, 3),
        ("10 km race", 10.0, 3),
        ("15k", 15.0, 7),
        ("ten miler", 16.09344, 7),
        ("half-marathon", HALF, 7),
        ("meia maratona", HALF, 7),
        ("marathon", MARATHON, 14),
        ("race", None, 7),
    ],
)
def test_the_distance_says_how_long_the_rest_is(what: str, km: float | None, rest: int) -> None:
    # World Athletics: a half marathon is 21.0975 km, a marathon 42.195 km.
    assert kilometres(what) == (None if km is None else pytest.approx(km))
    assert last_rest_day(DatedEvent(TODAY, what)) == TODAY + rest * DAY


@pytest.mark.parametrize(
    ("said", "fact"),
    [
        ("I've entered a 15k on 4 April", "2027-04-04 15k"),
        ("Marathon am 25. April!", "2027-04-25 marathon"),
        ("town race on 2 May, the half marathon", "2027-05-02 half marathon"),
        ("media maratón el 9 de mayo", "2027-05-09 media maraton"),
    ],
)
def test_an_event_is_told_in_a_sentence(said: str, fact: str) -> None:
    assert fact_in(said, TODAY) == ("event", fact)


def test_somebody_elses_event_is_none() -> None:
    assert fact_in("my brother runs a marathon on 25 April", TODAY) is None


def around(what: str, weeks_on: int, weekday: int) -> Book:
    """Somebody in a steady half year of running, with an event so many weeks on."""
    book = steady()
    day = book.weeks[-1].start + timedelta(days=7 * weeks_on + weekday)
    return replace(book, intake=replace(book.intake, event=DatedEvent(day, what)))


@settings(max_examples=25)
@given(st.sampled_from(["5k", "10k", "half marathon", "marathon"]), st.integers(2, 4), st.integers(0, 6))
def test_before_an_event_it_is_light_and_after_it_rest(what: str, weeks_on: int, weekday: int) -> None:
    book = around(what, weeks_on, weekday)
    event = book.intake.event
    assert event is not None
    sessions = [s for week in planner.forecast(book, book.weeks[-1].start, weeks_on + 5) for s in week.sessions]
    assert not [s for s in sessions if closes(event, s.day)]
    assert not [s for s in sessions if event.day - DAY <= s.day <= last_rest_day(event)]
    long_runs = [s.day for s in sessions if s.kind is SessionKind.LONG and s.day < event.day]
    assert all(day <= event.day - 7 * DAY for day in long_runs)
    before = sum(s.minutes for s in sessions if event.day - 7 * DAY < s.day < event.day)
    assert before * 100 <= 60 * book.weeks[-1].target
    assert any(s.kind is SessionKind.LONG for s in sessions if s.day > last_rest_day(event))


def test_the_last_run_is_two_days_before_where_that_day_is_open() -> None:
    book = around("10k", 3, 6)
    event = book.intake.event
    assert event is not None
    sessions = [s.day for week in planner.forecast(book, book.weeks[-1].start, 4) for s in week.sessions]
    assert max(day for day in sessions if day < event.day) == event.day - 2 * DAY


@given(st.integers(60, 400), st.integers(0, 6))
def test_no_event_is_a_jump_nor_are_the_runs_of_the_days_after_it(minutes: int, after: int) -> None:
    book = around("half marathon", 0, 6)
    event = book.intake.event
    assert event is not None
    entries = (LogEntry("1", event.day, minutes, cap=90), LogEntry("2", event.day + after * DAY, 20, cap=90))
    book = replace(book, log=tuple(sorted((*book.log, *entries), key=lambda e: e.day)))
    assert not any(limits.is_jump(book, entry) for entry in entries)


def test_a_far_event_is_told_to_be_far() -> None:
    book = steady()
    assert minutes_likely(book, "10k") == 70  # 7 min a km where no pace is known (house)
    assert is_far(book, "marathon", 90)
    assert not is_far(book, "10k", 60)
    paced = replace(book, log=(*book.log, LogEntry("1", MONDAY, 60, distance_km=10.0)))
    assert minutes_likely(paced, "half marathon") == round(6 * HALF)


def test_the_day_has_one_message_of_its_own_and_a_kind_question_follows() -> None:
    book = drawn("Mon 30, Wed 30", past="Sat")
    book = replace(book, intake=replace(book.intake, event=DatedEvent(day_of("Sun"), "10k")))
    said = sent(
        play(book, "Mon 20:00 ran 30, Wed 20:00 ran 30, Thu 12:00 hello, Sun 12:00 ran 64, 2Wed 12:00 hello", 14)
    )
    assert [line for line in said if line.startswith("Sun")] == ["Sun 07:00 morning"]
    assert f"2Mon 19:00 {NudgeKind.HOW_ARE_YOU}" in said
    assert not any("gap_warning" in line for line in said if line[:3] in {"Sat", "Sun"} or line[:4] in {"2Mon", "2Tue"})


FROM_HERE = "\n".join(["race 2027-01-17 10k", "yes", "@ 2027-01-17 12:00"])


@pytest.mark.parametrize("said", ["finished! 1:04:10", "did it!! 64 min", "64", "geschafft, 64 min"])
def test_a_finish_is_congratulated_whatever_its_form(said: str) -> None:
    text = joined(f"{FROM_HERE}\n{said}").texts[-1]
    assert "Well done" in text
    assert "64 min" in text
    assert "jump" not in text


def test_a_finish_without_minutes_is_congratulated_and_asked_for_them() -> None:
    assert joined(f"{FROM_HERE}\nI made it!!").texts[-1] == "Well done! How many minutes was it?"


DATES = ["2027-04-11 5k", "2027-05-02 10k", "2027-06-06 half marathon"]


@settings(max_examples=30)
@given(st.permutations(DATES))
def test_events_are_kept_in_order_and_each_has_its_turn(told: list[str]) -> None:
    today = date(2027, 3, 1)
    kept = Intake()
    for each in told:
        kept = with_event(kept, DatedEvent(date.fromisoformat(each[:10]), each[11:]), today)
    assert [f"{each.day} {each.what}" for each in events_ahead(kept)] == DATES
    assert from_rows(as_rows(kept)) == kept
    assert with_next_event(kept, date(2027, 4, 14)) is None  # the rest after 5 km
    following = with_next_event(kept, date(2027, 4, 15))
    assert following is not None
    assert [each.what for each in events_ahead(following)] == ["10k", "half marathon"]
    assert [each.what for each in events_ahead(without_event(kept, "the 10k is off"))] == ["5k", "half marathon"]
    other = with_event(kept, DatedEvent(date(2027, 5, 9), "10k"), today)
    assert [each.day for each in events_ahead(other)][1] == date(2027, 5, 9)


def test_an_event_soon_after_another_waits_for_two_days_and_no_longer() -> None:
    kept = Intake(
        event=DatedEvent(date(2027, 4, 4), "half marathon"), events_later=(DatedEvent(date(2027, 4, 14), "10k"),)
    )
    assert with_next_event(kept, date(2027, 4, 6)) is None
    nearest = with_next_event(kept, date(2027, 4, 7))
    assert nearest is not None
    assert nearest.event == DatedEvent(date(2027, 4, 14), "10k")


def test_two_events_are_shown_back_together_and_the_nearer_shapes_the_weeks() -> None:
    said = joined("half marathon on 6 June\nyes\n5k on 11 April\nyes\nthe 5k is cancelled\n/settings").texts
    assert "5k on Sun 11 Apr 2027, and half marathon on Sun 6 Jun 2027. Shall I keep both?" in said
    assert said[-3].startswith("5k on Sun 11 Apr")
    assert "After that: half marathon on Sun 6 Jun." in said[-3]
    assert "event: half marathon on Sun 6 Jun 2027" in said[-1]
    assert "5k" not in said[-1]


def test_an_event_that_is_off_gives_its_days_back() -> None:
    said = joined("race 2027-01-17 10k\nyes\nthe race is cancelled\n@ 2027-01-17 12:00").texts
    assert any("the event is off" in text for text in said)
    assert not any("Today is your" in text for text in said)
