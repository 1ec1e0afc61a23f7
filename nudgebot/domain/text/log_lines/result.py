"""What a reading is."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.weather import NO_WEATHER, WeatherTold


class Intent(StrEnum):
    """What a line is for."""

    LOG = "log"  # a finished run or other aerobic session
    SKIP = "skip"  # no run today, or one missed
    MOVE = "move"  # a session goes to another day
    BUSY = "busy"  # days closed, or minutes limited on a day
    AWAY = "away"  # a range without runs
    BACK = "back"  # resuming
    STATUS = "status"  # how am I doing, what is next, the plan
    UNDO = "undo"  # delete or correct the last entry
    SYMPTOM = "symptom"  # a complaint is the main content
    SETTINGS = "settings"  # a fact that changes the runner's settings
    ASK = "ask"  # a question
    HELLO = "hello"  # small talk, thanks
    UNKNOWN = "unknown"  # none of these, or cannot be told


@dataclass(frozen=True, slots=True)
class Run:
    """One of several sessions told in one line: the day it was done, whole minutes (1-600), what it was."""

    day: date
    minutes: int
    activity: Activity = Activity.RUN


@dataclass(frozen=True, slots=True)
class Reading:
    """What one line says.

    `minutes`: whole minutes of the session done; for `busy` the limit; for `undo` the corrected value.
    `day`: the day the session was done, or the first day concerned. A log or a skip that names no day is of
    today; a status, undo, back, hello or question that names none has none.
    `days`: the days closed, limited or away, or the target of a move, in order.
    `heart_rate`: average, beats a minute. `rpe`: effort 0-10, a half rounded up. `distance_km`: kilometres.
    `logs`: several sessions in one line; then `minutes` and `day` are None.
    `ask_back`: a careful person would ask before storing anything; then `minutes` is None.
    `choices`: where it asks which of several readings is meant, the likeliest, first the best; else ().
    `weather`: what the line tells of it.
    `plain`: every word is accounted for as one finished run and its minutes, so that nothing else is said.
    """

    intent: Intent
    minutes: int | None = None
    day: date | None = None
    days: tuple[date, ...] = ()
    heart_rate: int | None = None
    rpe: int | None = None
    distance_km: float | None = None
    logs: tuple[Run, ...] = ()
    ask_back: bool = False
    activity: Activity = Activity.RUN
    second_intent: Intent | None = None
    in_place_of_run: bool = False
    hard: bool = False
    language: str = "en"
    weather: WeatherTold = NO_WEATHER
    choices: tuple["Reading", ...] = ()
    plain: bool = field(default=False, compare=False)
