"""The closed safety question, in the language of the line: asked, answered, taken back. Sources: docs/safety.md."""

from __future__ import annotations

from nudgebot.domain.messages.health.safety_words import CLINICIAN, SIGNS_LINE, in_language
from nudgebot.domain.profile import emergency

__all__ = ["NO", "WITHDRAW", "YES", "answer_no", "answer_words", "answer_yes", "ask", "confirm_withdrawn", "signs_line"]

FELT = {
    "en": "Is that something you feel?",
    "es": "¿Es algo que sientes?",
    "de": "Ist das etwas, das du spürst?",
    "fr": "Est-ce quelque chose que tu ressens ?",
    "pt": "É algo que sentes?",
}
# The buttons; typing the words does the same.
NO = {
    "en": "Nothing like that",
    "es": "Nada de eso",
    "de": "Nichts davon",
    "fr": "Rien de tel",
    "pt": "Nada disso",
}
YES = {
    "en": "Yes, something like that",
    "es": "Sí, algo así",
    "de": "Ja, so etwas",
    "fr": "Oui, quelque chose comme ça",
    "pt": "Sim, algo assim",
}
WITHDRAW = {
    "en": "I pressed the wrong one",
    "es": "Pulsé el que no era",
    "de": "Ich habe mich vertippt",
    "fr": "J’ai appuyé sur le mauvais",
    "pt": "Carreguei no errado",
}
WHICH_WORDS = {
    "en": "In a few words: what is it?",
    "es": "En pocas palabras: ¿qué es?",
    "de": "In wenigen Worten: Was ist es?",
    "fr": "En quelques mots : qu’est-ce que c’est ?",
    "pt": "Em poucas palavras: o que é?",
}
HEARD_NO = {
    "en": "Good. If that changes, write it.",
    "es": "Bien. Si cambia, escríbelo.",
    "de": "Gut. Wenn sich das ändert, schreib es.",
    "fr": "Bien. Si cela change, écris-le.",
    "pt": "Bom. Se mudar, escreve.",
}
HEARD_WORDS = {
    "en": "Thank you. Running waits until a clinician has seen it.",
    "es": "Gracias. Correr espera hasta que lo vea un profesional sanitario.",
    "de": "Danke. Das Laufen wartet, bis eine Ärztin oder ein Arzt es gesehen hat.",
    "fr": "Merci. La course attend l’avis d’un professionnel de santé.",
    "pt": "Obrigado. A corrida espera até um profissional de saúde ver.",
}
WITHDRAWN = {
    "en": "Taken back. The plan goes on.",
    "es": "Retirado. El plan sigue.",
    "de": "Zurückgenommen. Der Plan geht weiter.",
    "fr": "C’est annulé. Le plan continue.",
    "pt": "Retirado. O plano continua.",
}


def signs_line(country: str, language: str) -> str:
    """The signs that mean call, with the number of `country`, in `language` (English if it is none of ours)."""
    return in_language(SIGNS_LINE, language).format(call=emergency.call(country, language))


def ask(country: str, language: str) -> str:
    """The question, with the signs and the number in it."""
    return f"{in_language(FELT, language)} {signs_line(country, language)}"


def answer_yes(country: str, language: str) -> str:
    """What a yes means for running, and what to tell next."""
    return f"{in_language(CLINICIAN, language)}\n{signs_line(country, language)}\n{in_language(WHICH_WORDS, language)}"


def answer_words(country: str, language: str) -> str:
    """The answer to the words after a yes, where they name no sign of the table."""
    return f"{in_language(HEARD_WORDS, language)}\n{signs_line(country, language)}"


def answer_no(language: str) -> str:
    """What a no gets."""
    return in_language(HEARD_NO, language)


def confirm_withdrawn(language: str) -> str:
    """What a yes that was a mistake gets."""
    return in_language(WITHDRAWN, language)
