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


# Worked example of the haversine formula, a programming-task collection's Nashville to Los Angeles: 2887.259951 km
# with a radius of 6372.8 km; one degree of latitude is 111.195 km with 6371 km.
def test_distances_are_great_circle_distances() -> None:
    found = places.distance_km(36.12, -86.67, 33.94, -118.40, radius=6372.8)
    assert found == pytest.approx(2887.259951, abs=1e-6)
    assert places.distance_km(36.12, -86.67, 33.94, -118.40) == pytest.approx(2886.444443, abs=1e-6)
    assert places.distance_km(0, 0, 1, 0) == pytest.approx(111.195, abs=1e-3)


def test_country_names_and_codes_agree() -> None:
    assert places.country_of("Deutschland") == places.country_of("de") == "DE"
    assert places.country_name("PT") == "Portugal"
    assert places.country_of("Narnia") is None
