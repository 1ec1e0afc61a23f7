"""Whether a line asks what a coach gets to see: "what does my coach see?", in the five languages.

Three things in one line: a coach, seeing, and a question. Words beside them do not matter; a line that tells a sign is
not asked here at all.
"""

from __future__ import annotations

import re
from typing import Final

from nudgebot.domain.text.folding import squeezed

COACH: Final = re.compile(
    r"\b(?:coach(?:es)?|trainer(?:in|s)?|entrenador(?:a|es)?|treinador(?:a|es)?|entraineu(?:r|se))\b"
)
SEES: Final = re.compile(
    r"\b(?:see|sees|seeing|know|knows|read|reads|view|look at|shown|told|"
    r"sieht|sehen|weiss|lesen|liest|ve|ver|ven|sabe|saber|lee|leer|voit|voir|sait|lit|le|ler)\b"
)
ASKS: Final = re.compile(
    r"\?|^\W*(?:what|which|how much|does|can|could|is|was|welche|kann|que|cuanto|puede|o que|pode|qu'|quoi|est-ce)\b"
)
TOLD_BACK: Final = re.compile(r"\b(?:i saw|i see|ich sehe|yo veo|je vois|eu vejo)\b|\d")


def asks_what_a_coach_sees(text: str) -> bool:
    """Whether `text` asks what a coach sees of its writer."""
    plain = squeezed(text[:300])
    return all(each.search(plain) for each in (COACH, SEES, ASKS)) and TOLD_BACK.search(plain) is None
