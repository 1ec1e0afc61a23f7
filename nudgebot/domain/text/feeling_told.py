"""How somebody feels who was asked how they are: better, the same or worse, in their own words."""

from __future__ import annotations

import re
from typing import Final

from nudgebot.domain.model.actions import Feeling
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.phrases import feeling_in

LONGEST: Final = 8  # words; a longer line tells of more
_WORSE: Final = re.compile(r"\b(?:worse|schlechter|schlimmer|peor|pire|pior)\b")
_SAME: Final = re.compile(
    r"\b(?:same|unchanged|no change|no better|still|not (?:yet|great|good|fine|ok|okay|well|better|gone)|so so|meh|"
    r"gleich|unverandert|nicht besser|noch|geht so|igual|lo mismo|sigue|todavia|pareil|toujours|pas mieux|bof|"
    r"mesma|ainda|nao (?:esta )?melhor)\b"
)
_BETTER: Final = re.compile(
    r"\b(?:better|fine|good|ok|okay|great|well|gone|all clear|perfect|(?:no|nothing|doesn'?t|not) (?:pain|hurts?|sore)|"
    r"besser|bessa|guad|guat|gut|super|weg|nichts mehr|nicht mehr|bien|mejor|no (?:me )?duele|mieux|passe|"
    r"no longer (?:hurts?|sore|aches?|bothers?)|(?:hurts?|bothers?|aches?|sore) (?:me )?any ?more|"
    r"ya no (?:me )?(?:duele|molesta)|ja nao (?:me )?(?:doi|incomoda|chateia)|(?:gene|tire|fait) plus|"
    r"plus mal|plus rien|bem|melhor|nao doi|passou)\b"
)


def feeling_told(text: str) -> Feeling | None:
    """The answer to "how are you": None for a line that says none of the three, or more than that."""
    line = squeezed(text)
    if len(line.split()) > LONGEST or "?" in line:
        return None
    for how, said in ((Feeling.WORSE, _WORSE), (Feeling.SAME, _SAME), (Feeling.BETTER, _BETTER)):
        if said.search(line):
            return how
    return feeling_in(text)
