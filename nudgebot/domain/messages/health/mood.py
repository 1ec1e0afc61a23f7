"""What is said to somebody whose mood is low: warm, a doctor or the crisis line, and every session optional."""

from __future__ import annotations

from nudgebot.domain.messages.by_language import in_language
from nudgebot.domain.profile import emergency

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
        in_language("mood_thoughts" if thoughts else "mood_low", language).format(line),
        in_language("crisis_worsens" if thoughts else "mood_turns", language).format(call=call),
    ]
    if optional:
        lines.append(in_language("mood_yours", language))
    if minutes:
        lines.append(in_language("noted", language).format(minutes=minutes))
    return "\n".join(lines)


def answer_feeling(how: str, country: str) -> str:
    """The answer to how it is, a day or three later."""
    line, call = emergency.crisis_line(country), emergency.call(country)
    return {"better": BETTER, "same": STILL.format(line)}.get(how, WORSE.format(line, call=call))
