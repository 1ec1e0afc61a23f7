"""What is said about a warning sign, and the closed question about one. Short and calm; the first line says what to do
now. It names no disease as what the runner has, and defers to local emergency services and licensed clinicians.
"""

from __future__ import annotations

from nudgebot.domain.messages.common import in_all, in_language
from nudgebot.domain.profile import places
from nudgebot.domain.text.triage import Level, Verdict

CAUTION = (
    "The usual cautions: I am no medical advice; local emergency services and licensed clinicians come first. Heat, "
    "illness and new symptoms stop the run."
)
PLAIN_QUESTION = (
    "Before anything else: is there pain or pressure in the chest, faintness, or breathlessness that does not "
    "settle? "
    "If so, stop and {call}."
)
LIMITS = (
    "I read your lines for warning signs, by rules and not by a person; no clinician has reviewed those rules "
    "yet, and I can miss things. In a group I see no more than the platform shows me. Never wait for me in an "
    "emergency."
)

# Signs whose row has no line of its own, by what helps while waiting.
AID_OF = {
    "chest discomfort": "chest",
    "heart attack named": "chest",
    "heart pain elsewhere": "chest",
    "sweat, sick and unwell like a heart": "chest",
    "racing heart with faintness, chest or breath": "chest",
    "yes to the plain question": "chest",
    "breathless at rest or not settling": "breath",
    "breathless suddenly": "breath",
    "asthma not easing": "breath",
    "stroke sign": "stroke",
}
PAIN_RULE = (
    "No run until the pain is 2 of 10 or less on waking; nothing is made up. Over 5 of 10, or on bone: a clinician."
)
REST_FEVER = (
    "No running with a fever, and not before three days after it has gone without fever medicine. Chest pain, "
    "palpitations or unusual breathlessness with it: medical advice the same day."
)
REST_ILL = (
    "Rest, or an easy walk if you feel like it. Below the neck (chest, stomach, aches) no running until it has gone."
)
REST_SORE = (
    "Ordinary soreness eases within three days; easy or rest are both fine. Pain on one spot, or pain that grows on "
    "the run, is a reason to stop."
)
REST_MILD = "Take it as easy as you like today; stop if it grows, and write again if it stays."
AFTER_A_RUN = "Rest well; write again if it stays or grows."
RAISED_PRESSURE = "raised blood-pressure reading"
REST_PRESSURE = (
    "That is above normal. Sit quietly for five minutes and measure again; if it stays so, tell your doctor, and that "
    "you run. From 160 over 100 no running until a clinician has seen it. With chest pain, breathlessness, a bad "
    "headache or trouble seeing: {call}."
)
QUESTIONS = {
    "calf": (
        "One question: is that calf swollen, warm, red or throbbing, or sore at rest without a cause? "
        "If yes: medical advice today."
    ),
    "pulse": (
        "is more than a heart of your age usually reaches; often it is the sensor. One question: did your heart race, "
        "flutter or skip, or were you faint, or short of breath? If it does so now: stop, and "
        "{call}."
    ),
    "chest": (
        "One question: is there pain, pressure or tightness in the chest, or did it come on with effort? "
        "If yes: stop, and {call}."
    ),
}
FOLLOW_UP = "Has a clinician looked at it yet? Running waits until then; /back when it is cleared."

SAFETY_SIGNS = """Stop, and {call}, for:
- pain, pressure or tightness in chest, jaw, neck, arm, upper belly or between the shoulder blades
- breathlessness at rest or that does not settle; coughing blood
- passing out during effort; a racing heart with faintness
- a drooping face, a weak arm, slurred speech, loss of sight, confusion, even if it passes; the worst headache
- in heat: confusion, staggering, very hot; after much water: confusion or vomiting
- swelling of throat, tongue or lips; a seizure; a head knock with drowsiness or vomiting; thoughts of ending your life
Stop running, and get medical advice the same day, for:
- one calf swollen, warm or throbbing; a hot or locked joint; no weight on a leg; dark or bloody urine
- fainting after a run; a pulse that stays irregular; chest tightness in the last two weeks; any concussion
Pain: up to 2 of 10 is fine; 3 to 5, rest until 2 or less on waking; over 5, or on bone, a clinician first."""


def answer(verdict: Verdict, country: str, *, logged_minutes: int | None = None) -> str:
    """The safety answer to a verdict, in the language of the message; the first line is what to do now."""
    language = verdict.language
    call = places.emergency_call(country, language)
    lines: list[str] = []
    match verdict.level:
        case Level.EMERGENCY:
            crisis = verdict.first_aid == "crisis"
            first = "other_first" if verdict.about_other else "crisis_first" if crisis else "stop_and_call"
            lines.append(in_language(first, language).format(call=call))
            if verdict.about_other or not crisis:
                lines.append(in_language("other_stay" if verdict.about_other else "stay", language))
            if aid := _aid(verdict):
                lines.append(in_language(f"aid_{aid}", language).format(places.crisis_line(country)))
            if not verdict.about_other:
                lines.append(in_language("stopped", language))
        case Level.URGENT if verdict.first_aid == "crisis":
            lines.append(in_language("crisis_today", language).format(places.crisis_line(country)))
            lines.append(in_language("crisis_worsens", language).format(call=call))
            lines.append(in_language("stopped", language))
        case Level.URGENT:
            if verdict.first_aid == "sugar":
                lines.append(in_language("sugar_first", language).format(call=call))
            lines.append(in_language("urgent", language))
            if verdict.words:
                lines.append(in_language("because", language).format(words=verdict.words))
            lines.append(in_language("worsens", language).format(call=call))
            lines.append(in_language("stopped", language))
        case Level.CLINICIAN:
            if verdict.first_aid == "sugar":
                lines.append(in_language("sugar_first", language).format(call=call))
            lines.append(in_language("clinician_msk" if verdict.msk else "clinician", language))
            lines.append(in_language("worsens", language).format(call=call))
            lines.append(in_language("when_cleared", language))
        case Level.REST:
            return _rest(verdict, places.emergency_call(country))
        case Level.NONE:
            return QUESTIONS.get(verdict.question, PLAIN_QUESTION).format(call=places.emergency_call(country))
    if logged_minutes:
        lines.append(in_language("noted", language).format(minutes=logged_minutes))
    return "\n".join(lines)


def _aid(verdict: Verdict) -> str:
    """The one line for the sign and the person: resuscitation is told to whoever stands by, never to the one "
    "who fell."""
    if verdict.first_aid == "cpr" and not verdict.about_other:
        return "lie_down"
    if verdict.first_aid == "crisis" and verdict.about_other:
        return "crisis_other"
    own = "" if verdict.about_other else AID_OF.get(verdict.sign, "")
    return verdict.first_aid or own


def _rest(verdict: Verdict, call: str) -> str:
    if verdict.question in QUESTIONS:
        return f"{REST_SORE if verdict.msk else REST_MILD} {QUESTIONS[verdict.question].format(call=call)}"
    if verdict.sign == RAISED_PRESSURE:
        return REST_PRESSURE.format(call=call)
    if verdict.fever:
        return REST_FEVER
    if verdict.pain_score is not None and verdict.pain_score >= 3:
        return PAIN_RULE
    if verdict.illness:
        return REST_ILL
    return REST_SORE if verdict.msk else REST_MILD


def safety_page(country: str) -> str:
    """The signs that mean stop, the emergency number, and the limits of the bot."""
    return f"{SAFETY_SIGNS.format(call=places.emergency_call(country))}\n{LIMITS}"


def if_yes(question: str) -> Verdict:
    """What a yes to one of the plain questions amounts to."""
    if question == "calf":
        return Verdict(Level.URGENT, "calf: yes to the question")
    if question == "pulse":
        return Verdict(Level.URGENT, "pulse: yes to the question")
    return Verdict(Level.EMERGENCY, "yes to the plain question")


# The buttons; typing the words does the same.
NO, YES, WITHDRAW = in_all("felt_no"), in_all("felt_yes"), in_all("felt_withdraw")


def signs_line(country: str, language: str) -> str:
    """The signs that mean call, with the number of `country`, in `language` (English if it is none of ours)."""
    return in_language("signs_line", language).format(call=places.emergency_call(country, language))


def ask(country: str, language: str) -> str:
    """The question, with the signs and the number in it."""
    return f"{in_language('felt', language)} {signs_line(country, language)}"


def answer_yes(country: str, language: str) -> str:
    """What a yes means for running, and what to tell next."""
    return (
        f"{in_language('clinician', language)}\n{signs_line(country, language)}\n{in_language('which_words', language)}"
    )


def answer_words(country: str, language: str) -> str:
    """The answer to the words after a yes, where they name no sign of the table."""
    return f"{in_language('heard_words', language)}\n{signs_line(country, language)}"


def answer_no(language: str) -> str:
    """What a no gets."""
    return in_language("heard_no", language)


def confirm_withdrawn(language: str) -> str:
    """What a yes that was a mistake gets."""
    return in_language("withdrawn", language)
