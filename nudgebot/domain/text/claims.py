"""Which numbers of a line belong to the body: one claim of each, which the log reader and triage share.

A number is claimed by what stands beside it: a unit, the word that names it, or the complaint that lasted so long.
What nobody claims here is left to the log reader: minutes are never a pulse, and a fever is never minutes.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import chain, takewhile
from operator import attrgetter

from nudgebot.domain.text.fevers import temperature_at
from nudgebot.domain.text.line.tokens import LONGEST_LINE, NUMERIC, tokens
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.pieces import REACH, SENTENCE, Piece, Pieces, pieces_of
from nudgebot.domain.text.word_files import patterns, words

W, P = words("body_numbers"), patterns("body_shapes")
_OF_NUMBERS = W.pressure | W.cuff | W.heart | W.beats | W.fever | W.thermometer | {"heart", "over", "ower"}

PULSE = (25, 250)  # beats a minute that a person can have; common practice, no source
LABELLED_PULSE = (80, 220)  # behind "@" or "hr": lower could be a clock, a pace or minutes
MOST_HOURS = 12  # "2 hr 20" is a time, "62 hr" a pulse


class Claimed(StrEnum):
    """What a number is of."""

    PULSE = "pulse"
    RESTING_PULSE = "resting pulse"
    TEMPERATURE = "temperature"  # of the body, degrees Celsius
    PRESSURE = "pressure"  # of the blood, mmHg
    SYMPTOM_TIME = "symptom time"  # how long a complaint lasted


@dataclass(frozen=True, slots=True)
class Claim:
    """One number of a line: what it is of, its place in the line as sent, and its value.

    A blood pressure is two numbers: `value` is the upper one, `lower` the other.
    """

    what: Claimed
    start: int
    end: int
    value: float
    lower: float = 0.0


@lru_cache(maxsize=64)
def claims(text: str) -> tuple[Claim, ...]:
    """The claimed numbers of `text`, in order; none overlap. A message past what triage reads has none."""
    if len(text) > LONGEST_LINE or not any(t.kind in NUMERIC or t.text in W.minutes for t in tokens(text)):
        return ()
    line = pieces_of(text)
    # Whether anything may name a pulse, a pressure or a temperature.
    named = line.numbers == 1 or (line.numbers and ("@" in text or not _OF_NUMBERS.isdisjoint(line.words)))
    lasts = not W.minutes.isdisjoint(line.words)
    found = []
    for place, piece in enumerate(line.all if named or lasts else ()):
        claim = _body_number(line, place) if named and piece.value is not None else None
        claim = claim or (_symptom_time(line, place) if lasts else None)
        if claim is not None:
            found.append(claim)
    return tuple(found)


def _body_number(line: Pieces, place: int) -> Claim | None:
    return _pressure(line, place) or _pulse(line, place) or _temperature(line, place)


def _temperature(line: Pieces, place: int) -> Claim | None:
    celsius, piece = temperature_at(line, place), line.all[place]
    return None if celsius is None else Claim(Claimed.TEMPERATURE, piece.start, piece.end, celsius)


def claimed_at(text: str, start: int, end: int) -> Claim | None:
    """The claim on a number that stands between `start` and `end` of `text`."""
    found = claims(text)
    at = bisect_right(found, start, key=attrgetter("end"))
    return found[at] if at < len(found) and found[at].start < end else None


# ------------------------------------------------------------------ pulse


def _pulse(line: Pieces, place: int) -> Claim | None:
    piece = line.all[place]
    value = piece.value
    if value is None or not PULSE[0] <= value <= PULSE[1] or value != int(value):
        return None
    after = line.joined(place + 1)
    if after in W.measured or line.text[piece.end : piece.end + 1] == "%":
        return None
    low, high = LABELLED_PULSE
    further = line.all[place + 2].value if place + 2 < len(line.all) else None
    labels_next = further is not None and low <= further <= high  # "47 hr 141"
    unit = after in W.beats | W.heart and not labels_next
    at = low <= value <= high and line.text[: piece.start].rstrip().endswith("@")
    if not (unit or at or _led_by_heart(line, place)):
        return None
    what = Claimed.RESTING_PULSE if _at_rest(line, place) else Claimed.PULSE
    return Claim(what, piece.start, piece.end, value)


def _led_by_heart(line: Pieces, place: int) -> bool:
    """Whether a heart word before the number names it, over words that only lead there: "hr avg was 138"."""
    for back, piece in line.before(place, REACH):
        if piece.value is not None:
            return False
        if piece.word in W.heart or piece.word == "heart":
            before = line.all[back - 1].value if back and piece.apart == 0 else None
            return piece.word != "hr" or before is None or before > MOST_HOURS  # not "1 hr 35"
        if piece.word not in W.leads:
            return False
    return False


def _at_rest(line: Pieces, place: int) -> bool:
    """Whether the words around a pulse, back to the number before and on to the next comma, say that it is at rest."""
    if W.resting.isdisjoint(line.words):
        return False
    before = takewhile(lambda piece: piece.value is None, (piece for _, piece in line.before(place, SENTENCE)))
    behind = takewhile(lambda piece: not piece.apart, line.all[place + 1 : place + 1 + SENTENCE])
    return any(piece.word in W.resting for piece in chain(before, behind))


# ------------------------------------------------------------------ how long a complaint lasted


def _symptom_time(line: Pieces, place: int) -> Claim | None:
    piece = line.all[place]
    counted = piece.value is not None or piece.word in W.counts or piece.word in said_in_any("numbers")
    if not counted:
        return None
    unit = place + 1
    while line.word(unit) in W.before_unit:
        unit += 1
    lasting = not W.lasting.isdisjoint((line.word(place - 1), line.word(place - 2))) or line.word(unit + 1) == "lang"
    if line.word(unit) not in W.minutes or not lasting:
        return None
    for back, before in line.before(place, SENTENCE):
        if P.running.fullmatch(before.word):
            return None
        resting = before.word in W.heart and any(
            each.word in W.resting for each in line.all[max(0, back - 2) : back + 6]
        )
        if resting or P.complaint.fullmatch(before.word):
            denied = any(line.word(back - step) in W.well for step in (1, 2, 3))
            return None if denied else Claim(Claimed.SYMPTOM_TIME, piece.start, line.all[unit].end, piece.value or 0.0)
    return None


# ------------------------------------------------------------------ blood pressure


def _pressure(line: Pieces, place: int) -> Claim | None:
    """A blood pressure whose upper value stands at `place`, told in mmHg or in centimetres (17 over 10)."""
    upper = line.all[place].value
    following = _second_of_pair(line, place)
    if upper is None or following is None or following.value is None:
        return None
    lower = following.value
    named, cuff = not W.pressure.isdisjoint(line.words), not W.cuff.isdisjoint(line.words)
    scale = 1
    if (named or cuff) and (9 if named else 13) <= upper <= 26 and 5 <= lower <= min(15, upper - 3):
        scale = 10
    elif not (named and lower < upper <= 280 and upper >= 80):
        typical = 140 <= upper <= 260 and 70 <= lower <= min(150, upper - 30)
        if not typical or not (cuff or line.word(place + 1) in {"over", "ower"}):
            return None
    return Claim(Claimed.PRESSURE, line.all[place].start, following.end, scale * upper, scale * lower)


def _second_of_pair(line: Pieces, place: int) -> Piece | None:
    """The number behind the one at `place`, parted by a slash or by a word for one: "150/95", "150 over 95"."""
    after = line.all[place + 1 : place + 3]
    if after and after[0].value is not None:
        return after[0] if line.text[line.all[place].end : after[0].start].strip() == "/" else None
    joined = len(after) == 2 and after[0].word in W.over and not after[0].apart and not after[1].apart
    return after[1] if joined else None
