"""What an amount is, and the units that make one of a number: minutes, hours, kilometres, days."""

from enum import IntEnum
from typing import NamedTuple

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import NUMERIC, Kind
from nudgebot.domain.text.word_files import words

W = words("amounts")
KM_PER_MILE = 1.609344  # international mile (1959): 1760 yards of 0.9144 m
KM_PER_METRE = 0.001
# Sets, for a number that has a decimal point is looked for in a range one by one.
PULSE = frozenset(range(30, 231))  # beats a minute a person can have; common practice, no source
PULSE_AFTER_AT = frozenset(range(80, 221))  # "@138": lower could be a pace or a clock
PACE = frozenset(range(120, 1201))  # seconds a kilometre or mile, from sprinting to strolling; common practice
TOP_EFFORT = 10
BARE_FROM, BARE_TO = 10, 90  # a number with no unit is minutes from 10 to 90
HOURS = 24  # of a day


class Sort(IntEnum):
    """What an amount is."""

    DURATION = 0  # minutes
    BARE = 1  # a number with no unit
    DISTANCE = 2  # km
    PACE = 3  # seconds a kilometre
    PULSE = 4  # beats a minute, average
    EFFORT = 5  # 0-10
    PAIN = 6  # 0-10
    CLOCK = 7  # a time of day
    UNCLEAR = 8  # 6:30, 18:20: a time of day, a pace or a duration
    DATE = 9  # left to days.py
    SPAN = 10  # a length in days
    RANGE = 11  # 40-45: two values, neither meant
    OTHER = 12  # a number that is none of these


class Amount(NamedTuple):
    """One amount, from token `first` up to, not including, token `last`."""

    sort: Sort
    value: float
    first: int
    last: int
    per_mile: bool = False  # a pace said without its unit after a distance in miles


TIMES = frozenset((Sort.DURATION, Sort.BARE))  # what may be minutes of a run
UNITS = frozenset((Cue.MINUTE, Cue.HOUR, Cue.SECOND, Cue.KM, Cue.MILE, Cue.METRE, Cue.M))


# What a unit makes of a number, and by how much it is multiplied.
_BY_UNIT = (
    (Cue.MINUTE, Sort.DURATION, 1), (Cue.KM, Sort.DISTANCE, 1), (Cue.MILE, Sort.DISTANCE, KM_PER_MILE),
    (Cue.SECOND, Sort.DURATION, 1 / 60), (Cue.SPAN_DAY, Sort.SPAN, 1), (Cue.SPAN_WEEK, Sort.SPAN, 7),
    (Cue.SPAN_MONTH, Sort.SPAN, 30),
)  # fmt: skip
_AND_A_HALF = frozenset((("and", "a", "half"), ("y", "medio"), ("et", "demi"), ("e", "meio")))
METRES_FROM = 300  # "m" behind a greater number is metres
_LABELS = frozenset(
    (
        Cue.HEART, Cue.AVERAGE, Cue.MAXIMUM, Cue.MINIMUM, Cue.RESTING, Cue.EFFORT, Cue.PAIN_SCALE,
        Cue.NUMBERED, Cue.PACE,
    )
)  # fmt: skip
MEASURES = frozenset((Cue.COUNTED, Cue.PERCENT, Cue.DEGREE, Cue.CELSIUS, Cue.FAHRENHEIT))


class Units:
    """Reads the unit of a number and what stands around it."""

    def __init__(self, line: ParsedLine) -> None:
        self.line = line
        self.tokens = line.tokens
        self.size = len(line.tokens)
        self.cues, self.text = line.cues, line.text

    def kind(self, place: int) -> Kind | None:
        return self.tokens[place].kind if 0 <= place < self.size else None

    def value(self, place: int) -> float:
        """The number at `place`; -1 where none is."""
        return self.tokens[place].value if self.kind(place) is Kind.NUMBER else -1

    def past(self, place: int) -> int:
        return self.line.past(place) if place < self.size else place

    def starts(self, place: int, cue: Cue) -> bool:
        """Whether a word or phrase with this hint begins at `place`."""
        mark = self.line.marks[place] if 0 <= place < self.size else None
        return mark is not None and mark.first == place and cue in mark.cues

    def labels(self, place: int) -> frozenset[Cue]:
        """Hints of the words right before a number, over words that only fill: "hr was around 138"."""
        seen: frozenset[Cue] = frozenset()
        back = place - 1
        for _ in range(5):
            if back < 0 or self.kind(back) in NUMERIC:
                break
            cues = self.cues(back)
            if cues & _LABELS:
                seen |= cues
                if cues & {Cue.EFFORT, Cue.NUMBERED}:
                    break
            elif Cue.FILLER not in cues and self.text(back) not in {"a", "an"}:
                break
            mark = self.line.marks[back]
            back = (mark.first if mark else back) - 1
        return seen

    def with_unit(self, place: int, value: float) -> Amount | None:
        after = place + 1
        far = self._and_a_half(place, value)
        if far is not None:
            return far
        cues, past = self.cues(after), self.past(after)
        if Cue.DISTANCE_NAMED in cues:
            cues, past = self.line.own(after), after + 1
        per_hour = self.text(past) == "/" and self.text(past + 1) in {"h", "hr", "hour", "std"}
        if Cue.KM in cues and (per_hour or Cue.COUNTED in self.line.own(past)):
            return Amount(Sort.OTHER, value, place, past + 1 + per_hour)  # 10k steps, 10 km/h
        if Cue.MONTH in cues:
            return None
        if Cue.DURATION in cues and self.text(after) in W.hour:
            cues |= {Cue.HOUR}
        if Cue.HOUR in cues:
            return self._hours(place, value, after + 1)
        return self._by_unit(place, value, cues, past)

    def _and_a_half(self, place: int, value: float) -> Amount | None:
        """A distance said with its half: "two and a half miles", "deux kilomètres et demi"."""
        texts, behind = self.line.texts, place + 4
        for half, unit, last in (
            (texts[place + 1 : behind], behind, behind + 1),
            (texts[place + 2 : behind], place + 1, behind),
        ):
            if half in _AND_A_HALF:
                cues = self.line.own(unit)
                far = next((factor for cue, sort, factor in _BY_UNIT if cue in cues and sort is Sort.DISTANCE), None)
                if far is not None:
                    return Amount(Sort.DISTANCE, (value + 0.5) * far, place, last)
        return None

    def _by_unit(self, place: int, value: float, cues: frozenset[Cue], past: int) -> Amount | None:
        """What `cues`, those of the unit behind a number, make of it; the unit ends at `past`."""
        for cue, sort, factor in _BY_UNIT:
            if cue in cues:
                return Amount(sort, value * factor, place, past)
        if Cue.M in cues and value < METRES_FROM:  # minutes, unless it measures a climb
            around = {self.text(past), self.text(past + 1), self.text(place - 1)}
            return Amount(Sort.OTHER if around & (W.climb | W.repeats) else Sort.DURATION, value, place, past)
        if cues & {Cue.M, Cue.METRE}:
            return Amount(Sort.DISTANCE if value >= 1000 else Sort.OTHER, value * KM_PER_METRE, place, past)
        if Cue.AFTER_HOURS in cues:
            return Amount(Sort.DURATION, value * 60 + self._told_in_words(place + 1), place, past + 1)
        return None

    def _told_in_words(self, place: int) -> float:
        """The minutes of the phrase at `place`."""
        mark = self.line.marks[place]
        return mark.value or 0.0 if mark else 0.0

    def _hours(self, place: int, value: float, after: int) -> Amount:
        """An hour count with what follows it: 1h05, 1 h 5 min, 1 hour and 5, 2 hours and a half."""
        if self.starts(place - 1, Cue.AT):
            return Amount(Sort.CLOCK, value * 60, place, after + (self.kind(after) is Kind.NUMBER))
        return self.and_minutes(place, value * 60, after)

    def said(self, place: int) -> Amount:
        """A duration in words, with minutes behind it: an hour and ten, half an hour and five minutes."""
        minutes, last = self._told_in_words(place), self.past(place)
        named = Cue.AND in self.cues(last) and Cue.MINUTE in self.cues(last + 2)
        if minutes % 60 and not named:
            return Amount(Sort.DURATION, minutes, place, last)
        return self.and_minutes(place, minutes, last)

    def and_minutes(self, place: int, minutes: float, after: int) -> Amount:
        if Cue.AFTER_HOURS in self.cues(after):
            return Amount(Sort.DURATION, minutes + self._told_in_words(after), place, self.past(after))
        if minutes <= 120 and self.text(after) in W.less and 0 < self.value(after + 1) < 60:  # "uma hora menos cinco"
            last = after + 2 + (Cue.MINUTE in self.cues(after + 2))
            return Amount(Sort.DURATION, minutes - self.value(after + 1), place, last)
        ahead = after + (Cue.AND in self.cues(after))
        more = self.value(ahead)
        if 0 <= more < 60:
            unit = self.cues(ahead + 1)
            if Cue.MINUTE in unit:
                return Amount(Sort.DURATION, minutes + more, place, ahead + 2)
            if not unit & (UNITS | MEASURES | {Cue.BPM, Cue.HEART}):
                return Amount(Sort.DURATION, minutes + more, place, ahead + 1)
        return Amount(Sort.DURATION, minutes, place, after)
