"""Short answers to the question about a second run, in the five languages: a second one, a correction, the same."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from nudgebot.domain.model.actions import Option
from nudgebot.domain.text.folding import squeezed


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# A line of these words and nothing else is that answer.
WORDS: Final[Mapping[Option, frozenset[str]]] = {
    Option.SECOND: _words(
        "second another both two runs zweite zweiter zweites zweiten weiterer noch beide zwei segunda segundo otra "
        "outra ambas ambos dos duas dois deuxieme seconde autre deux"
    ),
    Option.CORRECTION: _words(
        "correction correct corrected replace replaces fix fixed korrektur korrigiert korrigieren ersetzt correccion "
        "corregido corrige remplace corrigee correcao corrigido corrigi substitui"
    ),
    Option.SAME: _words("same no derselbe dieselbe gleiche selbe nein misma mismo meme mesma mesmo nao non"),
}
# What may stand around them, and around a number that puts a run right: "that was 44", "das waren 44 Minuten".
AROUND: Final = _words(
    "a an the it it's its is was were makes that this those one run only just in total altogether all min mins minutes "
    "please ein eine einer der die das es ist war waren lauf insgesamt gesamt zusammen nur minuten bitte "
    "un una la las el los fue fueron era eran carrera en solo minutos por favor "
    "une le les c'est c'etait ca faisait fait course au tout seulement um uma o as os foi foram e eram corrida so todo"
)
DENIALS: Final = _words("no nope nein non nao")
_WORD: Final = re.compile(r"[a-z']+|\d+")


def option_in(line: str) -> Option | None:
    """The one answer of `WORDS` that a line is; None if it says anything else."""
    said = set(_WORD.findall(squeezed(line)))
    found = [option for option, words in WORDS.items() if said & words]
    return found[0] if len(found) == 1 and said <= WORDS[found[0]] | AROUND else None


def minutes_in_correction(line: str) -> int | None:
    """The minutes of a line that says what a run was, and nothing else: "that was 44", "nein, 44"; None for another."""
    said = _WORD.findall(squeezed(line))
    numbers = [word for word in said if word.isdigit()]
    rest = {word for word in said if not word.isdigit()}
    if len(numbers) != 1 or not rest or not rest <= AROUND | DENIALS:
        return None
    return int(numbers[0])
