"""The easy heart-rate band and the session load, against published examples."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.profile.effort import (
    AGE_FORMULAS,
    Band,
    Heart,
    Trust,
    check_the_band,
    easy_band,
    is_over,
)


def test_50_years_and_nothing_else_is_109_to_129() -> None:
    # 64-76 % of 170, the lowest maximum that the formulas give. ACSM position stand 2011; Fox 1971.
    assert easy_band(Heart(age=50)) == Band(109, 129, Trust.AGE, 11)


@pytest.mark.parametrize(
    ("source", "age", "maximum"),
    [
        ("fox-1971", 50, 170),
        ("tanaka-2001", 50, 173.0),  # Tanaka et al., J Am Coll Cardiol 2001;37:153
        ("tanaka-2001", 45, 176.5),
        ("tanaka-2001", 60, 166.0),
        ("gellish-2007", 50, 172.0),  # Gellish et al., Med Sci Sports Exerc 2007;39:822; from memory
        ("nes-2013", 50, 179.0),  # Nes et al., Scand J Med Sci Sports 2013;23:697
        ("nes-2013", 45, 182.2),
        ("nes-2013", 60, 172.6),
    ],
)
def test_the_published_age_formulas(source: str, age: int, maximum: float) -> None:
    formula = next(row for row in AGE_FORMULAS if row.source == source)
    assert formula.maximum(age) == pytest.approx(maximum)


def test_heart_rate_reserve_is_the_published_formula() -> None:
    # Karvonen et al. 1957: rest 60, maximum 173: 40 % -> 105.2, 59 % -> 126.67.
    assert easy_band(Heart(age=50, resting=60, maximum=173)) == Band(105, 126, Trust.RESERVE)


def test_percent_of_a_measured_maximum() -> None:
    # ACSM position stand 2011: 64 % of 173 = 110.7, 76 % = 131.5.
    assert easy_band(Heart(maximum=173)) == Band(111, 131, Trust.MAXIMUM)


def test_medicine_or_pregnancy_gives_no_band() -> None:
    assert easy_band(Heart(age=50, maximum=173, no_band=True)) is None
    assert easy_band(Heart()) is None


@pytest.mark.parametrize(("average", "over"), [(129, False), (132, False), (133, True)])
def test_an_average_more_than_three_over_the_band_is_named(average: int, over: bool) -> None:
    assert is_over(Band(109, 129, Trust.AGE), average) is over


@pytest.mark.parametrize(
    ("averages", "check"), [((140, 140), False), ((140, 120, 140), False), ((133, 140, 150), True)]
)
def test_three_runs_over_the_band_call_for_a_check(averages: tuple[int, ...], check: bool) -> None:
    day = date(2027, 1, 4)
    log = tuple(LogEntry(str(n), day + timedelta(days=n), 30, heart_rate=rate) for n, rate in enumerate(averages))
    assert check_the_band(Band(109, 129, Trust.AGE), log) is check
