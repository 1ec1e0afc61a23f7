"""Places: zones by city, countries by name, distances by the great circle."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest

from nudgebot.domain.profile import places


@pytest.mark.parametrize(
    ("text", "zone", "country"),
    [
        ("Lisbon", "Europe/Lisbon", "PT"),
        ("lisboa", "Europe/Lisbon", "PT"),
        ("New York", "America/New_York", "US"),
        ("Köln", "Europe/Berlin", "DE"),
        ("London", "Europe/London", "GB"),
        ("London, Canada", "America/Toronto", "CA"),
        ("Apia", "Pacific/Apia", ""),
        ("Australia/Lord_Howe", "Australia/Lord_Howe", ""),
        ("UTC", "UTC", ""),
    ],
)
def test_a_city_or_a_zone_sets_the_clock(text: str, zone: str, country: str) -> None:
    assert places.zone_of(text) == (zone, country)


def test_every_listed_zone_is_one_that_the_zone_data_know() -> None:
    zones = {city.zone for city in places._cities()}
    assert len(zones) > 200
    for zone in zones:
        assert ZoneInfo(zone).key == zone


def test_a_shared_location_finds_the_nearest_city() -> None:
    assert places.nearest(38.72, -9.14).name == "lisbon"
    assert places.nearest(-33.9, 151.2).country == "AU"


def test_country_names_and_codes_agree() -> None:
    assert places.country_of("Deutschland") == places.country_of("de") == "DE"
    assert places.country_name("PT") == "Portugal"
    assert places.country_of("Narnia") is None
