"""The weather as it is told: words of wind and damp with what they are taken for, and the conditions of a day."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nudgebot.domain.model.parameters import Choice, Rule


class Wind(StrEnum):
    """How strong the wind is, in a runner's words."""

    CALM = "calm"
    BREEZY = "breezy"
    STRONG = "strong wind"


class Damp(StrEnum):
    """How humid the air is, in a runner's words."""

    DRY = "dry"
    MIDDLING = "in between"
    HUMID = "humid"


BREEZY_KMH = Rule("breezy, taken for", 28, "km/h", "beaufort", Choice.STANDARD)
STRONG_KMH = Rule("strong wind, taken for", 49, "km/h", "beaufort", Choice.STANDARD)
DRY_AIR = Rule("dry air, taken for", 30, "%", "house")
MIDDLING_AIR = Rule("air in between, taken for", 50, "%", "house")
HUMID_AIR = Rule("humid air, taken for", 70, "%", "house")
WINDS = {Wind.CALM: 0.0, Wind.BREEZY: BREEZY_KMH.value, Wind.STRONG: STRONG_KMH.value}
DAMPS = {Damp.DRY: DRY_AIR.value, Damp.MIDDLING: MIDDLING_AIR.value, Damp.HUMID: HUMID_AIR.value}


@dataclass(frozen=True, slots=True)
class Conditions:
    """The weather as it was told; None for what was not.

    `air_c` and `felt_c` in °C, the second what it "feels like"; `humidity` in %, `wind_kmh` in km/h; `air_index` on
    the scale of the US Environmental Protection Agency, 0-500; `smoke` that the air is called bad in words.
    """

    air_c: float | None = None
    felt_c: float | None = None
    humidity: float | None = None
    wind_kmh: float | None = None
    air_index: int | None = None
    smoke: bool = False
