"""How long an illness keeps a runner from running; the sources are named beside each check."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.runner import Ill
from nudgebot.domain.planning.ways_back import Wait, first_run_day, wait_of, walks_until

MONDAY = date(2027, 1, 4)
DAYS = st.dates(MONDAY, MONDAY + timedelta(days=20))


def after(ill: Ill) -> date:
    return first_run_day(*wait_of(ill))


def test_seventy_two_hours_after_the_last_fever() -> None:
    # 24 to 72 h in coaching practice; the later end.
    assert after(Ill(MONDAY, last_fever=MONDAY)) == MONDAY + timedelta(days=3)


def test_forty_eight_hours_after_the_last_vomiting() -> None:
    # NHS and UK Health Security Agency, norovirus: 48 h after the symptoms have stopped.
    assert after(Ill(MONDAY, last_upset=MONDAY)) == MONDAY + timedelta(days=2)


def test_seven_days_free_of_symptoms_and_two_weeks_of_walking_after_covid() -> None:
    # Salman et al., BMJ 2021;372:m4721: at least seven days free, then two weeks of minimal exertion.
    first = after(Ill(MONDAY, last_ill=MONDAY, covid=True))
    assert first - MONDAY > timedelta(days=7)
    assert walks_until(first) - first == timedelta(days=14)


def test_another_illness_waits_from_its_last_word() -> None:
    assert after(Ill(MONDAY, last_ill=MONDAY + timedelta(days=2))) == MONDAY + timedelta(days=5)


@given(DAYS, st.none() | DAYS, st.none() | DAYS, st.none() | DAYS, st.booleans())
def test_the_wait_that_ends_last_holds(
    since: date, fever: date | None, upset: date | None, ill: date | None, covid: bool
) -> None:
    first = after(Ill(since, fever, upset, ill, covid))
    assert fever is None or first >= fever + timedelta(days=3)
    assert upset is None or first >= upset + timedelta(days=2)
    assert not covid or first > (ill or since) + timedelta(days=7)
    assert wait_of(Ill(since, fever, upset, ill, covid))[0] in Wait
