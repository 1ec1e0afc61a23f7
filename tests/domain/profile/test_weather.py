"""Heat, cold and air against the published tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.weather import Conditions
from nudgebot.domain.profile.weather import (
    Advice,
    Missing,
    advice,
    air_advice,
    cold_advice,
    globe_c,
    heat_advice,
    heat_index_f,
    unknown,
    wind_chill_c,
)


@pytest.mark.parametrize(
    ("air", "humidity", "index"),
    # US National Weather Service, SR 90-23 (1990) and its printed table; 84/50 and 94/80 computed from the formula.
    [
        (88, 60, 95),
        (90, 70, 106),
        (90, 50, 95),
        (96, 65, 121),
        (100, 40, 109),
        (100, 55, 124),
        (84, 50, 85),
        (94, 80, 129),
    ],
)
def test_the_heat_index_rounds_to_the_published_value(air: float, humidity: float, index: int) -> None:
    assert round(heat_index_f(air, humidity)) == index


def test_humid_and_dry_air_are_adjusted_as_published() -> None:
    # The formula of wpc.ncep.noaa.gov: 80 degrees F at 100 % is 87.19 before and 89.29 after the adjustment.
    assert heat_index_f(80, 100) == pytest.approx(89.29, abs=0.01)
    assert heat_index_f(95, 5) < 95


# The saturation pressure of water (hPa) of the CRC Handbook's steam table, from memory: 23.39 at 20 °C, 42.47 at 30 °C,
# 73.85 at 40 °C. With it the Bureau of Meteorology's approximation is worked by hand.
@pytest.mark.parametrize(("air", "saturated"), [(20, 23.39), (30, 42.47), (40, 73.85)])
@pytest.mark.parametrize("humidity", [30, 70, 100])
def test_the_globe_temperature_is_the_bureaus_approximation(air: float, saturated: float, humidity: float) -> None:
    by_hand = 0.567 * air + 0.393 * saturated * humidity / 100 + 3.94
    assert globe_c(air, humidity) == pytest.approx(by_hand, abs=0.2)


def test_thirty_degrees_and_seventy_percent_call_exercise_off_though_the_heat_index_says_shorter() -> None:
    # ACSM position stand, Med Sci Sports Exerc 2007;39:556-572 (PMC5094838, table 3): over 32.2 °C all exercise is off.
    assert globe_c(30, 70) == pytest.approx(32.6, abs=0.1)
    assert 90 <= heat_index_f(86, 70) < 103
    assert heat_advice(30, 70) is Advice.HEAT_NOT_TODAY


@pytest.mark.parametrize(
    # Canada's wind chill index: exposed skin can freeze in 10 to 30 minutes from -28 on, layers from -10 on. Values of
    # the chart of the US National Weather Service and Environment Canada, 2001.
    ("air", "wind", "chill"),
    [(-10, 20, -18), (-10, 30, -20), (-20, 30, -33)],
)
def test_the_wind_chill_rounds_to_the_published_value(air: float, wind: float, chill: int) -> None:
    felt = wind_chill_c(air, wind)
    assert felt is not None
    assert round(felt) == chill


@pytest.mark.parametrize(("fahrenheit", "mph", "chill"), [(0, 15, -19), (20, 20, 4), (40, 5, 36), (-10, 5, -22)])
def test_the_celsius_form_agrees_with_the_fahrenheit_table(fahrenheit: float, mph: float, chill: int) -> None:
    felt = wind_chill_c((fahrenheit - 32) * 5 / 9, mph * 1.609344)
    assert felt is not None
    assert felt * 9 / 5 + 32 == pytest.approx(chill, abs=0.6)


def test_outside_its_range_there_is_no_wind_chill() -> None:
    assert wind_chill_c(11, 30) is None
    assert wind_chill_c(0, 4) is None


@pytest.mark.parametrize(
    ("air", "humidity", "told"),
    [
        (20, 50, Advice.NONE),
        (26, 50, Advice.HEAT_CARE),  # about 25.3 °C in the sun: red flag, 23 to 28
        (33, 20, Advice.HEAT_CARE),
        (29, 55, Advice.HEAT_INDOORS),  # about 29 °C: black flag, races off
        (36, 20, Advice.HEAT_INDOORS),
        (33, 60, Advice.HEAT_NOT_TODAY),
        (41, 60, Advice.HEAT_NOT_TODAY),
    ],
)
def test_each_band_of_heat_has_its_advice(air: float, humidity: float, told: Advice) -> None:
    assert heat_advice(air, humidity) is told


@given(st.floats(10, 48), st.floats(5, 100), st.floats(0, 5), st.floats(0, 10))
def test_more_heat_or_more_damp_never_earns_milder_words(
    air: float, humidity: float, hotter: float, damper: float
) -> None:
    assert heat_advice(air + hotter, min(100, humidity + damper)).rank >= heat_advice(air, humidity).rank


@given(st.floats(-45, 10), st.floats(0, 80), st.floats(0, 5), st.floats(0, 20))
def test_more_frost_or_more_wind_never_earns_milder_words(
    air: float, wind: float, colder: float, windier: float
) -> None:
    assert cold_advice(air - colder, wind + windier).rank >= cold_advice(air, wind).rank


def test_the_stricter_reading_is_one_band_up() -> None:
    assert heat_advice(26, 40, stricter=True) is Advice.HEAT_SHORTER
    assert heat_advice(20, 50, stricter=True) is Advice.NONE
    assert heat_advice(41, 60, stricter=True) is Advice.HEAT_NOT_TODAY


@pytest.mark.parametrize(
    ("air", "wind", "told"),
    [
        (5, 10, Advice.NONE),
        (-5, 20, Advice.COLD_CARE),
        (-18, 35, Advice.COLD_NOT_TODAY),
        (-20, 30, Advice.COLD_NOT_TODAY),
        (-30, 0, Advice.COLD_NOT_TODAY),
        (-20, 0, Advice.COLD_CARE),
    ],
)
def test_cold_has_its_advice_with_the_wind_that_was_told(air: float, wind: float, told: Advice) -> None:
    assert cold_advice(air, wind) is told


# US Environmental Protection Agency, Air Quality Guide for Ozone (people active outdoors are a sensitive group).
@pytest.mark.parametrize(
    ("index", "told"),
    [
        (0, Advice.NONE), (50, Advice.NONE), (51, Advice.AIR_CARE), (100, Advice.AIR_CARE), (101, Advice.AIR_SHORTER),
        (150, Advice.AIR_SHORTER), (151, Advice.AIR_INDOORS), (200, Advice.AIR_INDOORS), (201, Advice.AIR_NOT_TODAY),
        (301, Advice.AIR_NOT_TODAY), (500, Advice.AIR_NOT_TODAY),
    ],
)  # fmt: skip
def test_each_band_of_the_air_index_has_its_advice(index: int, told: Advice) -> None:
    assert air_advice(index) is told


def test_what_it_feels_like_is_read_in_the_table_of_its_own_index_and_in_no_other() -> None:
    # 33 °C "feels like" is a heat index of 91 °F: extreme caution; as air at 70 % it would be extreme.
    assert advice(Conditions(felt_c=33)) == (Advice.HEAT_SHORTER,)
    assert advice(Conditions(felt_c=-29)) == (Advice.COLD_NOT_TODAY,)


def test_the_bounds_of_the_wind_chill_are_those_of_its_published_bands() -> None:
    # Environment Canada, wind chill hazards: frostbite of exposed skin in 10 to 30 minutes from -28 on, care from -10.
    assert advice(Conditions(felt_c=-28)) == (Advice.COLD_NOT_TODAY,) != advice(Conditions(felt_c=-27))
    assert advice(Conditions(felt_c=-10)) != () == advice(Conditions(felt_c=-9))


@pytest.mark.parametrize(
    ("told", "asked"),
    [
        (Conditions(air_c=-18), Missing.WIND),
        (Conditions(air_c=-18, wind_kmh=5), None),
        (Conditions(air_c=-5), None),  # no wind makes of it what calls a run off
        (Conditions(air_c=-30), None),  # no calm makes it milder
        (Conditions(air_c=30), Missing.HUMIDITY),
        (Conditions(air_c=30, humidity=40), None),
        (Conditions(air_c=22), None),
        (Conditions(air_c=38), None),
        (Conditions(air_c=30, smoke=True), None),
    ],
)
def test_what_decides_is_asked_and_nothing_else(told: Conditions, asked: Missing | None) -> None:
    assert unknown(told) is asked


def test_smoke_without_a_number_calls_the_day_off_beside_whatever_else_is_told() -> None:
    assert [each.calls_off for each in advice(Conditions(smoke=True))] == [True]
    assert advice(Conditions(air_c=34, humidity=50, smoke=True))[0].calls_off
