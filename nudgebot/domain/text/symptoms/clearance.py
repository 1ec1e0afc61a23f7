"""What bears on a hold: a clinician cleared running, who it was and when, and "that was not about me". Five languages.

It reads words and judges nobody: a line that names nobody it knows is asked about, and the runner has the last word.
No line ends a hold by itself: each only begins the steps that do.
"""

from __future__ import annotations

from enum import StrEnum

from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.word_files import patterns

P = patterns("clearance")


class Clearer(StrEnum):
    """Whose word a line passes on."""

    DOCTOR = "doctor"  # a doctor, hospital, emergency department, specialist or clinic
    MIDWIFE = "midwife"
    PHYSIO = "physiotherapist"
    NOBODY = "nobody"  # the writer, a search, a friend, a relative who is none of these
    UNTOLD = "untold"  # a name, or words that say nothing of it


def clearer_in(text: str) -> Clearer:
    """Who a line says it was. A relative or friend who is said to be a doctor is one; a vet is not."""
    line = squeezed(text)
    doubtful = P.no_clinician.search(line) or P.of_somebody_else.search(line) or _denied(line)
    if not doubtful:
        for kind, words in ((Clearer.DOCTOR, P.doctor), (Clearer.MIDWIFE, P.midwife), (Clearer.PHYSIO, P.physio)):
            if words.search(line):
                return kind
    return Clearer.NOBODY if doubtful or P.nobody.search(line) else Clearer.UNTOLD


def _denied(line: str) -> bool:
    found = P.denied.search(line)
    return found is not None and not (found[0].startswith("no ") and P.in_the.search(line))
