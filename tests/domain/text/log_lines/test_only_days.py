""" "Only Wednesday and Saturday this week" closes the others, never the days that are named."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.text.reply import Intent, read
from tests.domain.chats import marta

MONDAY = date(2027, 3, 8)
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def closed(line: str, today: date = MONDAY) -> set[int]:
    """The weekdays that the line closes, 0 for Monday; asked or not."""
    reading = read(line, today)
    assert reading.intent is Intent.BUSY, line
    return {day.weekday() for day in reading.days}


@given(open_days=st.sets(st.sampled_from(range(7)), min_size=1, max_size=4), first=st.booleans())
def test_what_is_named_stays_open_and_all_else_is_closed(open_days: set[int], first: bool) -> None:
    named = " and ".join(DAYS[day] for day in sorted(open_days))
    line = f"this week only {named}" if first else f"can only do {named} this week, builders in"
    assert closed(line) == set(range(7)) - open_days


@pytest.mark.parametrize(
    "line",
    ["nur freitag und sonntag geht diese woche", "esta semana solamente puedo viernes y domingo",
     "cette semaine uniquement vendredi et dimanche", "esta semana apenas consigo sexta e domingo",
     "friday and sunday only this week"],
)  # fmt: skip
def test_it_is_read_in_five_languages(line: str) -> None:
    assert closed(line) == {0, 1, 2, 3, 5}


def test_days_gone_are_left_alone_and_next_week_is_next_week() -> None:
    thursday = MONDAY + timedelta(days=3)
    assert set(read("only saturday now", thursday).days) == {thursday + timedelta(days=n) for n in (0, 1, 3)}
    reading = read("next week just tuesday works", MONDAY)
    assert min(reading.days) == MONDAY + timedelta(days=7)


@pytest.mark.parametrize(
    "line", ["only tuesday I can't", "only have 25 minutes on tuesday", "not only tuesday but wednesday is bad"]
)
def test_a_day_that_only_is_bad_or_short_is_no_open_one(line: str) -> None:
    assert not {day.weekday() for day in read(line, MONDAY).days} & {3, 4, 5, 6}


@pytest.mark.parametrize(
    "line", ["no sorry, 47", "non pardon 47", "nee quatsch 47", "ups, perdón, 47", "não, desculpa, 47"]
)
def test_several_words_that_take_back_open_a_correction(line: str) -> None:
    reading = read(line, MONDAY)
    told = reading.choices[0] if reading.ask_back else reading
    assert (told.intent, told.minutes) == (Intent.UNDO, 47)


def test_days_without_a_named_week_are_asked_about_and_not_lost_in_the_settings() -> None:
    answer = marta().says("semana de noche, solo puedo jueves y domingo")
    assert answer.startswith(("Noted, ", "I am not sure I read that right.")), answer
