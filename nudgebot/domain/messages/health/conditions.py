"""Talk about conditions that a runner told: shown back, what follows, the cautions that are carried along."""

from __future__ import annotations

from collections.abc import Mapping

from nudgebot.domain.model.actions import Agreed
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.profile import conditions, emergency

UNDER_AGE_ASK = (
    "One question before anything else, since I am made for adults: are you under 18? Nothing is planned until I know."
)
UNDER_AGE_BUTTONS = (("Yes, under 18", Agreed(True)), ("No, 18 or over", Agreed(False)))
GOODBYE = (
    "Thank you for telling me. I am for adults, so I stop here and keep nothing. A youth coach or a sports club near "
    "you is a good place to run."
)
SOMEBODY_ELSES = "Understood, that is about somebody else; nothing changes in your plan."
OF_AGE = "Thank you. Then we go on."
WALKS_FIRST = (
    "Thank you for telling me. With that, a clinician should clear running first: walks are the sessions until you "
    "write /back."
)
STAYS_PAUSED = (
    "Thank you for telling me. Please mention it, too, to the clinician who looks at what paused the running."
)
NOT_TOLD = "Good, then nothing changes."
TAKEN_BACK = "Taken out. Running that waits for a clinician's word still waits for it."
KNOWN = "I have that, thank you; nothing changes."
DOCTOR_KNOWS = (
    "Good. Treated and known, it is no bar. Take your tablets as they are prescribed, and skip the run on a day with "
    "headache, dizziness or a high reading."
)
DOCTOR_UNAWARE = (
    "Then please ask first, a call is enough: walks are the sessions until then. When it is cleared, write /back."
)
DOCTOR_SKIPPED = "Then please mention it at the next visit, and skip the run on a day with headache or dizziness."
CARE: Mapping[str, str] = {
    "diabetes": "Check your sugar before and after a run, and carry fast sugar; follow the plan you have for it.",
    "epilepsy": "Run with somebody or where people are, away from water and traffic, and tell them what to do.",
    "thinners": "Any knock to the head is an emergency for you, even if you feel fine: {call}.",
    "asthma": "Take the reliever along, and stop if it does not settle.",
    "blood_pressure": "Skip the run on a day with headache, dizziness or a high reading.",
}
LEVEL: Mapping[str, str] = {
    "eating": (
        "Thank you for trusting me with that. You do not have to earn anything here. Please talk to your doctor, or "
        "somebody who knows about eating and sport. The weeks stay as they are; leave out any session you like."
    ),
    "period": (
        "Thank you for telling me. That is worth a visit to your doctor soon: it can be a sign that the body needs "
        "more rest and care, and they can help. The weeks stay as they are until then."
    ),
}


def ask(told: str) -> str:
    """A condition shown back before it holds."""
    return f"Did I read that right: {conditions.by_id()[told].name}?"


def ask_if_over(told: str) -> str:
    """A condition that is over, shown back before it is taken out."""
    return f"So it is no longer so that {conditions.by_id()[told].name}. Shall I take it out?"


def confirm(told: str, country: str, *, walks: bool, paused: bool) -> str:
    """What follows from a condition; `walks` where running waits from now on, `paused` where it waits already."""
    lines = [STAYS_PAUSED] if paused and told not in LEVEL else [WALKS_FIRST] if walks else []
    lines += [LEVEL[told]] if told in LEVEL else []
    lines += [CARE[told].format(call=emergency.call(country))] if told in CARE else []
    return "\n".join(lines or [KNOWN])


def answer_doctor_knows(answer: str) -> str:
    """What follows from the answer whether the doctor knows."""
    return {"yes": DOCTOR_KNOWS, "no": DOCTOR_UNAWARE}.get(answer, DOCTOR_SKIPPED)


def cautions_of(told: Intake, country: str) -> tuple[str, ...]:
    """The cautions that go with this runner, for the pages that show cautions."""
    call = emergency.call(country)
    return tuple(CARE[row.id].format(call=call) for row in conditions.confirmed_rows(told) if row.id in CARE)
