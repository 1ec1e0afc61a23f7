"""What a simulated runner means by a line: the judge knows it, the bot has to read it."""

from __future__ import annotations

import re
from enum import StrEnum


class Meant(StrEnum):
    """What a line is about."""

    RUN = "run"
    SKIP = "skip"
    BUSY = "busy"
    AWAY = "away"
    CHAT = "chat"
    QUESTION = "question"
    NIGGLE = "niggle"
    COLD = "cold"  # above the neck: no pause
    ILL = "ill"  # flu, covid and the like without a word of fever
    STOMACH = "stomach"
    FEVER = "fever"
    CLINICIAN = "clinician"
    URGENT = "urgent"
    EMERGENCY = "emergency"
    HEAT = "heat"  # weather in which exercise is called off
    WELL = "well"  # over, with no sign left
    OTHER = "other"


ILLNESSES = frozenset({Meant.ILL, Meant.STOMACH, Meant.FEVER})
# What opens a pause by docs/safety.md, in the plainest words of five languages.
_PLAIN = re.compile(
    r"\b(?:fever|flu(?!')|influenza|covid|stomach (?:bug|flu)|vomit(?:ing|ed)?|throwing up|threw up|chest infection|"
    r"ill in bed|fieber|grippe|magen-?darm|fiebre|gripe|vomit\w+|fièvre|gastro|febre|corona)\b",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"\b(?:no|not|kein\w*|sin|pas de|sem|without|zero)\b[^.,;]{0,12}\b(?:fever|fieber|fiebre|fièvre|febre)|febre não|"
    r"fiebre no",
    re.IGNORECASE,
)
_THEIRS = re.compile(r"\b(?:kid|kids|wife|husband|mann|frau|enfants|menino|nieto|mari|lad)\w*\b", re.IGNORECASE)


def says_illness_plainly(text: str) -> bool:
    """Whether the line names an illness in words that nobody could take for another thing."""
    return bool(_PLAIN.search(text)) and not _DENIED.search(text) and not _THEIRS.search(text)
