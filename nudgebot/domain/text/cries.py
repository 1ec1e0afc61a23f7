"""A cry for help, or fear without a reason told: nobody says what it is, so it is asked. Five languages.

Fear *of* something ("I am scared people will laugh") has told its reason and is talk; help *with* something is a wish.
"""

from __future__ import annotations

import re
from typing import Final

from nudgebot.domain.text.folding import fold

_CRIES: Final = (
    # English
    r"help me|(?:please|pls|plz) help|help,? please|need help (?:now|quick)",
    r"i(?: a|')?m (?:so |really |very )?(?:scared|frightened|terrified)",
    r"(?:dont|don't|do not) know what(?:'s| is|s) (?:happening|wrong|going on)(?: (?:to|with) me)?",
    # German
    r"hilfe|hilf mir|helft mir|(?:ich )?hab(?:e)? (?:so |solche |richtig )?angst",
    r"weiss (?:auch )?nicht,? was (?:mit mir|das|hier|da) (?:gerade |jetzt )?(?:los(?: ist)?|passiert|ist)",
    # Spanish
    r"ayuda,? por favor|ayud(?:a|e)(?:n)?me|socorro|(?:tengo|me da) (?:mucho )?miedo",
    r"no se (?:que me (?:pasa|ocurre)|lo que me pasa)",
    # French
    r"au secours|aide[zs]?[- ]moi|j'ai (?:tres |si )?peur",
    r"(?:je )?(?:ne )?sais pas ce qui m'arrive",
    # Portuguese
    r"socorro|(?:me )?ajud[ae](?:[- ]me)?,? por favor|ajud[ae][- ]me|(?:tenho|estou com|to com) (?:muito )?medo",
    r"nao (?:sei|percebo) o que (?:se passa|(?:esta )?acontec(?:e|endo))(?: comigo)?",
)
# The clause ends there: no "of", "that", "with" follows.
_CRY: Final = re.compile(rf"(?<!\w)(?:{'|'.join(_CRIES)})\s*(?:[.,!?\u2026;)]|$)")


def is_cry_for_help(text: str) -> bool:
    """Whether somebody calls for help or is afraid and does not say of what."""
    return _CRY.search(fold(text)[0]) is not None
