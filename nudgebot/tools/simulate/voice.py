"""How a simulated runner puts things: lines of invented people, in the language of the runner, and a few plain ones."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from random import Random

from nudgebot.tools.simulate.judge.findings import Meant

LANGUAGES = ("en", "de", "es", "fr", "pt")
SLOT = "{minutes}"
# What is said where nobody's own words are at hand, or after they were not understood.
PLAIN: Mapping[Meant, tuple[str, ...]] = {
    Meant.RUN: (f"{SLOT} min easy", f"ran {SLOT}", f"{SLOT} easy, 3/10", f"{SLOT} min, hr 118"),
    Meant.SKIP: ("can't today", "no run today", "not today"),
    Meant.FEVER: ("fever 38.5 since last night", "fever, staying in bed", "flu, fever 39"),
    Meant.ILL: ("the flu, aching all over", "tested positive for covid", "chest infection, antibiotics"),
    Meant.STOMACH: ("stomach bug, nothing today", "been throwing up all night"),
    Meant.COLD: ("bad cold, staying in bed", "runny nose, otherwise fine"),
    Meant.CLINICIAN: ("shin hurts at night and when I press the bone", "calf pain, had to limp home"),
    Meant.URGENT: ("chest tightness on the hill", "one calf swollen and warm since the flight"),
    Meant.EMERGENCY: ("crushing chest pain this morning", "passed out during the run"),
    Meant.HEAT: ("41 °C and 70 % humidity here today", "it is 43 C, humidity 65 %"),
}


@cache
def lines() -> Mapping[tuple[Meant, str], tuple[str, ...]]:
    """The lines of the file beside this one, by what they are about and their language."""
    found: dict[tuple[Meant, str], list[str]] = {}
    text = (files("nudgebot.tools.simulate") / "lines.tsv").read_text(encoding="utf-8")
    for row in text.splitlines():
        if not row.startswith("#"):
            kind, language, line = row.split("\t")
            found.setdefault((Meant(kind), language), []).append(line)
    return {key: tuple(values) for key, values in found.items()}


class Voice:
    """One runner's way of writing: a language, and the lines drawn for each occasion."""

    def __init__(self, language: str, seed: str) -> None:
        self.language = language
        self._dice = Random(seed)  # noqa: S311 - drawing words, not secrets

    def own(self, told: Meant, minutes: int = 0) -> str:
        """A line of somebody's own; a plain one where the language has none."""
        choices = lines().get((told, self.language)) or lines().get((told, "en")) or PLAIN[told]
        return self._dice.choice(choices).replace(SLOT, str(minutes))

    def plain(self, told: Meant, minutes: int = 0) -> str:
        """A line that says it in the plainest words."""
        return self._dice.choice(PLAIN[told]).replace(SLOT, str(minutes))

    def mixed(self, told: Meant) -> str:
        """One or the other."""
        return self.own(told) if self._dice.random() < 0.5 else self.plain(told)

    def chance(self, share: float) -> bool:
        """Whether something of that share happens now."""
        return self._dice.random() < share
