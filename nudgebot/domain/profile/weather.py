"""Heat and cold: the published indices, their bands, and which advice belongs to each."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from nudgebot.domain.model.parameters import Choice, Rule


class Advice(StrEnum):
    """What a runner is told; the words are found elsewhere."""

    NONE = "none"
    HEAT_CARE = "heat care"  # slower, shade, drink to thirst
    HEAT_SHORTER = "heat shorter"  # early or late, shorter, walk breaks
    HEAT_INDOORS = "heat indoors"  # indoors, or not today
    HEAT_NOT_TODAY = "heat not today"
    COLD_CARE = "cold care"  # layers, hands and head, dry clothes
    COLD_NOT_TODAY = "cold not today"  # frostbite within 30 minutes


@dataclass(frozen=True, slots=True)
class HeatBand:
    """From a heat index (°F, rounded to a whole degree) on, this advice."""

    from_f: Rule
    advice: Advice


HEAT_BANDS: tuple[HeatBand, ...] = (
    HeatBand(Rule("heat index, caution", 80, "°F", "heat-bands", Choice.STANDARD), Advice.HEAT_CARE),
    HeatBand(Rule("heat index, extreme caution", 90, "°F", "heat-bands", Choice.STANDARD), Advice.HEAT_SHORTER),
    HeatBand(Rule("heat index, danger", 103, "°F", "heat-bands", Choice.STANDARD), Advice.HEAT_INDOORS),
    HeatBand(Rule("heat index, extreme danger", 125, "°F", "heat-bands", Choice.STANDARD), Advice.HEAT_NOT_TODAY),
)
HEAT_FORMULA_FROM = Rule("heat index, regression from", 80, "°F", "heat-index", Choice.STANDARD)
CHILL_UP_TO = Rule("wind chill, air up to", 10, "°C", "wind-chill", Choice.STANDARD)
CHILL_WIND_FROM = Rule("wind chill, wind from", 5, "km/h", "wind-chill", Choice.STANDARD)
COLD_CARE_UP_TO = Rule("wind chill, care up to", -10, "°C", "house")
FROSTBITE_UP_TO = Rule("wind chill, frostbite within 30 minutes", -28, "°C", "frostbite", Choice.STANDARD)


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


def heat_advice(air_c: float, humidity: float, *, stricter: bool = False) -> Advice:
    """The advice for air temperature (°C) and relative humidity (%); `stricter` takes the next band up."""
    index = round(heat_index_f(air_c * 9 / 5 + 32, humidity))
    reached = sum(index >= band.from_f.value for band in HEAT_BANDS)
    if not reached:
        return Advice.NONE
    return HEAT_BANDS[min(len(HEAT_BANDS), reached + stricter) - 1].advice


def cold_advice(air_c: float, wind_kmh: float) -> Advice:
    """The advice for air temperature (°C) and wind (km/h); still air counts as it is."""
    chill = wind_chill_c(air_c, wind_kmh)
    felt = air_c if chill is None else chill
    if felt <= FROSTBITE_UP_TO.value:
        return Advice.COLD_NOT_TODAY
    return Advice.COLD_CARE if felt <= COLD_CARE_UP_TO.value else Advice.NONE
