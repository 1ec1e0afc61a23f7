"""Heat and cold, said: the advice of the published bands, never more comfort than they give."""

from __future__ import annotations

from nudgebot.domain.profile.weather import Advice, cold_advice, heat_advice

WARM_FROM_C = 27  # below it the heat index has no band (80 °F); National Weather Service
ADVICE = {
    Advice.NONE: "",
    Advice.HEAT_CARE: "That is warm: slower, in the shade, and drink to thirst.",
    Advice.HEAT_SHORTER: "That is hot: early or late, shorter, with walk breaks, and stop if you feel dizzy or sick.",
    Advice.HEAT_INDOORS: "That is dangerous heat for running: indoors, or another day.",
    Advice.HEAT_NOT_TODAY: "That is extreme heat: no running outside today.",
    Advice.COLD_CARE: "That is cold: layers, hands and head covered, and dry clothes after it.",
    Advice.COLD_NOT_TODAY: "That is cold enough for frostbite within the half hour: indoors, or another day.",
}
HUMIDITY_UNTOLD = 70  # % that is reckoned with until the runner tells it: damp, so that the doubt goes to care (house)
HUMIDITY_TOO = f"(Reckoned with damp air, {HUMIDITY_UNTOLD} %; with yours I can say it better: 31 degrees, 40 % humid.)"


def weather_line(temperature_c: float | None, humidity: int | None, *, stricter: bool = False) -> str:
    """The advice for what a line told of the weather; "" where it calls for none."""
    if temperature_c is None:
        return ""
    cold = ADVICE[cold_advice(temperature_c, 0)]
    if cold:
        return cold
    if humidity is not None:
        return ADVICE[heat_advice(temperature_c, humidity, stricter=stricter)]
    if temperature_c < WARM_FROM_C:
        return ""
    return f"{ADVICE[heat_advice(temperature_c, HUMIDITY_UNTOLD, stricter=stricter)]} {HUMIDITY_TOO}".strip()
