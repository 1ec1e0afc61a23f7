"""Which numbers of a line belong to the body: one claim of each, which the log reader and triage share.

A number is claimed by what stands beside it: a unit, the word that names it, or the complaint that lasted so long.
What nobody claims here is left to the log reader: minutes are never a pulse, and a fever is never minutes.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import chain, takewhile
from operator import attrgetter
from typing import NamedTuple

from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.text.folding import KEPT, fold
from nudgebot.domain.text.line.tokens import LONGEST_LINE, NUMERIC, number_of, tokens
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.symptoms.heard_words import SignWord, heard
from nudgebot.domain.text.word_files import patterns, words

W, P = words("body_numbers"), patterns("body_shapes")
_OF_A_BODY = W.somebodys | W.fever
_OF_NUMBERS = W.pressure | W.cuff | W.heart | W.beats | W.fever | W.thermometer | {"heart", "over", "ower"}

FEVER_FROM = 37.8  # degrees Celsius (house; most pages say 38.0): docs/sources-safety.md, "fever"
AS_LIKELY_MINUTES = Rule("a bare number beside an illness that may as well be a run, from", 40, "°C", "house")
FEVER_FROM_F = 100.0  # the same in degrees Fahrenheit
BODY = (34.0, 43.5)  # degrees Celsius that a living body can have; common practice, no source
BODY_F = (95.0, 111.0)
PULSE = (25, 250)  # beats a minute that a person can have; common practice, no source
LABELLED_PULSE = (80, 220)  # behind "@" or "hr": lower could be a clock, a pace or minutes
MOST_HOURS = 12  # "2 hr 20" is a time, "62 hr" a pulse
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
REACH = 6  # words between a number and the word that names it


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


class _Piece(NamedTuple):
    word: str
    start: int
    end: int
    value: float | None  # of a number
    apart: int  # as `SignWord.gap`


@lru_cache(maxsize=64)
def claims(text: str) -> tuple[Claim, ...]:
    """The claimed numbers of `text`, in order; none overlap. A message past what triage reads has none."""
    if len(text) > LONGEST_LINE or not any(t.kind in NUMERIC or t.text in W.minutes for t in tokens(text)):
        return ()
    line = _pieces(text)
    if line.numbers and (line.numbers == 1 or "@" in text or not _OF_NUMBERS.isdisjoint(line.words)):
        of_numbers = _body_number
    else:
        of_numbers = None  # nothing names a pulse, a pressure or a temperature
    lasts = not W.minutes.isdisjoint(line.words)
    found = []
    for place, piece in enumerate(line.all if of_numbers or lasts else ()):
        claim = of_numbers(line, place) if of_numbers and piece.value is not None else None
        claim = claim or (_symptom_time(line, place) if lasts else None)
        if claim is not None:
            found.append(claim)
    return tuple(found)


def _body_number(line: _Pieces, place: int) -> Claim | None:
    return _pressure(line, place) or _pulse(line, place) or _temperature(line, place)


def is_normal(text: str, start: int, end: int) -> bool:
    """Whether the number behind the word for a temperature that stands from `start` to `end` is no fever."""
    line = _pieces(text)
    first, last = (bisect_left(line.all, at, key=attrgetter("start")) for at in (start, end))
    here = [piece.word for piece in line.all[first:last]]
    typed = fold(text[start:end])[0]
    if typed.endswith("temperatur") and typed not in W.of_a_body:
        return True  # "Wassertemperatur", "Raumtemperatur"
    if W.thermometer.isdisjoint(here) or not W.fever.isdisjoint(here):
        return False
    if _is_elsewhere(line):
        return True
    behind = line.all[first : first + REACH]
    following = next((piece.value for piece in behind if piece.value is not None), FEVER_FROM)
    return following < FEVER_FROM - 0.01 or BODY[1] < following < FEVER_FROM_F


def may_be_fever(text: str) -> bool:
    """Whether a bare number beside an illness may be a temperature as well as minutes: "influenza 40"."""
    line = _pieces(text)
    bare = [place for place, piece in enumerate(line.all) if (piece.value or 0) >= AS_LIKELY_MINUTES.value]
    return any(
        celsius is not None and _ill_with(line, place, line.joined(place + 1), celsius, bare=True)
        for place in bare
        for celsius in (_celsius(line.all[place].value or 0),)
        if line.joined(place + 1) not in W.measured
    )


def claimed_at(text: str, start: int, end: int) -> Claim | None:
    """The claim on a number that stands between `start` and `end` of `text`."""
    found = claims(text)
    at = bisect_right(found, start, key=attrgetter("end"))
    return found[at] if at < len(found) and found[at].start < end else None


def is_fever(celsius: float) -> bool:
    """Whether a body temperature is a fever."""
    return celsius >= FEVER_FROM - 0.01


class _Pieces:
    """The words and numbers of a line as they were heard, each part of "120/80" by itself."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.all = [piece for word in heard(text) for piece in _of_word(word)]
        self.words = frozenset([*[piece.word for piece in self.all], *[token.text for token in tokens(text)]])
        self.numbers = sum([piece.value is not None for piece in self.all])

    def word(self, place: int) -> str:
        """The word at `place`; "" outside the line."""
        return self.all[place].word if 0 <= place < len(self.all) else ""

    def joined(self, place: int) -> str:
        """The word at `place` where nothing but a blank parts it from the one before; else ""."""
        return self.word(place) if 0 < place < len(self.all) and self.all[place].apart == 0 else ""

    def before(self, place: int, reach: int) -> Iterator[tuple[int, _Piece]]:
        """The pieces before `place` in its sentence, the nearest first, at most `reach`."""
        for back in range(place - 1, max(-1, place - 1 - reach), -1):
            if self.all[back + 1].apart == 2:
                return
            yield back, self.all[back]


def _of_word(heard_word: SignWord) -> Iterable[_Piece]:
    word, start, end, gap = heard_word[:4]
    if not word[0].isdigit():
        return (_Piece(word, start, end, None, gap),)
    parts = list(_NUMBER.finditer(word))
    if len(parts) == 1:
        return (_Piece(word, start, end, number_of(parts[0][0]), gap),)
    return [
        _Piece(part[0], start + part.start(), start + part.end(), number_of(part[0]), 0 if part.start() else gap)
        for part in parts
    ]


@lru_cache(maxsize=KEPT)
def _pieces(text: str) -> _Pieces:
    return _Pieces(text)


# ------------------------------------------------------------------ pulse


def _pulse(line: _Pieces, place: int) -> Claim | None:
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


def _led_by_heart(line: _Pieces, place: int) -> bool:
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


def _at_rest(line: _Pieces, place: int) -> bool:
    """Whether the words around a pulse, back to the number before and on to the next comma, say that it is at rest."""
    before = takewhile(lambda piece: piece.value is None, (piece for _, piece in line.before(place, len(line.all))))
    behind = takewhile(lambda piece: not piece.apart, line.all[place + 1 :])
    return any(piece.word in W.resting for piece in chain(before, behind))


# ------------------------------------------------------------------ temperature


def _temperature(line: _Pieces, place: int) -> Claim | None:
    piece, unit = line.all[place], line.joined(place + 1)
    celsius = _celsius(piece.value or 0)
    if celsius is None or unit in W.measured:
        return None
    named = _named_before(line, place) or _named_after(line, place + 1)
    if not named and not _ill_with(line, place, unit, celsius):
        return None
    weather = "." not in piece.word and not W.weather.isdisjoint(line.words)
    if named not in W.fever and (weather or _is_elsewhere(line)):
        return None
    return Claim(Claimed.TEMPERATURE, piece.start, piece.end, celsius)


def _celsius(value: float) -> float | None:
    """The temperature of a body that a number can be, None where it can be none."""
    if BODY[0] <= value <= BODY[1]:
        return value
    if BODY_F[0] <= value <= BODY_F[1]:
        return (value - 32) / 1.8 if value != FEVER_FROM_F else FEVER_FROM
    return None


def _is_elsewhere(line: _Pieces) -> bool:
    """Whether a temperature is that of a room, an oven or water: such a place is named near, and nobody who is hot."""
    if W.elsewhere.isdisjoint(line.words) or not _OF_A_BODY.isdisjoint(line.words):
        return False
    said = [piece.word for piece in line.all]
    named = [n for n, word in enumerate(said) if word in W.thermometer]
    return any(
        word in W.elsewhere
        and W.out_of.isdisjoint(said[max(0, n - 3) : n])
        and any(abs(n - at) <= REACH for at in named)
        for n, word in enumerate(said)
    )


def _ill_with(line: _Pieces, place: int, unit: str, celsius: float, *, bare: bool = False) -> bool:
    """Whether an unnamed number can only be the temperature of somebody who is ill: "38.9 and shivering", "flu, 39".

    It is a fever, and no run, no weather and no other number are in the line. From 40 on it has tenths or degrees: a
    bare number is as likely minutes, and counts only where `bare` ones are looked for.
    """
    if not is_fever(celsius) or line.numbers > 1 or not W.weather.isdisjoint(line.words):
        return False
    exact = not line.all[place].word.isdigit() or unit in W.degrees
    if any(map(P.running.fullmatch, line.words)) or not (bare or exact or celsius < AS_LIKELY_MINUTES.value):
        return False
    if any(map(P.shivers.fullmatch, line.words)):
        return True
    ill = any(map(P.ill.fullmatch, line.words)) or (exact and any(map(P.unwell.fullmatch, line.words)))
    return ill and not any(map(P.no_more.fullmatch, line.words))


def _named_before(line: _Pieces, place: int) -> str:
    """The word before a number that makes it a temperature: "fever of 38.5", "temp this morning 38"."""
    for _, piece in line.before(place, REACH):
        if piece.word in W.fever or piece.word in W.thermometer:
            return piece.word
        if piece.value is not None or piece.word not in W.fill:
            return ""
    return ""


def _named_after(line: _Pieces, first: int) -> str:
    """The word behind a number that makes it a temperature: "39 fever", "38,5 de fiebre", "39 Grad Fieber"."""
    for piece in line.all[first : first + 3]:
        if not piece.apart and (piece.word in W.fever or piece.word in W.thermometer):
            return piece.word
        if piece.apart or piece.word not in W.leads_to_fever:
            return ""
    return ""


# ------------------------------------------------------------------ how long a complaint lasted


def _symptom_time(line: _Pieces, place: int) -> Claim | None:
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
    for back, before in line.before(place, len(line.all)):
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


def _pressure(line: _Pieces, place: int) -> Claim | None:
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


def _second_of_pair(line: _Pieces, place: int) -> _Piece | None:
    """The number behind the one at `place`, parted by a slash or by a word for one: "150/95", "150 over 95"."""
    after = line.all[place + 1 : place + 3]
    if after and after[0].value is not None:
        return after[0] if line.text[line.all[place].end : after[0].start].strip() == "/" else None
    joined = len(after) == 2 and after[0].word in W.over and not after[0].apart and not after[1].apart
    return after[1] if joined else None
