"""The amounts of a line: how long, how far, how fast, how hard — and the numbers that are none of these."""

from typing import assert_never

from nudgebot.domain.text.claims import Claimed
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import NUMERIC, Kind
from nudgebot.domain.text.log_lines.rounds import rounds_in
from nudgebot.domain.text.log_lines.units import (
    HOURS,
    KM_PER_MILE,
    MEASURES,
    PACE,
    PULSE,
    PULSE_AFTER_AT,
    TOP_EFFORT,
    UNITS,
    Amount,
    Sort,
    Units,
)  # fmt: skip
from nudgebot.domain.text.word_files import words

W = words("amounts")
TOLD_PAST = frozenset((5, 10, 20, 25))  # minutes past or to an hour as people tell the time; quarters are words
CLOCK_FACE = 12  # hours
MOST = 32  # amounts of a line that are looked for: more of them are no reply


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


class _Reader(Units):
    """Walks over one line once, from left to right."""

    def read(self) -> list[Amount]:
        found: list[Amount] = []
        rounds = rounds_in(self.line)
        place = 0 if self.line.numerals or Cue.DURATION in self.line.said else self.size
        while place < self.size and len(found) < MOST:
            amount = rounds.get(place)
            if amount is not None:  # also where it begins with what was done: "run 2 walk 1, 6 times"
                found.append(amount)
                place = amount.last
                continue
            if self.tokens[place].kind not in NUMERIC and Cue.DURATION not in self.line.hints[place]:
                place = self.line.past(place)
                continue
            if not self.starts(place, Cue.DAY):  # "2day"
                amount = self._number(place) if self.tokens[place].kind in NUMERIC else self.said(place)
            if amount is not None:
                found.append(amount)
            place = self.past(place) if amount is None else max(amount.last, place + 1)
        return found

    def _number(self, place: int) -> Amount:
        match self.tokens[place].kind:
            case Kind.ISO | Kind.DOTS:
                return Amount(Sort.DATE, 0, place, place + 1)
            case Kind.SLASH:
                return self._slash(place)
            case Kind.COLON:
                return self._colon(place)
            case _:
                return self._plain(place)

    def _slash(self, place: int) -> Amount:
        parts = self.tokens[place].parts
        top, bottom = parts[0], parts[1]
        if len(parts) == 2 and top <= bottom == TOP_EFFORT and not self.starts(place - 1, Cue.ON_THE):
            return Amount(self._scale(self.labels(place), place + 1), top, place, place + 1)
        after = place + 1 + (self.text(place + 1) in {"of", "an", "a"}) + (self.text(place + 2) in {"an", "a"})
        if (top, bottom) in {(1, 2), (3, 4), (1, 4)} and self.cues(after) & {Cue.HOUR, Cue.DURATION}:
            return Amount(Sort.DURATION, 60 * top / bottom, place, self.past(after))
        return Amount(Sort.DATE, 0, place, place + 1)

    def _scale(self, before: frozenset[Cue], after: int) -> Sort:
        """Whether a number of ten speaks of pain or of effort."""
        pain = (before | self.cues(after)) & {Cue.PAIN_SCALE, Cue.COMPLAINT}
        return Sort.PAIN if pain else Sort.EFFORT

    def _pace(self, place: int, seconds: float, after: int) -> Amount | None:
        """A pace by the words behind a number, which end before a length: "5:30 / km", "6 min per mile"."""
        if self.starts(after, Cue.PACE):
            last = self.past(after)
            units = [text for text in self.line.texts[after:last] if text != "min"]
            mile = any(text.startswith("mi") for text in units)
            told = mile or any(text.startswith("k") for text in units)
            return Amount(Sort.PACE, seconds / (KM_PER_MILE if mile else 1), place, last, per_mile=not told)
        if Cue.PACE in self.labels(place) and self.kind(place) is Kind.COLON:
            return Amount(Sort.PACE, seconds, place, place + 1, per_mile=True)
        return None

    def _colon(self, place: int) -> Amount:
        parts, last = self.tokens[place].parts, place + 1
        if any(part > 59 for part in parts[1:]):
            return Amount(Sort.OTHER, 0, place, last)
        seconds = parts[0] * 60 + parts[1]
        pace = self._pace(place, seconds, last)
        if pace is not None:
            return pace
        at = self.starts(place - 1, Cue.AT)
        if self.starts(last, Cue.CLOCK):
            return Amount(Sort.CLOCK, seconds, place, last + 1)
        if parts[0] >= HOURS:
            return Amount(Sort.DURATION, seconds / 60, place, last + (Cue.MINUTE in self.cues(last)))
        hours = parts[0] <= 3 and not (at and parts[0] > 0)
        return Amount(Sort.DURATION if hours else Sort.UNCLEAR, seconds, place, last)

    def _plain(self, place: int) -> Amount:
        value, after = self.tokens[place].value, place + 1
        second = after + (Cue.AND in self.cues(after))
        seconds = value * 60 + self.value(second)
        if self._are_spoken(place, second) and (pace := self._pace(place, seconds, second + 1)) is not None:
            return pace  # "nine fifteen a mile", "seis e trinta por km"
        if value * 60 in PACE and (pace := self._pace(place, value * 60, after)) is not None:
            return pace
        if self.text(place - 1) == "-" and self.tokens[place].glued:
            return Amount(Sort.OTHER, -value, place, after)
        labels = self.labels(place)
        return (
            self._two_values(place, labels)
            or self._of_more(place, value, labels)
            or self._of_ten(place, value, labels)
            or self._pulse(place, value, labels)
            or self._counted(place, value)
            or self._dated(place, value, labels)
        )

    def _are_spoken(self, *places: int) -> bool:
        """Whether numbers in words stand at all of `places`."""
        return all(self.kind(place) is Kind.NUMBER and self.tokens[place].spoken for place in places)

    def _of_ten(self, place: int, value: float, labels: frozenset[Cue]) -> Amount | None:
        """4 of 10, effort 6, pain 3: an effort, or a pain."""
        after = place + 1
        tenth = self.past(after)
        every = value == TOP_EFFORT and self.text(after) == "em"  # "de dez em dez minutos"
        if Cue.OUT_OF in self.cues(after) and self.value(tenth) == TOP_EFFORT and not every:
            return Amount(self._scale(labels, tenth + 1), value, place, tenth + 1)
        if labels & {Cue.EFFORT, Cue.PAIN_SCALE} and value <= TOP_EFFORT and not self.cues(after) & UNITS:
            return Amount(self._scale(labels, after), value, place, after)
        return None

    def _pulse(self, place: int, value: float, labels: frozenset[Cue]) -> Amount | None:
        """A heart rate by its unit, "128 bpm", by its label, "hr 128", "avg 128", "at 128", or by both."""
        after, cues = place + 1, self.cues(place + 1)
        past = self.past(after)
        average = Cue.AVERAGE in labels or not labels & _NOT_THE_AVERAGE
        if value in PULSE and Cue.HEART in cues and labels & {Cue.HEART, Cue.AVERAGE}:
            return Amount(Sort.PULSE, value, place, after)  # "hr avg 137 hr max 160"
        labels_next = Cue.HEART in cues and self.value(past) in PULSE_AFTER_AT
        if value in PULSE and not labels_next:
            if cues & {Cue.HEART, Cue.BPM}:
                other = (labels | self.cues(past) | cues) & _NOT_THE_AVERAGE
                return Amount(Sort.OTHER if other else Sort.PULSE, value, place, past)
            if Cue.AVERAGE in cues and self.cues(after + 1) & {Cue.HEART, Cue.BPM}:
                return Amount(Sort.PULSE, value, place, self.past(after + 1))
        if labels_next and Cue.HOUR in cues:
            return Amount(Sort.BARE, value, place, after)  # "47 hr 141": a label of the next number, no hours
        if cues & UNITS:
            return None
        if Cue.HEART in labels:
            return Amount(Sort.PULSE if average and value in PULSE else Sort.OTHER, value, place, after)
        if value not in PULSE_AFTER_AT:
            return None
        at = self.starts(place - 1, Cue.AT) and not cues & MEASURES
        return Amount(Sort.PULSE, value, place, after) if at or Cue.AVERAGE in labels else None

    def _counted(self, place: int, value: float) -> Amount | None:
        """What a unit says that it is, also many times over: 6 x 4 min, 45 min."""
        if self.text(place + 1) in {"x", "*", "times"} and self.kind(place + 2) is Kind.NUMBER:
            unit = self.with_unit(place + 2, self.value(place + 2))
            if unit:
                return Amount(unit.sort, unit.value * value, place, unit.last)
            return Amount(Sort.OTHER, value, place, place + 3)
        return self.with_unit(place, value)

    def _is_beside_an_hour(self, joint: int, minutes: float) -> bool:
        """Whether minutes past or to an hour are told: "25 past 5", "20 to 6"; a range never goes down."""
        if self.kind(joint + 1) is not Kind.NUMBER or not 0 < self.value(joint + 1) <= CLOCK_FACE:
            return False
        past, ahead = self.text(joint) in W.past_hour, self.text(joint) in W.to_hour
        return minutes in TOLD_PAST and (past or (ahead and minutes > self.value(joint + 1)))

    def _dated(self, place: int, value: float, labels: frozenset[Cue]) -> Amount:
        """A time of day, a date, the number of something; or a number that nothing explains."""
        after, cues = place + 1, self.cues(place + 1)
        following = self.tokens[after] if after < self.size else None
        if Cue.NUMBERED in labels:
            return Amount(Sort.OTHER, value, place, after)
        if self._is_beside_an_hour(after, value):
            return Amount(Sort.CLOCK, self.value(after + 1), place, after + 2)
        if Cue.CLOCK in cues and value <= HOURS:  # not "ran 30 in the morning"
            return Amount(Sort.CLOCK, value, place, self.past(after))
        if following and following.glued and following.text in {"st", "nd", "rd", "th"}:
            return Amount(Sort.DATE, value, place, after + 1)
        if Cue.MONTH in cues:
            return Amount(Sort.DATE, value, place, after)
        if cues & MEASURES:
            return Amount(Sort.OTHER, value, place, after)
        if self.starts(place - 1, Cue.AT):
            return Amount(Sort.CLOCK if value <= HOURS else Sort.OTHER, value, place, after)
        return Amount(Sort.BARE, value, place, after)

    def _two_values(self, place: int, labels: frozenset[Cue]) -> Amount | None:
        """40-45, 40 to 45, 40 or 45 min: two values of one thing."""
        second = place + 1 + bool(self.cues(place + 1) & {Cue.TO, Cue.EITHER})
        if self.kind(second) is not Kind.NUMBER or (second == place + 1 and not self.tokens[second].dash):
            return None
        one = self.tokens[place].spoken and self.tokens[place].value == 1  # "change the last one to 50"
        if one or self.value(second) <= self.value(place):
            return None
        last = second + 1
        cues = self.cues(last)
        if cues & (UNITS | {Cue.SPAN_DAY, Cue.SPAN_WEEK, Cue.COUNTED, Cue.BPM, Cue.HEART}):
            return Amount(Sort.RANGE if cues & {Cue.MINUTE, Cue.HOUR, Cue.M} else Sort.OTHER, 0, place, last + 1)
        if labels & {Cue.HEART, Cue.EFFORT, Cue.NUMBERED}:
            return Amount(Sort.OTHER, 0, place, last)
        return None if Cue.MONTH in cues else Amount(Sort.RANGE, 0, place, last)

    def _of_more(self, place: int, value: float, labels: frozenset[Cue]) -> Amount | None:
        """40 of 45, 30 instead of 45: what was done, and what was meant."""
        after = place + 1
        if Cue.NUMBERED in labels:
            of = self.text(after) == "of" and self.kind(after + 1) is Kind.NUMBER
            return Amount(Sort.OTHER, value, place, after + 2) if of else None  # "lap 12 of 40"
        unit = Cue.MINUTE in self.cues(after)
        after += unit
        instead = (self.text(after), self.text(after + 1)) in _MEANT
        ahead = after + (2 if instead else self.text(after) in {"of", "von", "sur"})
        if ahead == after:
            return None
        while self.text(ahead) in W.meant_nouns:
            ahead += 1
        meant = self.value(ahead)
        if meant <= TOP_EFFORT or (not instead and meant < value):
            return None
        again = Cue.MINUTE in self.cues(ahead + 1)
        return Amount(Sort.DURATION if unit else Sort.BARE, value, place, ahead + 1 + again)


_MEANT = frozenset((("instead", "of"), ("rather", "than"), ("not", "the"), ("anstatt", "der"), ("au", "lieu")))

# What a claim may take from the reader; a distance, a date or a range it leaves alone.
_CLAIMABLE = frozenset((Sort.DURATION, Sort.BARE, Sort.PULSE, Sort.UNCLEAR, Sort.CLOCK, Sort.OTHER))

_NOT_THE_AVERAGE = frozenset((Cue.MAXIMUM, Cue.MINIMUM, Cue.RESTING))
