"""Heat index and wind chill against the published tables."""

from __future__ import annotations

import pytest

from nudgebot.domain.profile.weather import Advice, cold_advice, heat_advice, heat_index_f, wind_chill_c


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


@pytest.mark.parametrize(("air", "wind", "chill"), [(-10, 20, -18), (-10, 30, -20), (-20, 30, -33)])
def test_the_wind_chill_rounds_to_the_published_value(air: float, wind: float, chill: int) -> None:
    # US National Weather Service and Environment Canada, 2001.
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
    ("air", "humidity", "advice"),
    [
        (20, 50, Advice.NONE),
        (28, 50, Advice.HEAT_CARE),
        (32, 55, Advice.HEAT_SHORTER),
        (39.4, 30, Advice.HEAT_INDOORS),  # from 103 degrees F, the lower of two published bounds
        (41, 60, Advice.HEAT_NOT_TODAY),
    ],
)
def test_each_band_of_heat_has_its_advice(air: float, humidity: float, advice: Advice) -> None:
    assert heat_advice(air, humidity) is advice


def test_the_stricter_reading_is_one_band_up() -> None:
    assert heat_advice(28, 50, stricter=True) is Advice.HEAT_SHORTER
    assert heat_advice(20, 50, stricter=True) is Advice.NONE
    assert heat_advice(41, 60, stricter=True) is Advice.HEAT_NOT_TODAY


@pytest.mark.parametrize(
    ("air", "wind", "advice"),
    [
        (5, 10, Advice.NONE),
        (-5, 20, Advice.COLD_CARE),
        (-20, 30, Advice.COLD_NOT_TODAY),
        (-30, 0, Advice.COLD_NOT_TODAY),
    ],
)
def test_cold_has_its_advice(air: float, wind: float, advice: Advice) -> None:
    assert cold_advice(air, wind) is advice
