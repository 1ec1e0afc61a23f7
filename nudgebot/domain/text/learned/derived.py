"""Minutes that a line tells without saying them: from one time of day to another, so far at a pace, so many times.

Each is only offered to the ranker of sums, which weighs it against the numbers of the line taken as they are.
"""

from __future__ import annotations

import re
from itertools import chain, pairwise
from typing import NamedTuple

from nudgebot.domain.text.learned.intents import WORDS_READ
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines import units
from nudgebot.domain.text.log_lines.rules import Parsed
from nudgebot.domain.text.log_lines.units import KM_PER_MILE, Sort
from nudgebot.domain.text.word_files import words

W = words("parts")
SPAN, PACE, TIMES = "span", "pace", "times"
HOUR = 60  # minutes
HALF_DAY = 12 * HOUR  # minutes: the hands of a clock say nothing about morning and evening
LONGEST_SPAN = 5 * 60  # minutes between two times of day that can be one session
MOST = 12  # times of day, paces or products of a line that are looked at
_TIMES = frozenset(("x", "*", "times", "mal", "fois", "veces", "vezes", "lots"))
_FUSED = {"twice": 2, "thrice": 3, "zweimal": 2, "dreimal": 3, "viermal": 4, "funfmal": 5}
_POINTED = re.compile(r"(\d{1,2})[.,](\d{2})\Z")
_FOUR = re.compile(r"([01]\d|2[0-3])([0-5]\d)\Z")


class Derived(NamedTuple):
    """Minutes worked out from the tokens from `first` up to, not including, `last`."""

    kind: str
    minutes: float
    first: int
    last: int


class _Item(NamedTuple):
    value: float
    first: int
    last: int
    strong: bool  # written as nothing but a time of day is
    hourless: bool = False  # minutes past an hour that is not named: "home at ten past"


def derived_of(parse: Parsed) -> list[Derived]:
    """All minutes that can be worked out, in order of their kind and place."""
    line = parse.line
    if (
        len(line.numerals) < 2
        and W.each.isdisjoint(line.texts)
        and _FUSED.keys().isdisjoint(line.texts)
        and not any(amount.sort is Sort.PACE for amount in parse.amounts)
    ):
        return []
    return [*_spans(line), *_paces(parse), *_products(parse)]


def _spans(line: ParsedLine) -> list[Derived]:
    found = []
    for a, b in pairwise(_clocks(line)):
        minutes = (b.value - a.value) % (HOUR if b.hourless else HALF_DAY)
        if (a.strong or b.strong) and not a.hourless and 0 < minutes <= LONGEST_SPAN:
            found.append(Derived(SPAN, minutes, a.first, b.last))
    return found


def _clocks(line: ParsedLine) -> list[_Item]:
    """The times of day of a line in order, in minutes from midnight, with bare hours that may be one."""
    found: list[_Item] = []
    parts = [n for n in line.words if n < WORDS_READ and line.texts[n] in _PARTS]
    for place in sorted((*parts, *line.numerals_in(0, WORDS_READ))):
        item = None if found and place < found[-1].last else _told_clock(line, place) or _clock_at(line, place)
        if item is not None:
            found.append(item)
        if len(found) >= MOST:
            break
    return found


# A time of day in words: "quarter to six", "halb sieben", "six heures moins dix", "las cinco y media".
_PARTS = {
    "quarter": 15, "half": 30, "viertel": 15, "halb": -30, "dreiviertel": -15, "quart": 15, "demie": 30, "demi": 30,
    "cuarto": 15, "media": 30, "quarto": 15, "meia": 30,
}  # fmt: skip
_BEHIND = frozenset(("past", "after", "gone", "nach", "et", "y", "e", "und"))
_AHEAD = frozenset(("to", "til", "till", "of", "before", "vor", "moins", "menos", "para", "pras"))
_HOUR_FIRST = frozenset(("et", "y", "e", "moins", "menos"))  # "six heures moins dix", but "ten to six"
_BETWEEN = frozenset(("le", "la", "las", "las", "as", "o", "um", "un", "minutes", "min", "minuten", "minutos"))
_HOURS = frozenset(("heures", "heure", "h", "uhr", "horas", "hora", "o'clock"))
_LAST_HOUR, _SIX = 24, 6


def _told_clock(line: ParsedLine, place: int) -> _Item | None:
    """A time of day in words that begins at `place`, in minutes from midnight."""
    first, at = _clock_part(line, place), place + 1
    if first is None:
        return None
    at += line.text(at) in _HOURS or line.text(at) in _BETWEEN
    sign, joins = line.text(at), line.text(at) in _BEHIND | _AHEAD
    at += joins
    while line.text(at) in _BETWEEN or (line.text(at) == "1" and line.text(at + 1) in _PARTS):
        at += 1
    half = line.text(at) == "halb" and joins  # "fünf nach halb elf"
    at += half
    second = _clock_part(line, at)
    if second is None and sign in W.hourless:
        return _Item(-first if sign in _AHEAD else first, place, at, strong=True, hourless=True)
    if second is None or (not joins and not _are_told_together(line, place, at)):
        return None
    leads = sign in _HOUR_FIRST or (not joins and line.text(place) not in _PARTS)
    hour_at, (hour, minutes) = (place, (first, second)) if leads else (at, (second, first))
    if not 0 < hour <= _LAST_HOUR or line.text(hour_at) in _PARTS:
        return None
    value = 60 * hour - 30 * half + (-minutes if sign in _AHEAD else minutes)
    last = at + 1 + (line.text(at + 1) in _HOURS)
    return _Item(value, place, last, True) if value >= 0 else None


def _clock_part(line: ParsedLine, place: int) -> float | None:
    """The hours or minutes that one word of a time of day stands for; None where it stands for none."""
    if not 0 <= place < len(line.tokens):
        return None
    token = line.tokens[place]
    if line.language == "pt" and token.spoken and token.value == _SIX and line.text(place - 1) == "e":
        return _PARTS["meia"]  # "sete e meia": the word also stands for a six
    if token.kind is Kind.NUMBER:
        return token.value if token.value == int(token.value) and token.value < 60 else None
    return _PARTS.get(token.text)


def _are_told_together(line: ParsedLine, first: int, second: int) -> bool:
    """Whether two parts side by side are a time of day: "half six", "halb sieben", "five twenty"."""
    halves = line.text(first) in {"half", "halb", "dreiviertel"}
    return second == first + 1 and (halves or (line.tokens[first].spoken and line.tokens[second].spoken))


def _clock_at(line: ParsedLine, place: int) -> _Item | None:
    token = line.tokens[place]
    if token.kind is Kind.COLON and len(token.parts) == 2:
        strong = token.parts[0] < 24 and token.parts[1] < 60
        return _Item(token.parts[0] * 60 + token.parts[1], place, place + 1, True) if strong else None
    if token.kind is not Kind.NUMBER:
        return None
    for shape in (_POINTED, _FOUR):
        if (parts := shape.match(token.text)) and int(parts[1]) < 24 and int(parts[2]) < 60:
            return _Item(int(parts[1]) * 60 + int(parts[2]), place, place + 1, True)
    if token.value != int(token.value) or token.value > 24:
        return None
    hours = 60 * token.value
    hour, clock = Cue.HOUR in line.cues(place + 1), Cue.CLOCK in line.cues(place + 1)
    behind = line.tokens[place + 2] if (hour or clock) and place + 2 < len(line.tokens) else None
    if behind is not None and behind.kind is Kind.NUMBER and behind.value < HOUR:
        return _Item(hours + behind.value, place, place + 3, True)  # "4 Uhr 10"
    return _Item(hours, place, place + 1 + (hour or clock), strong=clock and not hour)


def _paces(parse: Parsed) -> list[Derived]:
    line = parse.line
    found = []
    far = [a for a in parse.amounts if a.sort is Sort.DISTANCE and a.value][:2]
    for distance in far:
        miles = any(Cue.MILE in line.cues(n) for n in range(distance.first, distance.last))
        for pace in _pace_items(parse):
            if distance.first < pace.last and pace.first < distance.last:
                continue
            length = distance.value / KM_PER_MILE if miles and not pace.strong else distance.value
            first, last = min(distance.first, pace.first), max(distance.last, pace.last)
            found.append(Derived(PACE, length * pace.value / 60, first, last))
    return found


def _pace_items(parse: Parsed) -> list[_Item]:
    """What may be a pace, in seconds: strong where the rules made it one a kilometre."""
    line = parse.line
    found = [_Item(a.value, a.first, a.last, not a.per_mile) for a in parse.amounts if a.sort is Sort.PACE]
    for place in line.numerals_in(0, WORDS_READ):
        token, behind = line.tokens[place], line.tokens[place + 1 : place + 3]
        seconds, last = 0.0, place + 1
        if token.kind is Kind.COLON and len(token.parts) == 2 and token.parts[1] < 60:
            seconds = token.parts[0] * 60 + token.parts[1]
        elif token.kind is Kind.NUMBER and (parts := _POINTED.match(token.text)) and int(parts[2]) < 60:
            seconds = int(parts[1]) * 60 + int(parts[2])
        elif (
            [token.kind, *(each.kind for each in behind[1:])] == [Kind.NUMBER, Kind.NUMBER]
            and behind[0].text in {"'", "min", "m"}
            and behind[1].value < 60
        ):
            seconds, last = token.value * 60 + behind[1].value, place + 3
        elif token.kind is Kind.NUMBER and _is_for_each(line, place):
            seconds = int(token.value * 60)
        if seconds in units.PACE and not any(item.first <= place < item.last for item in found):
            found.append(_Item(seconds, place, last, strong=False))
        if len(found) >= MOST:
            break
    return found


def _is_for_each(line: ParsedLine, place: int) -> bool:
    """Whether what a number counts is said of each: "eight minutes each", "jede 3 Minuten", "nine minutes the mile"."""
    first, last = max(0, place - _EACH_NEAR), place + _EACH_NEAR + 1
    said = not W.each.isdisjoint(line.texts[first:last]) or not _OF_EACH.isdisjoint(chain(*line.hints[first:last]))
    return said or not _LENGTHS.isdisjoint(chain(*line.hints[place + 1 : last]))


_EACH_NEAR = 4  # words
_MEASURED = frozenset((Sort.DISTANCE, Sort.PACE, Sort.PULSE, Sort.EFFORT, Sort.CLOCK))  # no number of rounds
_OF_EACH = frozenset((Cue.PACE, Cue.PER))
_LENGTHS = frozenset((Cue.KM, Cue.MILE))


def _products(parse: Parsed) -> list[Derived]:
    line = parse.line
    found = _repeats(parse)
    for place in line.numerals_in(0, min(len(line.tokens), WORDS_READ) - 2):
        times, sign, each = line.tokens[place : place + 3]
        if times.kind is Kind.NUMBER and each.kind is Kind.NUMBER and sign.text in _TIMES:
            found.append(Derived(TIMES, times.value * each.value, place, place + 3))
    for place in line.numerals_in(1, WORDS_READ):
        times_told, each = _FUSED.get(line.text(place - 1)), line.tokens[place]
        if times_told is not None and each.kind is Kind.NUMBER:
            found.append(Derived(TIMES, times_told * each.value, place - 1, place + 1))
    return found[:MOST]


def _repeats(parse: Parsed) -> list[Derived]:
    """So many rounds of so many minutes each; the way there and back where each way is told."""
    line = parse.line
    measured = {n for amount in parse.amounts if amount.sort in _MEASURED for n in range(amount.first, amount.last)}
    told = [n for n in line.numerals_in(0, WORDS_READ) if line.tokens[n].kind is Kind.NUMBER][:MOST]
    each = _told_of_each(line, told)
    found = [
        Derived(TIMES, line.tokens[a].value * line.tokens[b].value, min(a, b), max(a, b) + 1)
        for b in each
        for a in told
        if a != b and a not in measured and line.tokens[a].value <= MOST
    ]
    ways = any(line.text(n) in W.each and line.text(n + 1) in W.way for n in range(min(len(line.tokens), WORDS_READ)))
    return found + [Derived(TIMES, 2 * line.tokens[b].value, b, b + 1) for b in each if ways]


def _told_of_each(line: ParsedLine, told: list[int]) -> list[int]:
    """The numbers that are said of each: the last before the word, else those after it ("6 k each way, 45 all up")."""
    found: set[int] = set()
    for at in range(min(len(line.tokens), WORDS_READ)):
        if line.texts[at] in W.each:
            before = [n for n in told if at - _EACH_NEAR <= n < at]
            found.update(before[-1:] or (n for n in told if at < n <= at + _EACH_NEAR))
    return sorted(found)
