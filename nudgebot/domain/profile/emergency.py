"""Emergency numbers, by the runner's country setting and by nothing else.

Never by time zone or phone prefix: 111 is the emergency number of New Zealand and an advice line in the United
Kingdom, and 911 does not reliably connect in Australia. For a country that is not listed, or not told, the words
are "the local emergency number (112 from most mobiles)" (GSM phones carry 112; Better Health Channel, Victoria).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final


@dataclass(frozen=True, slots=True)
class Number:
    """A row of `emergency.tsv`: what to dial in `countries` (ISO 3166-1); `seen` says how the value was checked."""

    kind: str  # "number" for an ambulance, "crisis" for a crisis line
    dial: str
    countries: tuple[str, ...]
    source: str
    seen: str  # "seen", "seen in copies" or "from memory"


# How to say it where the number is known, and where it is not.
CALL: Final[Mapping[str, tuple[str, str]]] = {
    "en": ("call {}", "call the local emergency number (112 from most mobiles)"),
    "es": ("llama al {}", "llama al número de emergencias de tu zona (112 desde casi cualquier móvil)"),
    "de": ("ruf die {} an", "ruf die örtliche Notrufnummer (112 von fast jedem Handy) an"),
    "fr": ("appelle le {}", "appelle le numéro d’urgence local (le 112 depuis presque tous les mobiles)"),
    "pt": ("liga para o {}", "liga para o número de emergência local (112 em quase todos os telemóveis)"),
}


@cache
def numbers(kind: str) -> tuple[Number, ...]:
    """The rows of that kind, in the order of the file."""
    text = resources.files("nudgebot.domain.profile").joinpath("emergency.tsv").read_text("utf-8")
    cells = (line.split("\t") for line in text.splitlines() if not line.startswith("#"))
    rows = (Number(of, dial, tuple(countries.split()), source, seen) for of, dial, countries, source, seen in cells)
    return tuple(row for row in rows if row.kind == kind)


def _dial(kind: str, country: str) -> str | None:
    return next((row.dial for row in numbers(kind) if country in row.countries), None)


def crisis_line(country: str) -> str:
    """The crisis line of a country in brackets, after a space; empty if none was checked."""
    line = _dial("crisis", country)
    return f" ({line})" if line else ""


def call(country: str, language: str = "en") -> str:
    """The words "call 112", or "call the local emergency number (112 from most mobiles)"."""
    known, unknown = CALL[language]
    dial = _dial("number", country)
    return known.format(dial) if dial else unknown
