"""Which numbers and words of a line are the temperature of somebody's body, and which of those are a fever."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache
from operator import attrgetter

from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.text.folding import KEPT, fold
from nudgebot.domain.text.pieces import REACH, Pieces, pieces_of
from nudgebot.domain.text.symptoms.lay_words import SignWord
from nudgebot.domain.text.word_files import patterns, words

W, P = words("body_numbers"), patterns("body_shapes")
_OF_A_BODY = W.somebodys | W.fever
FEVER_FROM = 37.8  # degrees Celsius (house; most pages say 38.0): docs/sources-safety.md, "fever"
AS_LIKELY_MINUTES = Rule("a bare number beside an illness that may as well be a run, from", 40, "°C", "house")
FEVER_FROM_F = 100.0  # the same in degrees Fahrenheit
BODY = (34.0, 43.5)  # degrees Celsius that a living body can have; common practice, no source
BODY_F = (95.0, 111.0)


def is_fever(celsius: float) -> bool:
    """Whether a body temperature is a fever."""
    return celsius >= FEVER_FROM - 0.01


def is_normal(text: str, named: Sequence[SignWord]) -> bool:
    """Whether the number behind `named`, the words for a temperature, is no fever."""
    line = pieces_of(text)
    start, end = named[0].start, named[-1].end
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
    line = pieces_of(text)
    bare = [place for place, piece in enumerate(line.all) if (piece.value or 0) >= AS_LIKELY_MINUTES.value]
    return any(
        celsius is not None and _ill_with(line, place, line.joined(place + 1), celsius, bare=True)
        for place in bare
        for celsius in (_celsius(line.all[place].value or 0),)
        if line.joined(place + 1) not in W.measured
    )


def temperature_at(line: Pieces, place: int) -> float | None:
    """The temperature of a body, in degrees Celsius, that the number at `place` is; None where it is none."""
    piece, unit = line.all[place], line.joined(place + 1)
    celsius = _celsius(piece.value or 0)
    if celsius is None or unit in W.measured:
        return None
    named = _named_before(line, place) or _named_after(line, place + 1)
    if not named and not _ill_with(line, place, unit, celsius):
        return None
    leads = {each.word for _, each in line.before(place, REACH)}
    if not leads.isdisjoint(W.taken_of_a_body) and leads.isdisjoint(W.within):
        return celsius  # "core temp 40", "running a temp of 39", whatever weather or room was told before
    temperatures = W.thermometer - W.instruments
    owned = (line.all[max(0, n - 1)].word for n, each in line.before(place, REACH) if each.word in temperatures)
    if not W.owners.isdisjoint(owned):
        return celsius  # "my temperature is 39"
    weather = "." not in piece.word and not W.weather.isdisjoint(line.words)
    if named not in W.fever and (weather or _is_elsewhere(line)):
        return None
    return celsius


def _celsius(value: float) -> float | None:
    """The temperature of a body that a number can be, None where it can be none."""
    if BODY[0] <= value <= BODY[1]:
        return value
    if BODY_F[0] <= value <= BODY_F[1]:
        return (value - 32) / 1.8 if value != FEVER_FROM_F else FEVER_FROM
    return None


@lru_cache(maxsize=KEPT)
def _is_elsewhere(line: Pieces) -> bool:
    """Whether a temperature is that of a room, an oven or water: such a place is named near, and nobody who is hot."""
    if W.elsewhere.isdisjoint(line.words) or not _OF_A_BODY.isdisjoint(line.words):
        return False
    said = [piece.word for piece in line.all]
    named = [n for n, word in enumerate(said) if word in W.thermometer]
    near = {n + step for n in named for step in range(-REACH, REACH + 1)}
    return any(
        n in near and word in W.elsewhere and W.out_of.isdisjoint(said[max(0, n - 3) : n])
        for n, word in enumerate(said)
    )


def _ill_with(line: Pieces, place: int, unit: str, celsius: float, *, bare: bool = False) -> bool:
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


def _named_before(line: Pieces, place: int) -> str:
    """The word before a number that makes it a temperature: "fever of 38.5", "temp this morning 38"."""
    for _, piece in line.before(place, REACH):
        if piece.word in W.fever or piece.word in W.thermometer:
            return piece.word
        if piece.value is not None or piece.word not in W.fill:
            return ""
    return ""


def _named_after(line: Pieces, first: int) -> str:
    """The word behind a number that makes it a temperature: "39 fever", "38,5 de fiebre", "39 Grad Fieber"."""
    for piece in line.all[first : first + 3]:
        if not piece.apart and (piece.word in W.fever or piece.word in W.thermometer):
            return piece.word
        if piece.apart or piece.word not in W.leads_to_fever:
            return ""
    return ""
