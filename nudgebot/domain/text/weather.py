"""What a line tells of heat, cold, wind and air, and whether it asks about them; in five languages.

The numbers that belong to the weather are taken out of the line, so that no later step takes "34 outside" or
"40 km/h of wind" for minutes. A number without a unit is the weather's only beside words that leave no doubt ("it's
34 out", "feels like -20"); "30 outside" may be half an hour, and stays where it is.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from nudgebot.domain.model.weather import DAMPS, WINDS, Conditions, Damp, Wind
from nudgebot.domain.text.folding import KEPT, fold
from nudgebot.domain.text.line.tokens import ends_of
from nudgebot.domain.text.word_files import patterns

P = patterns("weather")

HOTTEST_C = 45  # a number without its unit above it can only be degrees Fahrenheit (house)
OTHER_SCALES_TO = 11  # several countries publish an air index of their own from 1 to 10 or 11: it is not ours to read
SHORT_ANSWER = 6  # words; a longer line is no answer to one of our questions (house)
_DIGIT = re.compile(r"\d")
_WORDED = ((Wind.CALM, P.wind_calm), (Wind.STRONG, P.wind_strong), (Wind.BREEZY, P.wind_breezy))
_KMH = {"k": 1.0, "mph": 1.609344, "m": 3.6, "kn": 1.852}


@dataclass(frozen=True, slots=True)
class WeatherTold:
    """What one line says of the weather.

    `air` and `felt` are degrees as they were written, `fahrenheit` their scale (None: the line does not say);
    `humidity` in %, `wind_kmh` in km/h. `other_index` that an air index on another scale was told, `asks` that the
    line asks whether to run in it, `past` that it is weather gone by, `cleared` that bad air is gone; `rest` is the
    line without the weather's numbers.
    """

    air: float | None = None
    felt: float | None = None
    fahrenheit: bool | None = None
    humidity: float | None = None
    wind_kmh: float | None = None
    air_index: int | None = None
    smoke: bool = False
    other_index: bool = False
    asks: bool = False
    past: bool = False
    cleared: bool = False
    rest: str = field(default="", compare=False)

    @property
    def anything(self) -> bool:
        """Whether the line says or asks something that an advice could be given on."""
        told = (self.air, self.felt, self.air_index)
        return self.asks or self.smoke or self.other_index or self.cleared or any(each is not None for each in told)

    def conditions(self, *, fahrenheit: bool) -> Conditions:
        """The weather in °C; `fahrenheit` is what the runner's country uses, where the line does not say."""
        return Conditions(
            _celsius(self.air, self.fahrenheit, fahrenheit), _celsius(self.felt, self.fahrenheit, fahrenheit),
            self.humidity, self.wind_kmh, self.air_index, self.smoke,
        )  # fmt: skip


NO_WEATHER = WeatherTold()


def _celsius(degrees: float | None, told: bool | None, usual: bool) -> float | None:
    if degrees is None:
        return None
    fahrenheit = told if told is not None else usual or degrees > HOTTEST_C
    return round((degrees - 32) / 1.8, 1) if fahrenheit else degrees


@lru_cache(maxsize=KEPT)
def weather_in(text: str) -> WeatherTold:
    """What a line tells of the weather, of a very long one its ends; nothing at all for a line that tells none."""
    text = ends_of(text)
    line, places = fold(text)
    spans: list[tuple[int, int]] = []
    asking = bool(P.asking.search(line))
    air = felt = fahrenheit = index = None
    other = False
    numbers = _DIGIT.search(line) is not None
    if numbers and not P.body.search(line):
        air, felt, fahrenheit = _temperatures(line, spans)
        if asking and air is None and felt is None:
            air = _asked_degrees(line, spans)
    humidity = _humidity(line, spans, numbers=numbers)
    wind = _wind(line, spans) if numbers else _wind_words(line)
    if numbers:
        index, other = _air_index(line, spans)
    smoke = index is None and bool(P.bad_air.search(line) or P.smoke.search(line)) and not P.no_smoke.search(line)
    told = any(each is not None for each in (air, felt, index)) or smoke or other
    asks = asking and bool(
        ((told or P.about.search(line)) and (P.too.search(line) or P.whether.search(line)))
        or (told and line.rstrip().endswith("?"))
    )
    rest = text
    for first, last in spans:
        start, end = places[first], places[last - 1] + 1
        rest = rest[:start] + " " * (end - start) + rest[end:]
    if not told and not asks:
        cleared = bool(P.cleared.search(line))
        return WeatherTold(humidity=humidity, wind_kmh=wind, cleared=cleared, rest=rest)
    past = not asks and bool(P.past.search(line))
    return WeatherTold(air, felt, fahrenheit, humidity, wind, index, smoke, other, asks, past, rest=rest)


def wind_in(text: str) -> float | None:
    """The wind of an answer to "how windy is it?", km/h; a bare number of km/h or words; None where none is said."""
    line = fold(text)[0]
    if len(line.split()) > SHORT_ANSWER:
        return None
    speed = P.speed.search(line)
    if speed:
        return _kmh(speed[1], speed[2])
    if re.search(r"\b(?:strong|stark|fuerte|forte?s?)\b", line):
        return WINDS[Wind.STRONG]
    return _wind_words(line)


def damp_in(text: str) -> float | None:
    """The humidity of an answer to "how humid is it?", %; None where none is said."""
    line = fold(text)[0]
    if len(line.split()) > SHORT_ANSWER:
        return None
    number = re.fullmatch(r"\W*(?:about |around |it'?s )?(\d{1,3}) ?(?:%|percent|per cent)?(?: humid\w*)?\W*", line)
    if number and int(number[1]) <= 100:
        return float(number[1])
    if re.search(r"\bdry\b|\btrocken\b|\bseco\b|\bsec\b", line):
        return DAMPS[Damp.DRY]
    if re.search(r"\bin between\b|\bmiddling\b|\bnormal\b|\baverage\b", line):
        return DAMPS[Damp.MIDDLING]
    return DAMPS[Damp.HUMID] if P.muggy.search(line) else None


def _value(word: str) -> float:
    """A number as it was written, "minus 5" and "-5" below zero."""
    size = float(re.sub(r"[^\d.]", "", word.replace(",", ".")))
    return -size if re.match(r"-|minus|menos|moins|negative", word) else size


def _scale(otherwise: bool | None, *units: str | None) -> bool | None:
    """Whether the first unit that is told is Fahrenheit's."""
    return next((unit.startswith("f") for unit in units if unit), otherwise)


def _temperatures(line: str, spans: list[tuple[int, int]]) -> tuple[float | None, float | None, bool | None]:
    """The air's degrees, what they feel like, and whether they are Fahrenheit; their places go to `spans`."""
    felt = P.felt.search(line)
    scale: bool | None = None
    felt_value: float | None = None
    if felt:
        spans.append(felt.span())
        scale = _scale(None, felt["fa"], felt["fb"], felt["fc"])
        minus = -1 if re.search(r"minus $", line[felt.start() : felt.start(1)]) else 1
        felt_value = minus * _value(felt[1])
        line = line[: felt.start()] + " " * (felt.end() - felt.start()) + line[felt.end() :]
    found = [match for match in P.degrees.finditer(line) if _value(match[1]) <= _HOTTEST]
    if found:
        # The highest of a range of heat, the lowest of one of frost: the graver one counts.
        values = [-abs(_value(m[1])) if P.zero.match(line, m.end()) else _value(m[1]) for m in found]
        spans += [match.span() for match in found]
        scale = _scale(scale, *(unit for match in found for unit in match.group("ua", "ub", "uc")))
        return (max(values) if max(values) > _TEMPERATE else min(values)), felt_value, scale
    for pattern in (P.below, P.shade, P.frost, P.bare):
        match = pattern.search(line)
        if match:
            spans.append(match.span(1))
            value = _value(match[1])
            return (-abs(value) if pattern is P.below else value), felt_value, scale
    return None, felt_value, scale


_HOTTEST = 130  # a greater number is no air temperature in either scale (the record of the air is under 135 °F)
_TEMPERATE = 15


def _asked_degrees(line: str, spans: list[tuple[int, int]]) -> float | None:
    """The one number of a question about heat or cold: "is 36 too hot?", "34 outside, should I go?"."""
    outside = P.outside.search(line) if P.whether.search(line) or P.too.search(line) else None
    alone = P.alone.findall(line) if P.too.search(line) else []
    match = outside or (P.alone.search(line) if len(alone) == 1 else None)
    if match is None:
        return None
    spans.append(match.span(1))
    return _value(match[1])


def _humidity(line: str, spans: list[tuple[int, int]], *, numbers: bool) -> float | None:
    if numbers and P.humid.search(line):
        for match in P.percent.finditer(line):
            if int(match[1]) <= 100:
                spans.append(match.span())
                return float(match[1])
    if P.dry.search(line):
        return DAMPS[Damp.DRY]
    return DAMPS[Damp.HUMID] if P.muggy.search(line) else None


def _wind(line: str, spans: list[tuple[int, int]]) -> float | None:
    match = P.wind_speed.search(line)
    if match is None:
        return _wind_words(line)
    first = 1 if match[1] else 3
    spans.append((match.start(first), match.end(first + 1)))
    return _kmh(match[first], match[first + 1])


def _kmh(number: str, unit: str) -> float:
    kind = {"kph": "k", "mph": "mph", "m/s": "m", "ms": "m", "mps": "m"}.get(unit, "kn")
    return float(number) * _KMH["k" if unit.startswith("km") else kind]


def _wind_words(line: str) -> float | None:
    return next((WINDS[wind] for wind, words in _WORDED if words.search(line)), None)


def _air_index(line: str, spans: list[tuple[int, int]]) -> tuple[int | None, bool]:
    """The air index told, and whether one of another scale was."""
    other = P.other_index.search(line)
    if other:
        spans.append(other.span())
        return None, True
    match = P.index.search(line)
    if match is None:
        return None, False
    place = 1 if match[1] else 2
    spans.append(match.span(place))
    index = int(match[place])
    return (None, True) if index <= OTHER_SCALES_TO and "aqi" not in match[0] else (index, False)
