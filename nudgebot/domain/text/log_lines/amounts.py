"""The amounts of a line: how long, how far, how fast, how hard — and the numbers that are none of these."""

from enum import IntEnum
from typing import NamedTuple, assert_never

from nudgebot.domain.text.claims import Claimed
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import NUMERIC, Kind, Token
from nudgebot.domain.text.word_files import words

W = words("amounts")

KM_PER_MILE = 1.609344  # international mile (1959): 1760 yards of 0.9144 m
KM_PER_METRE = 0.001
PULSE = range(30, 231)  # beats a minute a person can have; common practice, no source
PULSE_AFTER_AT = range(80, 221)  # "@138": lower could be a pace or a clock
PACE = range(120, 1201)  # seconds a kilometre or mile, from sprinting to strolling; common practice
TOP_EFFORT = 10
HOURS = 24  # of a day
MOST = 200  # amounts of a line that are looked for: more of them are no reply


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
    TEMPERATURE = 10  # degrees Celsius
    HUMIDITY = 11  # percent
    SPAN = 12  # a length in days
    RANGE = 13  # 40-45: two values, neither meant
    OTHER = 14  # a number that is none of these


class Amount(NamedTuple):
    """One amount, from token `first` up to, not including, token `last`."""

    sort: Sort
    value: float
    first: int
    last: int
    per_mile: bool = False  # a pace said without its unit after a distance in miles


_UNITS = frozenset((Cue.MINUTE, Cue.HOUR, Cue.SECOND, Cue.KM, Cue.MILE, Cue.METRE, Cue.M))


def amounts(line: ParsedLine) -> list[Amount]:
    """The amounts of the line, in order; none overlap."""
    found = _Reader(line).read()
    return [_claimed(line, amount) for amount in found] if line.claims else found


def _claimed(line: ParsedLine, amount: Amount) -> Amount:
    """The amount as what the body claims it for; what the reader knew by its unit alone is told anew."""
    start, end = line.tokens[amount.first].start, line.tokens[amount.last - 1].end
    claim = next((claim for claim in line.claims if claim.start < end and start < claim.end), None)
    if claim is None or amount.sort not in _CLAIMABLE:
        return amount
    match claim.what:
        case Claimed.PULSE:
            if amount.sort in {Sort.PULSE, Sort.OTHER}:
                return amount  # the reader knows an average from a maximum
            return amount._replace(sort=Sort.PULSE, value=claim.value)
        case Claimed.RESTING_PULSE | Claimed.TEMPERATURE | Claimed.PRESSURE | Claimed.SYMPTOM_TIME:
            return amount._replace(sort=Sort.OTHER)
        case _:
            assert_never(claim.what)


class _Reader:
    """Walks over one line once, from left to right."""

    def __init__(self, line: ParsedLine) -> None:
        self.line = line
        self.tokens = line.tokens
        self.size = len(line.tokens)
        self.found: list[Amount] = []
        self.cues, self.text = line.cues, line.text

    def read(self) -> list[Amount]:
        place = 0
        while place < self.size and len(self.found) < MOST:
            token = self.tokens[place]
            amount = None
            if self.starts(place, Cue.DAY):
                place = self.line.past(place)  # "2day"
                continue
            if token.kind in NUMERIC:
                amount = self._number(place, token)
            elif Cue.DURATION in self.cues(place):
                amount = self._said(place)
            if amount is None:
                place = self.line.past(place)
            else:
                self.found.append(amount)
                place = max(amount.last, place + 1)
        return self.found

    # -- looking around

    def kind(self, place: int) -> Kind | None:
        return self.tokens[place].kind if 0 <= place < self.size else None

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
            mark = self.line.marks[back]
            if not cues & _LABELS:
                if Cue.FILLER not in cues:
                    break
            else:
                seen |= cues
                if Cue.EFFORT in cues or (Cue.NUMBERED in cues and Cue.HEART not in cues):
                    break
            back = (mark.first if mark else back) - 1
        if Cue.HEART in seen and self.text(back) == "min" and self.kind(back - 1) not in NUMERIC:
            seen |= {Cue.MINIMUM}  # "min hr 120", after no number
        return seen

    # -- numbers

    def _number(self, place: int, token: Token) -> Amount:
        match token.kind:
            case Kind.ISO | Kind.DOTS:
                return Amount(Sort.DATE, 0, place, place + 1)
            case Kind.SLASH:
                return self._slash(place, token)
            case Kind.COLON:
                return self._colon(place, token)
            case _:
                return self._plain(place, token)

    def _slash(self, place: int, token: Token) -> Amount:
        top, bottom = token.parts[0], token.parts[1]
        if len(token.parts) == 2 and bottom == TOP_EFFORT and top <= TOP_EFFORT:
            before = self.labels(place)
            if not self.starts(place - 1, Cue.ON_THE) or Cue.EFFORT in before:
                return Amount(self._scale(before, place + 1), top, place, place + 1)
        after = place + 1 + (self.text(place + 1) in {"of", "an", "a"}) + (self.text(place + 2) in {"an", "a"})
        if (top, bottom) in {(1, 2), (3, 4), (1, 4)} and self.cues(after) & {Cue.HOUR, Cue.DURATION}:
            return Amount(Sort.DURATION, 60 * top / bottom, place, self.line.past(after))
        return Amount(Sort.DATE, 0, place, place + 1)

    def _scale(self, before: frozenset[Cue], after: int) -> Sort:
        """Whether a number of ten speaks of pain or of effort."""
        if before & {Cue.PAIN_SCALE, Cue.COMPLAINT} or self.cues(after) & {Cue.PAIN_SCALE, Cue.COMPLAINT}:
            return Sort.PAIN if Cue.EFFORT not in before else Sort.EFFORT
        return Sort.EFFORT

    def _pace_words(self, place: int) -> tuple[int, bool] | None:
        """The end of words that make a number before `place` a pace, and whether it is one a mile."""
        after = place
        slash = False
        if self.starts(after, Cue.MINUTE):
            after += 1
        if self.text(after) == "/":
            after, slash = after + 1, True
        if self.starts(after, Cue.PER):
            after, slash = self.line.past(after), True
        if slash and self.cues(after) & {Cue.KM, Cue.MILE, Cue.M}:
            return after + 1, Cue.MILE in self.cues(after)
        if self.starts(place, Cue.PACE):
            phrase = self.tokens[place : self.line.past(place)]
            return self.line.past(place), any(t.text.startswith("mi") and t.text != "min" for t in phrase)
        return None

    def _colon(self, place: int, token: Token) -> Amount:
        parts = token.parts
        labels = self.labels(place)
        if parts[1] > 59 or (len(parts) == 3 and parts[2] > 59):
            return Amount(Sort.OTHER, 0, place, place + 1)
        seconds = parts[0] * 60 + parts[1]
        pace = self._pace_words(place + 1)
        if len(parts) == 2 and (pace or (Cue.PACE in labels and seconds in PACE)):
            last, mile = pace or (place + 1, False)
            unsaid = pace is None or not self._names_a_length(place + 1, last)
            return Amount(Sort.PACE, seconds / (KM_PER_MILE if mile else 1), place, last, per_mile=unsaid)
        if len(parts) == 3:
            return Amount(Sort.DURATION, parts[0] * 60 + parts[1] + parts[2] / 60, place, place + 1)
        if self.starts(place + 1, Cue.CLOCK):
            return Amount(Sort.CLOCK, seconds, place, place + 2)
        last = place + 1
        if self.cues(last) & {Cue.HOUR}:
            clock = self.line.language == "de" or self.starts(place - 1, Cue.AT)
            if clock:
                return Amount(Sort.CLOCK, seconds, place, last + 1)
            return Amount(Sort.DURATION, seconds, place, last + 1)
        minutes_said = bool(self.cues(last) & {Cue.MINUTE})
        if parts[0] >= 24 or minutes_said:
            return Amount(Sort.DURATION, seconds / 60, place, last + minutes_said)
        at = self.starts(place - 1, Cue.AT)
        if parts[0] <= 3 and not (at and parts[0] > 0):
            return Amount(Sort.DURATION, seconds, place, last)
        return Amount(Sort.UNCLEAR, seconds, place, last)

    def _names_a_length(self, first: int, last: int) -> bool:
        return any(t.text.startswith(("km", "k", "mi")) and t.text != "min" for t in self.tokens[first:last])

    def _plain(self, place: int, token: Token) -> Amount:
        value = token.value
        after = place + 1
        pace = self._pace_words(after)
        if pace and value * 60 in PACE:
            last, mile = pace
            unsaid = not self._names_a_length(after, last)
            return Amount(Sort.PACE, value * 60 / (KM_PER_MILE if mile else 1), place, last, per_mile=unsaid)
        # a sign right before makes a temperature negative and everything else nothing
        minus = (
            place > 0
            and self.text(place - 1) == "-"
            and token.glued
            and (place < 2 or not self.tokens[place - 1].glued)
        )
        weather = self._weather(-value if minus else value, place) if after < self.size else None
        if weather:
            return weather
        if minus:
            return Amount(Sort.OTHER, -value, place, after)
        return (
            self._two_values(place)
            or self._of_more(place, value)
            or self._of_ten(place, value)
            or self._pulse(place, value)
            or self._labelled(place, value)
            or self._counted(place, value)
            or self._dated(place, value)
        )

    def _of_ten(self, place: int, value: float) -> Amount | None:
        """4 of 10, 3/10: an effort, or a pain."""
        after = place + 1
        tenth = after + len(self._phrase(after))
        if not self.cues(after) & {Cue.OUT_OF} or self.kind(tenth) is not Kind.NUMBER:
            return None
        if self.tokens[tenth].value != TOP_EFFORT or value > TOP_EFFORT:
            return None
        return Amount(self._scale(self.labels(place), tenth + 1), value, place, tenth + 1)

    def _pulse(self, place: int, value: float) -> Amount | None:
        """A heart rate by its unit, "128 bpm", by its label, "hr 128", or by both."""
        after = place + 1
        cues, labels = self.cues(after), self.labels(place)
        if labels & {Cue.HEART, Cue.AVERAGE} and Cue.HEART in cues and value in PULSE:
            last = Sort.OTHER if labels & _NOT_THE_AVERAGE and Cue.AVERAGE not in labels else Sort.PULSE
            return Amount(last, value, place, after)  # "hr avg 137 hr max 160": the second label is the next one's
        past = self.line.past(after) if after < self.size else after
        labels_next = Cue.HEART in cues and self.kind(past) is Kind.NUMBER and self.tokens[past].value in PULSE_AFTER_AT
        if cues & {Cue.HEART, Cue.BPM} and value in PULSE and not cues & {Cue.MINUTE} and not labels_next:
            other_pulse = (labels | self.cues(past) | cues) & _NOT_THE_AVERAGE
            return Amount(Sort.OTHER if other_pulse else Sort.PULSE, value, place, past)
        if cues & {Cue.AVERAGE} and self.cues(after + 1) & {Cue.HEART, Cue.BPM} and value in PULSE:
            return Amount(Sort.PULSE, value, place, self.line.past(after + 1))
        if labels_next and Cue.HOUR in cues:
            return Amount(Sort.BARE, value, place, after)  # "47 hr 141": a label of the next number, no hours
        return None if cues & _UNITS else self._pulse_by_label(place, value)

    def _pulse_by_label(self, place: int, value: float) -> Amount | None:
        """A heart rate without a unit: "hr 128", "avg 128", "at 128"."""
        after = place + 1
        labels = self.labels(place)
        if Cue.HEART in labels:
            if labels & _NOT_THE_AVERAGE and Cue.AVERAGE not in labels:
                return Amount(Sort.OTHER, value, place, after)
            return Amount(Sort.PULSE if value in PULSE else Sort.OTHER, value, place, after)
        if value not in PULSE_AFTER_AT:
            return None
        if Cue.AVERAGE in labels:
            return Amount(Sort.PULSE, value, place, after)
        if Cue.MAXIMUM in labels:
            return Amount(Sort.OTHER, value, place, after)
        at = self.starts(place - 1, Cue.AT) and not self.cues(after) & _MEASURES
        return Amount(Sort.PULSE, value, place, after) if at else None

    def _labelled(self, place: int, value: float) -> Amount | None:
        """What a word before the number says that it is: an effort, a zone."""
        after = place + 1
        labels = self.labels(place)
        if labels & {Cue.EFFORT, Cue.PAIN_SCALE} and value <= TOP_EFFORT and not self.cues(after) & _UNITS:
            return Amount(self._scale(labels, after), value, place, after)
        if self.text(place - 1) in {"zone", "z", "bib", "level"}:
            return Amount(Sort.OTHER, value, place, after)
        return None

    def _counted(self, place: int, value: float) -> Amount | None:
        """What a unit says that it is, also many times over: 6 x 4 min, three quarters of an hour, 45 min."""
        if self._multiplied(place):
            return self._repeats(place, value)
        quarters = self._quarters(place, value)
        if quarters:
            return quarters
        unit = self._with_unit(place, value)
        if unit and unit.sort is Sort.DURATION and self.text(unit.last) in _TIMES:
            return unit._replace(value=unit.value * _TIMES[self.text(unit.last)], last=unit.last + 1)
        return unit

    def _dated(self, place: int, value: float) -> Amount:
        """A time of day, a date, the number of something; or a number that nothing explains."""
        after = place + 1
        cues = self.cues(after)
        following = self.tokens[after] if after < self.size else None
        labels = self.labels(place)
        if Cue.NUMBERED in labels and not labels & {Cue.HEART}:
            return Amount(Sort.OTHER, value, place, after)
        if value > HOURS:
            cues -= {Cue.CLOCK}  # "ran 30 in the morning"
        if cues & {Cue.CLOCK}:
            return Amount(Sort.CLOCK, value, place, self.line.past(after))
        if following and following.glued and following.text in {"st", "nd", "rd", "th"}:
            return Amount(Sort.DATE, value, place, after + 1)
        if Cue.MONTH in cues or (Cue.MONTH in self.cues(place - 1) and value <= 31):
            return Amount(Sort.DATE, value, place, after)
        if cues & {Cue.COUNTED, Cue.PERCENT, Cue.METRE}:
            return Amount(Sort.OTHER, value, place, after)
        if self.starts(place - 1, Cue.AT):
            return Amount(Sort.CLOCK if value <= HOURS else Sort.OTHER, value, place, after)
        return Amount(Sort.BARE, value, place, after)

    def _phrase(self, place: int) -> tuple[Token, ...]:
        return self.tokens[place : self.line.past(place)] if place < self.size else ()

    def _weather(self, value: float, place: int) -> Amount | None:
        after = place + 1
        cues = self.cues(after)
        if Cue.PERCENT in cues:
            around = self.labels(place) | self.cues(after + 1) | self.cues(after + 2)
            if Cue.HUMIDITY in around:
                return Amount(Sort.HUMIDITY, value, place, after + 1)
            return None
        if Cue.CELSIUS in cues or (Cue.DEGREE in cues and Cue.FAHRENHEIT not in self.cues(after + 1)):
            if Cue.DEGREE in cues and Cue.FAHRENHEIT in cues:
                return Amount(Sort.TEMPERATURE, (value - 32) / 1.8, place, self.line.past(after))
            last = self.line.past(after)
            if self.cues(last) & {Cue.CELSIUS} and self.tokens[last].glued:
                last += 1
            return Amount(Sort.TEMPERATURE, value, place, last)
        if Cue.FAHRENHEIT in cues or (Cue.DEGREE in cues and Cue.FAHRENHEIT in self.cues(after + 1)):
            last = self.line.past(after)
            if self.cues(last) & {Cue.FAHRENHEIT}:
                last = self.line.past(last)
            return Amount(Sort.TEMPERATURE, (value - 32) / 1.8, place, last)
        return None

    def _two_values(self, place: int) -> Amount | None:
        """40-45, 40 to 45, 40 or 45 min: two values of one thing."""
        after = place + 1
        if self.kind(after) is Kind.NUMBER and self.tokens[after].dash:
            second = after
        elif self.kind(after + 1) is Kind.NUMBER and self.cues(after) & {Cue.TO, Cue.EITHER}:
            second = after + 1
        else:
            return None
        one = self.tokens[place].spoken and self.tokens[place].value == 1  # "change the last one to 50"
        if one or self.tokens[second].value <= self.tokens[place].value:
            return None
        last = second + 1
        if self.starts(last, Cue.CLOCK):
            return Amount(Sort.CLOCK, 0, place, last + 1)
        if self.cues(last) & (_UNITS | {Cue.SPAN_DAY, Cue.SPAN_WEEK, Cue.COUNTED, Cue.BPM, Cue.HEART}):
            sort = Sort.RANGE if self.cues(last) & {Cue.MINUTE, Cue.HOUR, Cue.M} else Sort.OTHER
            return Amount(sort, 0, place, last + 1)
        if self.labels(place) & {Cue.HEART, Cue.EFFORT, Cue.NUMBERED}:
            return Amount(Sort.OTHER, 0, place, last)
        if self.cues(last) & {Cue.MONTH}:
            return None
        return Amount(Sort.RANGE, 0, place, last)

    def _of_more(self, place: int, value: float) -> Amount | None:
        """40 of 45, 30 instead of 45: what was done, and what was meant."""
        after = place + 1
        if Cue.NUMBERED in self.labels(place):
            of = self.text(after) == "of" and self.kind(after + 1) is Kind.NUMBER
            return Amount(Sort.OTHER, value, place, after + 2) if of else None  # "lap 12 of 40"
        unit = self.cues(after) & {Cue.MINUTE}
        after += bool(unit)
        words = (self.text(after), self.text(after + 1))
        ahead = after + (2 if words in _MEANT else 1 if words[0] in {"of", "von", "sur"} else 0)
        while ahead > after and self.text(ahead) in W.meant_nouns:
            ahead += 1
        if ahead == after or self.kind(ahead) is not Kind.NUMBER or self.tokens[ahead].value <= TOP_EFFORT:
            return None
        if words not in _MEANT and self.tokens[ahead].value < value:
            return None
        last = ahead + 1
        unit |= self.cues(last) & {Cue.MINUTE}
        last += bool(self.cues(last) & {Cue.MINUTE})
        return Amount(Sort.DURATION if unit else Sort.BARE, value, place, last)

    def _quarters(self, place: int, value: float) -> Amount | None:
        """Three quarters of an hour."""
        after = place + 1
        if not self.text(after).startswith("quarter") or value not in {1, 3}:
            return None
        after += 1
        while self.text(after) in {"of", "an", "a"}:
            after += 1
        if not (self.cues(after) | self.line.own(after)) & {Cue.HOUR, Cue.DURATION}:
            mark = self.line.marks[place + 2] if place + 2 < self.size else None
            if mark is None or Cue.DURATION not in mark.cues:
                return None
            after = mark.last - 1
        return Amount(Sort.DURATION, 15 * value, place, after + 1)

    def _multiplied(self, place: int) -> bool:
        return self.text(place + 1) in {"x", "*", "times"} and self.kind(place + 2) is Kind.NUMBER

    def _repeats(self, place: int, times: float) -> Amount:
        """6 x 4 min is 24 minutes; 8 x 400 m is a distance."""
        unit = self._with_unit(place + 2, self.tokens[place + 2].value)
        if unit and unit.sort in {Sort.DURATION, Sort.DISTANCE}:
            return Amount(unit.sort, unit.value * times, place, unit.last)
        return Amount(Sort.OTHER, times, place, place + 3)

    # -- units

    def _with_unit(self, place: int, value: float) -> Amount | None:
        after = place + 1
        cues = self.cues(after)
        past = self.line.past(after) if after < self.size else after
        if Cue.DISTANCE_NAMED in cues:
            cues, past = self.line.own(after), after + 1
        if Cue.KM in cues and Cue.COUNTED in self.line.own(past):
            return Amount(Sort.OTHER, value, place, past + 1)  # 10k steps
        if Cue.KM in cues and self.text(past) == "/" and self.text(past + 1) in {"h", "hr", "hour", "std"}:
            return Amount(Sort.OTHER, value, place, past + 2)
        if Cue.DURATION in cues and self.text(after) in self.hours_words():
            cues |= {Cue.HOUR}
        if Cue.MONTH in cues and not cues & _UNITS:
            return None
        phrase = self.line.marks[after] if after < self.size else None
        if phrase is not None and Cue.DURATION in phrase.cues and phrase.last - phrase.first > 1 and phrase.value:
            return Amount(Sort.DURATION, (value - 1) * 60 + phrase.value, place, phrase.last)  # une heure et demie
        if Cue.HOUR in cues:
            return self._hours(place, value, after + 1)
        return self._by_unit(place, value, cues, past)

    def _by_unit(self, place: int, value: float, cues: frozenset[Cue], past: int) -> Amount | None:
        """What `cues`, those of the unit behind a number, make of it; the unit ends at `past`."""
        if Cue.MINUTE in cues:
            return Amount(Sort.DURATION, value, place, self._seconds(past))
        if Cue.KM in cues:
            return Amount(Sort.DISTANCE, value, place, past)
        if Cue.MILE in cues:
            return Amount(Sort.DISTANCE, value * KM_PER_MILE, place, past)
        if Cue.SECOND in cues and Cue.ORDINAL not in cues:
            return Amount(Sort.DURATION, value / 60, place, past)
        if Cue.M in cues:
            return self._m(place, value, past)
        if Cue.METRE in cues:
            far = value >= 1000
            return Amount(Sort.DISTANCE if far else Sort.OTHER, value * KM_PER_METRE, place, past)
        if cues & {Cue.SPAN_DAY, Cue.SPAN_WEEK, Cue.SPAN_MONTH}:
            days = 1 if Cue.SPAN_DAY in cues else 7 if Cue.SPAN_WEEK in cues else 30
            return Amount(Sort.SPAN, value * days, place, past)
        if cues & {Cue.AFTER_HOURS} and self.cues(past) & {Cue.HOUR, Cue.DURATION}:
            mark = self.line.marks[place + 1]
            extra = mark.value if mark and mark.value else 0
            return Amount(Sort.DURATION, value * 60 + extra, place, past + 1)
        return None

    def hours_words(self) -> frozenset[str]:
        return _HOUR_WORDS[self.line.language]

    def _seconds(self, place: int) -> int:
        """The place after seconds said behind minutes, which are cut off."""
        if self.kind(place) is Kind.NUMBER and (
            self.cues(place + 1) & {Cue.SECOND} or (self.tokens[place].glued and self.text(place - 1) == "'")
        ):
            return place + 2 if self.cues(place + 1) & {Cue.SECOND} else place + 1
        return place

    def _hours(self, place: int, value: float, after: int) -> Amount:
        """An hour count with what follows it: 1h05, 1 h 5 min, 1 hour and 5, 2 hours and a half."""
        if self.starts(place - 1, Cue.AT) and value > 3:
            last = after + 1 if self.kind(after) is Kind.NUMBER else after
            return Amount(Sort.CLOCK, value * 60, place, last)
        return self._and_minutes(place, value * 60, after)

    def _said(self, place: int) -> Amount:
        """A duration in words, with minutes behind it: an hour and ten."""
        mark = self.line.marks[place]
        if mark is None or mark.value is None:
            return Amount(Sort.OTHER, 0, place, place + 1)
        if mark.value % 60:
            return Amount(Sort.DURATION, mark.value, place, mark.last)
        return self._and_minutes(place, mark.value, mark.last)

    def _and_minutes(self, place: int, minutes: float, after: int) -> Amount:
        if Cue.AFTER_HOURS in self.cues(after):
            mark = self.line.marks[after]
            return Amount(Sort.DURATION, minutes + (mark.value or 0 if mark else 0), place, self.line.past(after))
        ahead = after + 1 if self.cues(after) & {Cue.AND} else after
        token = self.tokens[ahead] if ahead < self.size else None
        if token is not None and token.kind is Kind.NUMBER and token.value < 60 and token.value == int(token.value):
            unit = self.cues(ahead + 1)
            if unit & {Cue.MINUTE} or (unit & {Cue.M} and not unit & {Cue.KM}):
                return Amount(Sort.DURATION, minutes + token.value, place, self._seconds(ahead + 2))
            if not unit & (_UNITS | {Cue.BPM, Cue.HEART, Cue.COUNTED, Cue.DEGREE, Cue.CELSIUS, Cue.PERCENT}) and (
                token.glued or token.spoken or ahead > after or self.kind(ahead + 1) not in NUMERIC
            ):
                return Amount(Sort.DURATION, minutes + token.value, place, ahead + 1)
        return Amount(Sort.DURATION, minutes, place, after)

    def _m(self, place: int, value: float, past: int) -> Amount:
        """`m` is minutes up to 240, unless it measures a climb; metres from 300 on."""
        if value >= 300:
            far = value >= 1000
            return Amount(Sort.DISTANCE if far else Sort.OTHER, value * KM_PER_METRE, place, past)
        around = {self.text(past), self.text(past + 1), self.text(place - 1)}
        if around & (W.climb | W.repeats) or value > 240:
            return Amount(Sort.OTHER, value, place, past)
        return Amount(Sort.DURATION, value, place, self._seconds(past))


_TIMES = {"twice": 2, "thrice": 3, "dos veces": 2, "zweimal": 2, "dreimal": 3}
_MEANT = frozenset((("instead", "of"), ("rather", "than"), ("not", "the"), ("anstatt", "der"), ("au", "lieu")))
# What a claim may take from the reader; a distance, a date or a range it leaves alone.
_CLAIMABLE = frozenset((Sort.DURATION, Sort.BARE, Sort.PULSE, Sort.UNCLEAR, Sort.TEMPERATURE, Sort.CLOCK, Sort.OTHER))
_LABELS = frozenset(
    (
        Cue.HEART, Cue.AVERAGE, Cue.MAXIMUM, Cue.MINIMUM, Cue.RESTING, Cue.EFFORT, Cue.PAIN_SCALE,
        Cue.NUMBERED, Cue.PACE, Cue.HUMIDITY,
    )
)  # fmt: skip
_MEASURES = frozenset((Cue.COUNTED, Cue.PERCENT, Cue.DEGREE, Cue.CELSIUS, Cue.FAHRENHEIT))
_NOT_THE_AVERAGE = frozenset((Cue.MAXIMUM, Cue.MINIMUM, Cue.RESTING))
_HOUR_WORDS = {
    "en": frozenset(("hour",)),
    "es": frozenset(("hora",)),
    "de": frozenset(("stunde",)),
    "fr": frozenset(("heure",)),
    "pt": frozenset(("hora",)),
}
