"""Which numbers of a line belong to the body: one claim of each, which the log reader and triage share.

A number is claimed by what stands beside it: a unit, the word that names it, or the complaint that lasted so long.
What nobody claims here is left to the log reader: minutes are never a pulse, and a fever is never minutes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from nudgebot.domain.text.line.tokens import LONGEST_LINE, NUMERIC, Kind, tokens
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.word_files import words

W = words("body_numbers")

FEVER_FROM = 37.8  # degrees Celsius (house; most pages say 38.0): docs/sources-safety.md, "fever"
FEVER_FROM_F = 100.0  # the same in degrees Fahrenheit
BODY = (34.0, 43.5)  # degrees Celsius that a living body can have; common practice, no source
BODY_F = (95.0, 111.0)
PULSE = (25, 250)  # beats a minute that a person can have; common practice, no source
PULSE_AFTER_AT = (80, 220)  # "@ 138": lower could be a clock or a pace
MOST_HOURS = 12  # "2 hr 20" is a time, "62 hr" a pulse
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


@dataclass(frozen=True, slots=True)
class _Piece:
    word: str
    start: int
    end: int
    value: float | None  # of a number
    apart: int  # 0 a blank or nothing before it, 1 a comma or the like, 2 the end of a sentence


_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_SEVERAL = {Kind.COLON: 0, Kind.SLASH: 1, Kind.ISO: 1, Kind.DOTS: 2}  # of several numbers, and how these are apart
_SHIVERS = re.compile(
    r"^(?:shiver\w*|chills|rigors|schuttelfrost|zitter\w*|gezittert|tirit\w*|escalofrio\w*|tiembl\w*|temblando|"
    r"temblor\w*|frissons?|frissonn\w*|grelott\w*|tremblements?|calafrio\w*|arrepio\w*|trem(?:o|er|endo|ores))$"
)
_RUNNING = re.compile(
    r"^(?:ran|run|runs|jog\w*|walk\w*|did|easy|session|corr\w+|trot\w*|lief|gelaufen|laufen|joggen|couru|cour\w+|"
    r"footing|treadmill|bike|biked|swam|rode)$"
)
# A complaint, or a place that is told of only when something is wrong with it. Whether it is a complaint triage says.
_COMPLAINT = re.compile(
    r"^(?:pain\w*|hurt\w*|ach\w+|sore|tight\w*|pressure|burn\w*|numb\w*|tingl\w+|diz\w+|faint\w*|lightheaded|breathless"
    r"|palpitations?|flutter\w*|rac(?:ing|ed)|pounding|skipp\w+|cramp\w*|stitch|black|blurr?\w*|blind|vision|speech|slurr\w+"
    r"|droop\w*|confus\w+|vomit\w*|nause\w+|shiver\w*|shak\w+|bleed\w*|bled|headache|migraine|swollen|throbb\w+|weak\w*"
    r"|dolor|duele|dolia|opresion|presion|mareo|mareado|mareada|entumecid\w+|hormigueo|borros\w+|palpitaciones|sangr\w+"
    r"|schmerz\w*|weh|wehgetan|druck|brustschmerz\w*|enge|taub\w*|schwindel\w*|schwindlig|herzrasen|kribbel\w*|verschwommen"
    r"|douleur\w*|mal|serr\w+|oppress\w+|engourdi\w*|vertige\w*|etourdi\w*|flou|floue|saign\w+"
    r"|dor|dores|doeu|aperto|pressao|tontura\w*|tonto|tonta|dormente|formigueiro|turva|palpitacoes)$"
)


@lru_cache(maxsize=64)
def claims(text: str) -> tuple[Claim, ...]:
    """The claimed numbers of `text`, in order; none overlap. A message past what triage reads has none."""
    if len(text) > LONGEST_LINE:
        return ()
    if not any(token.kind in NUMERIC or token.text in W.minutes for token in tokens(text)):
        return ()
    pieces = _pieces(text)
    found: list[Claim] = []
    for place in range(len(pieces)):
        claim = next((one for reader in _READERS if (one := reader(pieces, place)) is not None), None)
        if claim is not None:
            found.append(claim)
    return tuple(found)


def is_normal(text: str, start: int, end: int) -> bool:
    """Whether the number behind the word for a temperature that stands from `start` to `end` is no fever."""
    pieces = _pieces(text)
    first = next((n for n, piece in enumerate(pieces) if piece.start >= start), len(pieces))
    here = [piece.word for piece in pieces if start <= piece.start < end]
    if any(word.endswith("temperatur") and word not in W.of_a_body for word in here):
        return True  # "Wassertemperatur", "Raumtemperatur"
    words = [word for word in here if word in W.fever | W.thermometer]
    if not words or any(word in W.fever for word in words):
        return False
    if _is_elsewhere(pieces):
        return True
    following = next((piece.value for piece in pieces[first : first + REACH] if piece.value is not None), None)
    if following is None:
        return False
    return following < FEVER_FROM - 0.01 or BODY[1] < following < FEVER_FROM_F


def claimed_at(text: str, start: int, end: int) -> Claim | None:
    """The claim on a number that stands between `start` and `end` of `text`."""
    return next((claim for claim in claims(text) if claim.start < end and start < claim.end), None)


def is_fever(celsius: float) -> bool:
    """Whether a body temperature is a fever."""
    return celsius >= FEVER_FROM - 0.01


def _pieces(text: str) -> list[_Piece]:
    out: list[_Piece] = []
    apart = 2
    for token in tokens(text):
        if token.kind is Kind.MARK and token.text not in "@%":
            apart = 2 if token.text in ".!?;\n" else max(apart, token.text not in "°:")
            continue
        apart = max(apart, token.dash)
        if token.kind not in _SEVERAL:
            value = token.value if token.kind is Kind.NUMBER else None
            out.append(_Piece(token.text, token.start, token.end, value, apart))
            apart = 0
            continue
        for number in _NUMBER.finditer(token.text):  # "120/80", "fever 38.5."
            first, last = (token.start + at for at in number.span())
            out.append(_Piece(number[0], first, last, float(number[0]), apart))
            apart = _SEVERAL[token.kind]
        apart = 2 if token.text[-1] == "." else 0
    return out


def _word(pieces: list[_Piece], place: int) -> str:
    return pieces[place].word if 0 <= place < len(pieces) else ""


def _joined(pieces: list[_Piece], place: int) -> bool:
    """Whether nothing but a blank parts the piece at `place` from the one before."""
    return 0 < place < len(pieces) and pieces[place].apart == 0


# ------------------------------------------------------------------ pulse


def _pulse(pieces: list[_Piece], place: int) -> Claim | None:
    piece = pieces[place]
    value = piece.value
    if value is None or not PULSE[0] <= value <= PULSE[1] or value != int(value):
        return None
    after = _word(pieces, place + 1) if _joined(pieces, place + 1) else ""
    if after in W.measured or after == "%":
        return None
    if not (
        (after in W.beats | W.heart and not _labels_next(pieces, place + 1) and (after != "hr" or value > MOST_HOURS))
        or _led_by_heart(pieces, place)
        or (_word(pieces, place - 1) == "@" and PULSE_AFTER_AT[0] <= value <= PULSE_AFTER_AT[1])
    ):
        return None
    what = Claimed.RESTING_PULSE if _at_rest(pieces, place) else Claimed.PULSE
    return Claim(what, piece.start, piece.end, value)


def _labels_next(pieces: list[_Piece], place: int) -> bool:
    """Whether the heart word at `place` names the number behind it: "47 hr 141"."""
    following = pieces[place + 1] if place + 1 < len(pieces) else None
    low, high = PULSE_AFTER_AT
    return following is not None and following.value is not None and low <= following.value <= high


def _led_by_heart(pieces: list[_Piece], place: int) -> bool:
    """Whether a heart word before the number names it, over words that only lead there: "hr avg was 138"."""
    if pieces[place].apart == 2:
        return False
    for back in range(place - 1, max(-1, place - 1 - REACH), -1):
        piece = pieces[back]
        if piece.value is not None:
            return False
        if piece.word in W.heart or (piece.word == "heart" and _word(pieces, back + 1) in W.beating):
            before = pieces[back - 1].value if back else None
            value = pieces[place].value or 0
            hours = before is not None and before <= MOST_HOURS and _joined(pieces, back) and value < 60
            return not (piece.word == "hr" and hours)
        if piece.word not in W.leads and piece.word not in W.resting:
            return False
        if piece.apart == 2:
            return False
    return False


def _at_rest(pieces: list[_Piece], place: int) -> bool:
    """Whether the words around a pulse, back to the number before and on to the next comma, say that it is at rest."""
    for back in range(place - 1, -1, -1):
        if pieces[back].value is not None:
            break
        if pieces[back].word in W.resting:
            return True
        if _RUNNING.match(pieces[back].word):
            return False
        if pieces[back].apart == 2:
            break
    for ahead in range(place + 1, len(pieces)):
        if pieces[ahead].apart or pieces[ahead].value is not None:
            break
        if pieces[ahead].word in W.resting:
            return True
    return False


# ------------------------------------------------------------------ temperature


def _temperature(pieces: list[_Piece], place: int) -> Claim | None:
    piece = pieces[place]
    if piece.value is None:
        return None
    unit = _word(pieces, place + 1) if _joined(pieces, place + 1) else ""
    celsius = _celsius(piece.value, unit)
    if celsius is None or unit in W.measured or unit == "%":
        return None
    named = _named_before(pieces, place) or _named_after(pieces, place + (2 if unit in W.degrees else 1))
    if not named and not _shivers_with(pieces, place, unit, celsius):
        return None
    if named not in W.fever and _is_elsewhere(pieces):
        return None
    if named not in W.fever and any(other.word in W.weather for other in pieces) and "." not in piece.word:
        return None
    return Claim(Claimed.TEMPERATURE, piece.start, piece.end, celsius)


def _is_elsewhere(pieces: list[_Piece]) -> bool:
    """Whether a temperature is that of a room, an oven or water: such a place is named near, and nobody who is hot."""
    words = [piece.word for piece in pieces]
    if not (W.somebodys | W.fever).isdisjoint(words):
        return False
    named = [n for n, word in enumerate(words) if word in W.thermometer or word in W.degrees]
    return any(
        word in W.elsewhere
        and W.out_of.isdisjoint(words[max(0, n - 3) : n])
        and any(abs(n - at) <= REACH for at in named)
        for n, word in enumerate(words)
    )


def _shivers_with(pieces: list[_Piece], place: int, unit: str, celsius: float) -> bool:
    """Whether an unnamed number can only be the temperature of somebody who shivers: "38.9 and shivering".

    It is a fever told with tenths or in degrees, no run and no weather are in the line, and no other number is.
    """
    tenths = not pieces[place].word.isdigit()
    numbers = [piece for piece in pieces if piece.value is not None]
    if not is_fever(celsius) or not (tenths or unit in W.degrees) or len(numbers) > 1:
        return False
    words = [piece.word for piece in pieces]
    return any(map(_SHIVERS.match, words)) and not any(w in W.weather or _RUNNING.match(w) for w in words)


def _celsius(value: float, unit: str) -> float | None:
    """The temperature of a body that a number can be, None where it can be none."""
    if BODY[0] <= value <= BODY[1] and unit not in W.fahrenheit:
        return value
    if BODY_F[0] <= value <= BODY_F[1]:
        return (value - 32) / 1.8 if value != FEVER_FROM_F else FEVER_FROM
    return None


def _named_before(pieces: list[_Piece], place: int) -> str:
    """The word before a number that makes it a temperature: "fever of 38.5", "temp this morning 38"."""
    if pieces[place].apart == 2:
        return ""
    for back in range(place - 1, max(-1, place - 1 - REACH), -1):
        word = pieces[back].word
        if word in W.fever or word in W.thermometer:
            return "" if _word(pieces, back - 1) in W.other_fevers else word
        if pieces[back].value is not None or word not in W.fill or pieces[back].apart == 2:
            return ""
    return ""


def _named_after(pieces: list[_Piece], first: int) -> str:
    """The word behind a number that makes it a temperature: "39 fever", "38,5 de fiebre", "39 Grad Fieber"."""
    for ahead in range(first, min(len(pieces), first + 3)):
        word = pieces[ahead].word
        if pieces[ahead].apart == 2 or (pieces[ahead].apart and word not in W.fever):
            return ""
        if word in W.fever or (word in W.thermometer and ahead == first):
            return word
        if word not in {"de", "d", "of", "high", "hohes", "temp", "temperature", "body", "a", "temperatura", "am"}:
            return ""
    return ""


# ------------------------------------------------------------------ how long a complaint lasted


def _symptom_time(pieces: list[_Piece], place: int) -> Claim | None:
    piece = pieces[place]
    if piece.value is None and piece.word not in W.counts and piece.word not in said_in_any("numbers"):
        return None
    unit = place + 1
    while _word(pieces, unit) in {"an", "a", "of", "eine", "una", "uma", "une", "or", "so"}:
        unit += 1
    if _word(pieces, unit) not in W.minutes:
        return None
    lasting = any(_word(pieces, place - back) in W.lasting for back in (1, 2)) or _word(pieces, unit + 1) == "lang"
    if not lasting:
        return None
    for back in range(place - 1, -1, -1):
        word = pieces[back].word
        if _RUNNING.match(word):
            return None
        if _COMPLAINT.match(word) or (word in W.heart and _resting_before(pieces, back)):
            denied = any(_word(pieces, back - step) in W.well for step in (1, 2, 3))
            return None if denied else Claim(Claimed.SYMPTOM_TIME, piece.start, pieces[unit].end, piece.value or 0.0)
        if pieces[back].apart == 2:
            return None
    return None


def _resting_before(pieces: list[_Piece], heart: int) -> bool:
    return any(piece.word in W.resting for piece in pieces[max(0, heart - 2) : heart + 6])


# ------------------------------------------------------------------ blood pressure


def _pressure(pieces: list[_Piece], place: int) -> Claim | None:
    """A blood pressure whose upper value stands at `place`, told in mmHg or in centimetres (17 over 10)."""
    upper = pieces[place].value
    following = _second_of_pair(pieces, place)
    if upper is None or following is None or following.value is None:
        return None
    over = _word(pieces, place + 1)
    lower, words = following.value, _sentence(pieces, place)
    named, cuff = bool(words & W.pressure), bool(words & W.cuff)
    if named and lower < upper <= 280 and upper >= 80:
        scale = 1
    elif (named or cuff) and 13 <= upper <= 26 and 7 <= lower <= 15 and upper - lower >= 4:
        scale = 10
    elif 140 <= upper <= 260 and 70 <= lower <= 150 and upper - lower >= 30 and (cuff or over in {"over", "ower"}):
        scale = 1
    else:
        return None
    return Claim(Claimed.PRESSURE, pieces[place].start, following.end, scale * upper, scale * lower)


def _second_of_pair(pieces: list[_Piece], place: int) -> _Piece | None:
    """The number behind the one at `place`, parted by a slash or by a word for one: "150/95", "150 over 95"."""
    after = pieces[place + 1 : place + 3]
    if after and after[0].value is not None:
        return after[0] if after[0].apart == 1 and after[0].start - pieces[place].end in {1, 3} else None
    joined = len(after) == 2 and after[0].word in W.over and not after[0].apart and not after[1].apart
    return after[1] if joined else None


_NEAR = 60  # words of a sentence on each side that are looked at


def _sentence(pieces: list[_Piece], place: int) -> set[str]:
    """The words of the sentence that holds the piece at `place`; of a very long one those around it."""
    begin, end = max(0, place - _NEAR), min(len(pieces), place + _NEAR)
    first = next((n for n in range(place, begin, -1) if pieces[n].apart == 2), begin)
    last = next((n for n in range(place + 1, end) if pieces[n].apart == 2), end)
    return {piece.word for piece in pieces[first:last]}


_READERS = (_pressure, _pulse, _temperature, _symptom_time)
