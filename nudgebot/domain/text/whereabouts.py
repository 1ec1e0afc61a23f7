"""A line that says where somebody is, and nothing else: "in Oslo again", "wieder in Bern", "de vuelta en Cádiz"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from nudgebot.domain.text.folding import squeezed

_BACK: Final = r"back|home|returned|zuruck|daheim|de vuelta|de volta|de retour|rentree?|regresse?i?|volte?i"
_BEING: Final = (
    r"i'?m|i am|we'?re|we are|just|now|currently|safely|arrived|landed|i live|"
    r"ich bin|bin|wir sind|sind|jetzt|gerade|gelandet|angekommen|ich wohne|"
    r"estoy|estamos|ya|ahora|llegue|vivo|je suis|on est|nous sommes|maintenant|j'habite|"
    r"estou|to|ja|agora|cheguei|moro"
)
_AGAIN: Final = (
    r"again|once more|wieder|erneut|otra vez|de nuevo|nuevamente|encore|de nouveau|a nouveau|outra vez|de novo"
)
_UNTIL: Final = (
    r"till?|until|for|this|next|from|on|all|tomorrow|today|now|bis|fur|heute|jetzt|seit|hasta|hoy|ahora|por|"
    r"jusqu\w*|pour|aujourd\w*|maintenant|ate|hoje|agora"
)
_LINE: Final = re.compile(
    rf"(?P<said>(?:(?:{_BEING}|{_AGAIN}|{_BACK})[ ,]+)*)(?:in|at|en|em|a|au|nach|(?:i |i'?ve )?moved to)\s+"
    r"(?P<place>[^\W\d_][\w'.-]*(?: [^\W\d_][\w'.-]*){0,2}?(?:, ?[^\W\d_][\w ]*?)?)"
    rf"(?P<more>(?:[ ,]+(?:{_AGAIN}|{_BACK}))*)(?P<until>[ ,]+(?:{_UNTIL})\b.*)?"
)


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """The words for the place, folded, whether the line says that one is `back` there, and whether it says how long."""

    place: str
    back: bool
    for_a_time: bool


def whereabouts_in(text: str) -> Whereabouts | None:
    """Where a line says that its writer is; None where it says more, or nothing of the kind.

    Whether there is such a place is for who knows the names of places.
    """
    found = _LINE.fullmatch(squeezed(text).strip(" .!"))
    if found is None:
        return None
    back = re.search(rf"\b(?:{_BACK})\b", f"{found['said']} {found['more']}") is not None
    return Whereabouts(found["place"], back, found["until"] is not None)
