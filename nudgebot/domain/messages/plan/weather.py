"""Heat, cold and air, said: the advice of the published bands, never more comfort than they give."""

from __future__ import annotations

from datetime import date

from nudgebot.domain.messages.plan.lines import next_line, replan_lines
from nudgebot.domain.model.actions import ChosenNumber
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.weather import DAMPS, WINDS, Damp, Wind
from nudgebot.domain.model.week import Session
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.profile.weather import Advice, Missing

ADVICE = {
    Advice.COLD_CARE: "That is cold: layers, hands and head covered, out of the wind, and dry clothes after it.",
    Advice.HEAT_CARE: "That is warm: slower, in the shade, and drink to thirst.",
    Advice.AIR_CARE: "The air is moderate: if you cough or get short of breath, take it easier or go in.",
    Advice.HEAT_SHORTER: "That is hot: early or late, shorter, with walk breaks, and stop if you feel dizzy or sick.",
    Advice.AIR_SHORTER: "The air is poor: shorter and easier, away from traffic, and stop if you cough.",
    Advice.HEAT_INDOORS: "That is dangerous heat for running: not outside today.",
    Advice.AIR_INDOORS: "The air is unhealthy: not outside today.",
    Advice.SMOKE: "In air like that: not outside today, and windows shut.",
    Advice.COLD_NOT_TODAY: "In that cold bare skin can freeze within half an hour: not outside today.",
    Advice.HEAT_NOT_TODAY: "That is extreme heat: not outside today, and indoors where it is cool.",
    Advice.AIR_NOT_TODAY: "The air is very unhealthy: not outside today, and windows shut.",
}
# Beside a run that is done the advice is for the next one.
AFTER = {
    Advice.COLD_CARE: "That was cold: dry clothes and something warm now.",
    Advice.HEAT_CARE: "That was warm: drink to thirst, and next time slower and in the shade.",
    Advice.AIR_CARE: "The air was moderate: if you cough, take the next one easier.",
    Advice.HEAT_SHORTER: "That was hot: drink to thirst, and next time early or late, and shorter.",
    Advice.AIR_SHORTER: "The air was poor: next time shorter and easier, away from traffic.",
    Advice.HEAT_INDOORS: "That is dangerous heat for running: cool down, drink to thirst, and next time indoors.",
    Advice.AIR_INDOORS: "That air is unhealthy: next time indoors, or another day.",
    Advice.SMOKE: "In air like that stay indoors now; next time indoors, or another day.",
    Advice.COLD_NOT_TODAY: "In that cold bare skin freezes within half an hour: look at fingers, ears and "
    "nose, warm up.",
    Advice.HEAT_NOT_TODAY: "That is extreme heat: cool down now, drink to thirst, and next time indoors or not at all.",
    Advice.AIR_NOT_TODAY: "That air is very unhealthy: stay indoors now; next time indoors, or another day.",
}
QUESTIONS = {
    Missing.WIND: (
        "How windy is it? In still air layers are enough; in strong wind bare skin freezes within half an hour."
    ),
    Missing.HUMIDITY: (
        "How does the air feel? In dry air a slow run in the shade is possible; humid and sunny, it is too hot to run."
    ),
}
CHOICES = {
    Missing.WIND: tuple((wind.value.capitalize(), ChosenNumber(WINDS[wind])) for wind in Wind),
    Missing.HUMIDITY: tuple((damp.value.capitalize(), ChosenNumber(DAMPS[damp])) for damp in Damp),
}
INDOORS_COUNTS = "Indoors counts too, a walk or a run: just write the minutes."
CLEARED = "Good to hear."
STILL_OFF = "For today I would still not run outside. A walk indoors is fine."
UNTOLD = "Tell me the weather, and I say whether to run and how: 31 degrees, 70 % humid; -15, strong wind; AQI 120."
FINE = "The published limits ask for nothing special in that weather."
HOW_EASY = "As always: easy enough for full sentences, effort 4 of 10 or less."
OTHER_SCALE = (
    "I know the US scale for air, 0 to 500, and no other. Go by the words of yours: "
    "from “poor” or “unhealthy” on, not outside."
)


def advise(found: tuple[Advice, ...], *, when: str = "today") -> str:
    """What the weather calls for, gravest first; "" for nothing. `when` is the day it is told for."""
    if any(each.calls_off for each in found):
        found = tuple(each for each in found if each.calls_off)
    return " ".join(ADVICE[each] for each in found).replace("not outside today", f"not outside {when}")


def advise_after_run(found: tuple[Advice, ...]) -> str:
    """The advice beside a run that is done, the gravest alone; "" for none."""
    return AFTER[found[0]] if found else ""


def say_called_off(text: str, book: Book, had: Session | None, replanned: Replanned | None, today: date) -> str:
    """The advice that called a day off, and what that changes; `had` is the session it had."""
    lines = [f"{text} {INDOORS_COUNTS}"]
    if had is not None or (replanned is not None and replanned.changed):
        lines += replan_lines(replanned, today) or [next_line(book, today)]
    return "\n".join(lines)
