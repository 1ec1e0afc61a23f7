"""Places: city to zone and country, a location to the nearest city, a country to its code, holidays, emergency numbers.

Emergency numbers go by the runner's country setting and by nothing else, never by time zone or phone prefix: 111 is the
emergency number of New Zealand and an advice line in the United Kingdom, and 911 does not reliably connect in
Australia. For a country that is not listed, or not told, the words are "the local emergency number (112 from most
mobiles)" (GSM phones carry 112; Better Health Channel, Victoria).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache, lru_cache
from importlib import resources
from typing import Final
from zoneinfo import available_timezones

from nudgebot.domain.activity.track import metres
from nudgebot.domain.text.folding import squeezed


@dataclass(frozen=True, slots=True)
class City:
    """A city of at least 90,000 people: plain name, ISO 3166-1 country, degrees, IANA zone."""

    name: str
    country: str
    latitude: float
    longitude: float
    zone: str


def zone_of(text: str) -> tuple[str, str] | None:
    """IANA zone and country ("" if unknown) for a zone's name or a city's, "Paris" or "Paris, Texas, US".

    Of cities that share a name the largest is taken; a country behind the last comma decides otherwise.
    """
    name = text.strip()
    if (zone := _zones().get(squeezed(name))) is not None:
        return zone, ""
    head, _, tail = squeezed(name).partition(",")
    where = country_of(tail.rpartition(",")[2]) if tail else None
    for city in _by_name().get(head.strip(), ()):
        if where is None or city.country == where:
            return city.zone, city.country
    # A zone named after a city that is too small for the list: Atlantic/Madeira, Pacific/Apia.
    return (zone, "") if (zone := _zone_tails().get(head.strip())) else None


def nearest(latitude: float, longitude: float) -> City:
    """The listed city nearest to a point, by great-circle distance."""
    return min(_cities(), key=lambda city: metres(latitude, longitude, city.latitude, city.longitude))


def country_of(text: str) -> str | None:
    """ISO 3166-1 alpha-2 code for a code or a country's name."""
    name = squeezed(text).strip(" .")
    return _countries().get(name)


def country_name(code: str) -> str:
    """The English name for an ISO 3166-1 alpha-2 code; the code itself where it is unknown."""
    return _country_names().get(code, code)


def _rows(name: str) -> list[list[str]]:
    text = resources.files("nudgebot.domain.profile").joinpath(name).read_text(encoding="utf-8")
    return [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]


@cache
def _cities() -> tuple[City, ...]:
    return tuple(City(row[0], row[1], float(row[2]), float(row[3]), row[4]) for row in _rows("cities.tsv"))


@cache
def _by_name() -> dict[str, tuple[City, ...]]:
    names: dict[str, tuple[City, ...]] = {}
    others: dict[str, tuple[City, ...]] = {}
    for city, row in zip(_cities(), _rows("cities.tsv"), strict=True):
        short = city.name.removesuffix(" city") if city.name.count(" ") > 1 else city.name
        for name in {city.name, short}:
            names[name] = (*names.get(name, ()), city)
        for name in filter(None, row[5].split(";")):
            others[name] = (*others.get(name, ()), city)
    # A city's own name goes before another city's second name.
    return {name: names.get(name, ()) + others.get(name, ()) for name in {**others, **names}}


@cache
def _zones() -> dict[str, str]:
    return {squeezed(zone): zone for zone in available_timezones() if "/" in zone or zone == "UTC"}


@cache
def _zone_tails() -> dict[str, str]:
    areas = ("Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific")
    listed = sorted(zone for zone in available_timezones() if zone.partition("/")[0] in areas)
    return {squeezed(zone.rpartition("/")[2]): zone for zone in listed}


@cache
def _country_names() -> dict[str, str]:
    return {row[0]: " ".join(word.capitalize() for word in row[1].split()) for row in _rows("countries.tsv")}


@cache
def _countries() -> dict[str, str]:
    found: dict[str, str] = {}
    for code, name, others in _rows("countries.tsv"):
        for key in (code.lower(), name, *filter(None, others.split(";"))):
            found.setdefault(key, code)
    found["uk"] = "GB"  # not ISO 3166, but what people write
    return found


def public_holidays(country: str, first: date) -> tuple[tuple[date, str], ...]:
    """The public holidays of `country` (ISO 3166-1 alpha-2) in the seven days from `first` on, with English names.

    None for a country that is not told or not listed; regional holidays are left out.
    """
    listed = dict(entry for year in {first.year, (first + timedelta(days=6)).year} for entry in _of(country, year))
    days = (first + timedelta(days=n) for n in range(7))
    return tuple((day, listed[day]) for day in days if day in listed)


@lru_cache(maxsize=256)
def _of(country: str, year: int) -> tuple[tuple[date, str], ...]:
    if not country:
        return ()
    import holidays  # noqa: PLC0415 - two hundred countries are loaded where one is asked for, and no sooner

    try:
        return tuple(holidays.country_holidays(country, years=year, language="en_US").items())
    except NotImplementedError:
        return ()


@dataclass(frozen=True, slots=True)
class EmergencyNumber:
    """A row of `emergency.tsv`: what to dial in `countries` (ISO 3166-1); `seen` says how the value was checked."""

    kind: str  # "number" for an ambulance, "crisis" for a crisis line
    dial: str
    countries: tuple[str, ...]
    source: str
    seen: str  # "seen", "seen in copies" or "from memory"


# How to say it where the number is known, and where it is not.
EMERGENCY_CALL: Final[Mapping[str, tuple[str, str]]] = {
    "en": ("call {}", "call the local emergency number (112 from most mobiles)"),
    "es": ("llama al {}", "llama al número de emergencias de tu zona (112 desde casi cualquier móvil)"),
    "de": ("ruf die {} an", "ruf die örtliche Notrufnummer (112 von fast jedem Handy) an"),
    "fr": ("appelle le {}", "appelle le numéro d’urgence local (le 112 depuis presque tous les mobiles)"),
    "pt": ("liga para o {}", "liga para o número de emergência local (112 em quase todos os telemóveis)"),
}


@cache
def emergency_numbers(kind: str) -> tuple[EmergencyNumber, ...]:
    """The rows of that kind, in the order of the file."""
    text = resources.files("nudgebot.domain.profile").joinpath("emergency.tsv").read_text("utf-8")
    cells = (line.split("\t") for line in text.splitlines() if not line.startswith("#"))
    rows = (
        EmergencyNumber(of, dial, tuple(countries.split()), source, seen) for of, dial, countries, source, seen in cells
    )
    return tuple(row for row in rows if row.kind == kind)


def _dial(kind: str, country: str) -> str | None:
    return next((row.dial for row in emergency_numbers(kind) if country in row.countries), None)


def crisis_line(country: str) -> str:
    """The crisis line of a country in brackets, after a space; empty if none was checked."""
    line = _dial("crisis", country)
    return f" ({line})" if line else ""


def emergency_call(country: str, language: str = "en") -> str:
    """The words "call 112", or "call the local emergency number (112 from most mobiles)"."""
    known, unknown = EMERGENCY_CALL[language]
    dial = _dial("number", country)
    return known.format(dial) if dial else unknown
