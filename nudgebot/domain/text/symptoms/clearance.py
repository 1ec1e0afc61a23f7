"""Two lines that bear on a hold: "a clinician cleared me to run", and "that was not about me". Five languages.

Neither ends a hold by itself: each only begins the steps that do.
"""

import re

from nudgebot.domain.text.folding import squeezed

_CLINICIAN = (
    r"(?:doctor|dr|doc|gp|physio\w*|physical therapist|clinician|cardiolog\w*|specialist|consultant|nurse|midwife"
    r"|surgeon|hospital|medic\w*|fisio\w*|matrona|arzt|arztin|hausarzt|hebamme|docteur|medecin|kine\w*|sage-femme"
    r"|parteira)"
)
_CLEARING = (
    r"(?:cleared|all[- ]clear|green light|signed (?:me |it )?off|gave (?:me )?the ok(?:ay)?|given (?:me )?the ok"
    r"|(?:can|may|allowed to|ok(?:ay)? to|fine to|fit to|good to|safe to) (?:run|start running|train|jog)|run again"
    r"|running is (?:fine|ok(?:ay)?|allowed|safe)|puedo (?:volver a )?correr|visto bueno|el alta|autoriz\w+|autoris\w+"
    r"|darf (?:ich )?(?:wieder )?laufen|grunes licht|freigegeben|freigabe|peux (?:re)?courir|feu vert"
    r"|donne (?:son|l')? ?accord"
    r"|posso (?:voltar a )?correr|luz verde|deixou[- ]me (?:voltar a )?correr|deu[- ]me alta|alta para correr)"
)
_SAYS_CLEARED = re.compile(
    rf"\b{_CLINICIAN}\b[^.?!]{{0,60}}?\b{_CLEARING}\b"
    rf"|\b{_CLEARING}\b[^.?!]{{0,40}}?\b(?:by|from|du|de mon|de ma|vom|von|do|da|del?) "
    rf"(?:my |the |a |meu |mi )?{_CLINICIAN}\b"
    r"|\bmedically cleared\b"
)
_NOT_YET = re.compile(
    r"\b(?:not|hasn'?t|didn'?t|isn'?t|won'?t|can'?t|cannot|don'?t|no|nicht|ne|pas|nao|until|when|if|whether|waiting|hope"
    r"|hoping|tomorrow|next (?:week|month)|in \w+ (?:weeks|months)|wenn|si|quando|cuando|quand|noch)\b"
)
_PERSON = (
    r"(?:father|dad|mother|mum|mom|wife|husband|son|daughter|brother|sister|friend|neighbou?r|colleague|mate|partner|boss"
    r"|dog|cat|watch|strap|phone|uncle|aunt|cousin|grandad|gran\w*)"
)
_PERSONA = (
    r"(?:padre|madre|mujer|marido|hijo|hija|hermano|hermana|amigo|amiga|perro|vater|mutter|frau|mann|sohn|tochter|bruder"
    r"|schwester|freund\w*|hund|pere|mere|femme|mari|fils|fille|frere|soeur|ami|amie|chien|pai|mae|mulher|filho|filha"
    r"|irmao|irma|cao)"
)
_MISREAD = re.compile(
    r"\bnot about me\b|\b(?:i was|was|just|only) (?:only |just )?(?:joking|kidding)\b|\bgot (?:that|it|me) wrong\b"
    r"|\byou(?: have|'ve)? (?:misread|misunderstood)\b|\bwrong chat\b|\bfigure of speech\b|\bit wasn'?t me\b"
    r"|\b(?:that|it) (?:was|is) (?:not me|a joke|a film|a movie|a book|a typo|a song|a quote|from a \w+)\b"
    r"|\bthat wasn'?t me\b|\bnot me,? (?:it was )?my\b|\btalking about (?:a |the )?(?:film|movie|book|song|series)\b"
    r"|\bquote from a\b"
    rf"|\b(?:that was|it was|i meant|i mean|about) my {_PERSON}\b"
    r"|\b(?:era|es|fue) (?:una |de )?broma\b|\b(?:estaba|hablaba) (?:bromeando|de broma)\b"
    r"|\bwar (?:nur |doch )?(?:ein )?(?:scherz|spass|witz)\b|\bc'etait (?:une blague|pour rire)\b|\bje plaisantais\b"
    r"|\b(?:era|estava) a brincar\b|\bera (?:uma )?brincadeira\b"
    r"|\b(?:hablaba|hablo|era|meinte|ging um|parlais|c'etait|falar|falava|era sobre)(?: \w+)? "
    rf"(?:mi|mein\w*|mon|ma|meu|minha) {_PERSONA}\b"
    rf"|\bdo meu {_PERSONA}\b|\bda minha {_PERSONA}\b"
)
_STILL_MEANT = re.compile(r"\b(?:not|aren'?t|no) (?:joking|kidding)\b|\bjoking aside\b")


def says_cleared(text: str) -> bool:
    """Whether a line says that a clinician cleared running; not where it asks, hopes or waits."""
    line = squeezed(text)
    return _SAYS_CLEARED.search(line) is not None and _NOT_YET.search(line) is None and "?" not in line


def misread(text: str) -> bool:
    """Whether a line says that what was taken for a complaint was about something or somebody else."""
    line = squeezed(text)
    return _MISREAD.search(line) is not None and _STILL_MEANT.search(line) is None
