"""Heat, cold and air: the published indices, their bands, and which advice belongs to each.

Two indices say how hot it is, each read in its own table and never in the other's: the heat index, for the shade, and
an approximate wet-bulb globe temperature, for moderate sun and light wind. The graver of the two advices holds.
Nobody is taken to be used to the heat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.model.weather import DAMPS, WINDS, Conditions


class Advice(StrEnum):
    """What a runner is told, mildest first; the words are found elsewhere."""

    NONE = "none"
    COLD_CARE = "cold care"  # layers, hands and head, dry clothes
    HEAT_CARE = "heat care"  # slower, shade, drink to thirst
    AIR_CARE = "air care"  # easier for whoever notices it
    HEAT_SHORTER = "heat shorter"  # early or late, shorter, walk breaks
    AIR_SHORTER = "air shorter"  # shorter and easier
    HEAT_INDOORS = "heat indoors"  # not outside today
    AIR_INDOORS = "air indoors"  # not outside today
    SMOKE = "smoke"  # not outside today, without a number
    COLD_NOT_TODAY = "cold not today"  # frostbite within 30 minutes
    HEAT_NOT_TODAY = "heat not today"
    AIR_NOT_TODAY = "air not today"

    @property
    def calls_off(self) -> bool:
        """Whether there is no running outside for the rest of the day."""
        return self.rank >= BY_RANK.index(Advice.HEAT_INDOORS)

    @property
    def rank(self) -> int:
        """0 for nothing to say, then mildest first."""
        return BY_RANK.index(self)


BY_RANK = tuple(Advice)


@dataclass(frozen=True, slots=True)
class AdviceBand:
    """From a value on, this advice; the heat index and the air index are whole numbers."""

    start: Rule
    advice: Advice


def _band(name: str, value: int, unit: str, source: str, advice: Advice) -> AdviceBand:
    return AdviceBand(Rule(name, value, unit, source, Choice.STANDARD), advice)


HEAT_BANDS: tuple[AdviceBand, ...] = (
    _band("heat index, caution", 80, "°F", "heat-bands", Advice.HEAT_CARE),
    _band("heat index, extreme caution", 90, "°F", "heat-bands", Advice.HEAT_SHORTER),
    _band("heat index, danger", 103, "°F", "heat-bands", Advice.HEAT_INDOORS),
    _band("heat index, extreme danger", 125, "°F", "heat-bands", Advice.HEAT_NOT_TODAY),
)
# Races are called off above 28 °C; training of people not used to the heat from 30.1 on, of everybody above 32.2.
GLOBE_BANDS: tuple[AdviceBand, ...] = (
    _band("wet-bulb globe, high risk", 230, "0.1 °C", "globe-races", Advice.HEAT_CARE),
    _band("wet-bulb globe, limit", 279, "0.1 °C", "globe-training", Advice.HEAT_SHORTER),
    _band("wet-bulb globe, races off", 281, "0.1 °C", "globe-races", Advice.HEAT_INDOORS),
    _band("wet-bulb globe, exercise off", 323, "0.1 °C", "globe-training", Advice.HEAT_NOT_TODAY),
)
# People active outdoors are themselves a sensitive group for ozone, so a runner counts as one.
AIR_BANDS: tuple[AdviceBand, ...] = (
    _band("air quality index, moderate", 51, "", "air-index", Advice.AIR_CARE),
    _band("air quality index, unhealthy for sensitive groups", 101, "", "air-index", Advice.AIR_SHORTER),
    _band("air quality index, unhealthy", 151, "", "air-index", Advice.AIR_INDOORS),
    _band("air quality index, very unhealthy", 201, "", "air-index", Advice.AIR_NOT_TODAY),
)
BANDS = (*HEAT_BANDS, *GLOBE_BANDS, *AIR_BANDS)
HEAT_FORMULA_FROM = Rule("heat index, regression from", 80, "°F", "heat-index", Choice.STANDARD)
CHILL_UP_TO = Rule("wind chill, air up to", 10, "°C", "wind-chill", Choice.STANDARD)
CHILL_WIND_FROM = Rule("wind chill, wind from", 5, "km/h", "wind-chill", Choice.STANDARD)
COLD_CARE_UP_TO = Rule("wind chill, care up to", -10, "°C", "chill-bands", Choice.STANDARD)
FROSTBITE_UP_TO = Rule("wind chill, frostbite within 30 minutes", -28, "°C", "frostbite", Choice.STANDARD)


class Missing(StrEnum):
    """What must be asked, as the advice hangs on it."""

    WIND = "wind"
    HUMIDITY = "humidity"


def advice(told: Conditions, *, stricter: bool = False) -> tuple[Advice, ...]:
    """What the weather calls for, gravest first; () where for nothing. What was not told counts at its mildest.

    `stricter` takes the next band of heat up.
    """
    damp = min(DAMPS.values()) if told.humidity is None else told.humidity
    found: list[Advice] = []
    if told.air_c is not None:
        found += [heat_advice(told.air_c, damp, stricter=stricter), cold_advice(told.air_c, told.wind_kmh or 0)]
    if told.felt_c is not None:
        # What it "feels like" is a heat index or a wind chill already.
        found += [_raised(_reached(HEAT_BANDS, round(_fahrenheit(told.felt_c))), stricter=stricter), _cold(told.felt_c)]
    found.append(air_advice(told.air_index) if told.air_index is not None else Advice.NONE)
    found.append(Advice.SMOKE if told.smoke else Advice.NONE)
    said: dict[str, Advice] = {}
    for each in sorted(found, key=lambda one: one.rank):
        said[_about(each)] = each
    said.pop("", None)
    return tuple(sorted(said.values(), key=lambda one: -one.rank))


def unknown(told: Conditions, *, stricter: bool = False) -> Missing | None:
    """What would decide whether a run outside is called off; None if it is decided."""
    if any(each.calls_off for each in advice(told, stricter=stricter)):
        return None
    for what, missing, worst in (
        (Missing.WIND, told.wind_kmh, replace(told, wind_kmh=max(WINDS.values()))),
        (Missing.HUMIDITY, told.humidity, replace(told, humidity=max(DAMPS.values()))),
    ):
        if missing is None and any(each.calls_off for each in advice(worst, stricter=stricter)):
            return what
    return None


def _about(each: Advice) -> str:
    """What an advice is about: heat, cold, air, or nothing."""
    return "" if each is Advice.NONE else "air" if each is Advice.SMOKE else each.value.split()[0]


def _fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def _reached(bands: tuple[AdviceBand, ...], value: int) -> int:
    """How many bands a value has reached."""
    return sum(value >= band.start.value for band in bands)


def _raised(reached: int, *, stricter: bool) -> Advice:
    return HEAT_BANDS[min(len(HEAT_BANDS), reached + stricter) - 1].advice if reached else Advice.NONE


def heat_index_f(air_f: float, humidity: float) -> float:
    """Heat index (°F) for air temperature (°F) and relative humidity (%). Shade; sun adds up to 15."""
    t, r = air_f, humidity
    simple = 0.5 * (t + 61 + (t - 68) * 1.2 + 0.094 * r)
    if simple < HEAT_FORMULA_FROM.value:
        return simple
    index = (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r
    )
    if r < 13 and 80 <= t <= 112:
        index -= (13 - r) / 4 * math.sqrt((17 - abs(t - 95)) / 17)
    elif r > 85 and 80 <= t <= 87:
        index += (r - 85) / 10 * (87 - t) / 5
    return index


def wind_chill_c(air_c: float, wind_kmh: float) -> float | None:
    """Wind chill (°C) for air temperature (°C) and wind (km/h); None outside the range it is defined for."""
    if air_c > CHILL_UP_TO.value or wind_kmh < CHILL_WIND_FROM.value:
        return None
    power = math.pow(wind_kmh, 0.16)
    return 13.12 + 0.6215 * air_c - 11.37 * power + 0.3965 * air_c * power


def globe_c(air_c: float, humidity: float) -> float:
    """Approximate wet-bulb globe temperature (°C) for air temperature (°C) and relative humidity (%).

    The approximation of the Australian Bureau of Meteorology: moderately strong sun and light wind are taken for
    granted, so it says too much under cloud, in wind and by night.
    """
    vapour = humidity / 100 * 6.105 * math.exp(17.27 * air_c / (237.7 + air_c))  # hPa
    return 0.567 * air_c + 0.393 * vapour + 3.94


def heat_advice(air_c: float, humidity: float, *, stricter: bool = False) -> Advice:
    """The graver advice of the two indices for air temperature (°C) and relative humidity (%).

    `stricter` takes the next band up.
    """
    shade = _reached(HEAT_BANDS, round(heat_index_f(_fahrenheit(air_c), humidity)))
    sun = _reached(GLOBE_BANDS, round(globe_c(air_c, humidity) * 10))
    return _raised(max(shade, sun), stricter=stricter)


def cold_advice(air_c: float, wind_kmh: float) -> Advice:
    """The advice for air temperature (°C) and wind (km/h); still air counts as it is."""
    chill = wind_chill_c(air_c, wind_kmh)
    return _cold(air_c if chill is None else min(air_c, chill))


def _cold(felt_c: float) -> Advice:
    felt = round(felt_c)  # as the tables print it
    if felt <= FROSTBITE_UP_TO.value:
        return Advice.COLD_NOT_TODAY
    return Advice.COLD_CARE if felt <= COLD_CARE_UP_TO.value else Advice.NONE


def air_advice(index: int) -> Advice:
    """The advice for an air quality index (US Environmental Protection Agency, 0-500)."""
    reached = _reached(AIR_BANDS, index)
    return AIR_BANDS[reached - 1].advice if reached else Advice.NONE
