"""How easy is easy: the heart-rate band, by order of trust, and a session's load. Offered, never required."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.parameters import Choice, Rule

RESERVE_LOW = Rule("easy band, of heart-rate reserve, from", 40, "%", "acsm-2011", Choice.STANDARD)
RESERVE_HIGH = Rule("easy band, of heart-rate reserve, to", 59, "%", "acsm-2011", Choice.STANDARD)
MAXIMUM_LOW = Rule("easy band, of maximum heart rate, from", 64, "%", "acsm-2011", Choice.STANDARD)
MAXIMUM_HIGH = Rule("easy band, of maximum heart rate, to", 76, "%", "acsm-2011", Choice.STANDARD)
AGE_ERROR = Rule("error of a maximum worked out from age", 11, "beats a minute", "nes-2013", Choice.STANDARD)
OVER_BAND = Rule("average over the band that is named", 3, "beats a minute", "house")
OVER_BAND_RUNS = Rule("runs in a row over the band after which it is checked", 3, "runs", "house")
YOUNGEST = 40  # years; this is made for runners over forty


@dataclass(frozen=True, slots=True)
class AgeFormula:
    """Maximum heart rate (beats a minute) from age (years): `at_birth - fall * age`."""

    source: str
    at_birth: float
    fall: float

    def maximum(self, age: int) -> float:
        """The formula's maximum at `age`."""
        return self.at_birth - self.fall * age


AGE_FORMULAS: tuple[AgeFormula, ...] = (
    AgeFormula("fox-1971", 220, 1.0),
    AgeFormula("tanaka-2001", 208, 0.7),
    AgeFormula("gellish-2007", 207, 0.7),
    AgeFormula("nes-2013", 211, 0.64),
)


class Trust(StrEnum):
    """What a band rests on, the most trusted first."""

    RESERVE = "heart-rate reserve"  # measured maximum and resting rate
    MAXIMUM = "measured maximum"
    AGE = "age"


@dataclass(frozen=True, slots=True)
class Band:
    """The easy band in whole beats a minute, what it rests on and its error (beats a minute, 0: measured)."""

    low: int
    high: int
    trust: Trust
    error: int = 0


@dataclass(frozen=True, slots=True)
class Heart:
    """What is known of a runner's heart rate (beats a minute) and age (years).

    `no_band` is set by rate-limiting medicine and in pregnancy.
    """

    age: int | None = None
    resting: int | None = None
    maximum: int | None = None
    no_band: bool = False


def easy_band(heart: Heart) -> Band | None:
    """The easy band from the most trusted of what is known; None if there is none to give."""
    if heart.no_band:
        return None
    if heart.maximum is not None and heart.resting is not None and heart.resting < heart.maximum:
        reserve = heart.maximum - heart.resting
        low, high = (heart.resting + rule.of(reserve) for rule in (RESERVE_LOW, RESERVE_HIGH))
        return Band(round(low), int(high), Trust.RESERVE)
    if heart.maximum is not None:
        return Band(round(MAXIMUM_LOW.of(heart.maximum)), int(MAXIMUM_HIGH.of(heart.maximum)), Trust.MAXIMUM)
    if heart.age is None:
        return None
    lowest = min(formula.maximum(heart.age) for formula in AGE_FORMULAS)
    return Band(round(MAXIMUM_LOW.of(lowest)), int(MAXIMUM_HIGH.of(lowest)), Trust.AGE, AGE_ERROR.value)


def is_over(band: Band, average: int) -> bool:
    """Whether a run's average (beats a minute) was more than 3 over the band."""
    return average > band.high + OVER_BAND.value


def is_beyond_maximum(heart: Heart, average: int) -> bool:
    """Whether a run's average (beats a minute) is over what the heart can be expected to reach at all.

    The measured maximum and its usual error, else twice the error over the highest of the formulas; where the age is
    unknown, that of the youngest runners this is made for.
    """
    if heart.maximum is not None:
        return average > heart.maximum + AGE_ERROR.value
    age = heart.age if heart.age is not None else YOUNGEST
    return average > max(formula.maximum(age) for formula in AGE_FORMULAS) + 2 * AGE_ERROR.value


def check_the_band(band: Band, log: tuple[LogEntry, ...]) -> bool:
    """Whether the last three runs with a heart rate were all over the band: check it, or the sensor."""
    averages = [entry.heart_rate for entry in log if entry.is_run and entry.heart_rate is not None]
    last = averages[-OVER_BAND_RUNS.value :]
    return len(last) == OVER_BAND_RUNS.value and all(is_over(band, average) for average in last)
