"""What is said to somebody whose mood is low: warm, a doctor or the crisis line, and every session optional."""

from __future__ import annotations

from nudgebot.domain.messages.health.safety_words import CRISIS_WORSENS, NOTED, in_language
from nudgebot.domain.profile import emergency

LOW = {
    "en": "I am sorry that it has been so heavy. Please talk to your doctor about it soon, or to your local crisis "
    "line{}, at any hour.",
    "es": "Siento que esté siendo tan duro. Habla pronto con tu médico, o con tu línea de crisis{}, a cualquier hora.",
    "de": "Es tut mir leid, dass es so schwer ist. Sprich bald mit deiner Ärztin oder deinem Arzt, oder jederzeit mit "
    "dem Krisentelefon{}.",
    "fr": "Je suis désolé que ce soit si lourd. Parles-en bientôt à ton médecin, ou à ta ligne d’écoute{}, à toute "
    "heure.",
    "pt": "Lamento que esteja a ser tão pesado. Fala em breve com o teu médico, ou com a linha de apoio{}, a qualquer "
    "hora.",
}
THOUGHTS = {
    "en": "I am glad that you wrote it. Please talk to your local crisis line{} or a doctor today, and stay near "
    "somebody you trust.",
    "es": "Gracias por escribirlo. Habla hoy con tu línea de crisis{} o con un médico, y quédate cerca de alguien de "
    "confianza.",
    "de": "Gut, dass du es geschrieben hast. Sprich heute mit dem Krisentelefon{} oder ärztlicher Hilfe, und bleib bei "
    "jemandem, dem du vertraust.",
    "fr": "Merci de l’avoir écrit. Parle aujourd’hui à ta ligne d’écoute{} ou à un médecin, et reste près de quelqu’un "
    "de confiance.",
    "pt": "Ainda bem que escreveste. Fala hoje com a linha de apoio{} ou um médico, e fica perto de alguém de "
    "confiança.",
}
TURNS = {
    "en": "If it turns into thoughts of harming yourself: {call}.",
    "es": "Si aparecen ideas de hacerte daño: {call}.",
    "de": "Kommen Gedanken dazu, dir etwas anzutun: {call}.",
    "fr": "Si des idées de te faire du mal apparaissent : {call}.",
    "pt": "Se surgirem ideias de te magoares: {call}.",
}
YOURS = {
    "en": "The running is yours to keep or leave: every session is optional now, and nothing grows.",
    "es": "Correr o no lo decides tú: ahora cada sesión es opcional, y nada crece.",
    "de": "Laufen darfst du oder auch nicht: jede Einheit ist jetzt freiwillig, und nichts wird mehr.",
    "fr": "Courir ou non, c’est toi qui choisis : chaque séance est facultative, et rien n’augmente.",
    "pt": "Correr ou não és tu que escolhes: cada sessão é agora opcional, e nada aumenta.",
}
HOW_ARE_YOU = "You told me that it has been heavy. How are you today: better, the same, or worse?"
BETTER = "I am glad to hear it. Go gently."
STILL = (
    "Thank you for telling me. Please do talk to your doctor or your local crisis line{}; you need not sort it out "
    "alone."
)
WORSE = (
    "Thank you for telling me. Please talk to your local crisis line{} or a doctor today, and stay near somebody you "
    "trust. If you think you might harm yourself: {call}."
)
OPTIONAL = "If you feel like it"


def answer(language: str, country: str, *, thoughts: bool, optional: bool, minutes: int | None) -> str:
    """The answer to low mood, or to thoughts of self-harm without intent; `optional` where there are sessions."""
    line = emergency.crisis_line(country)
    call = emergency.call(country, language)
    lines = [
        in_language(THOUGHTS if thoughts else LOW, language).format(line),
        in_language(CRISIS_WORSENS if thoughts else TURNS, language).format(call=call),
    ]
    if optional:
        lines.append(in_language(YOURS, language))
    if minutes:
        lines.append(in_language(NOTED, language).format(minutes=minutes))
    return "\n".join(lines)


def answer_feeling(how: str, country: str) -> str:
    """The answer to how it is, a day or three later."""
    line, call = emergency.crisis_line(country), emergency.call(country)
    return {"better": BETTER, "same": STILL.format(line)}.get(how, WORSE.format(line, call=call))
