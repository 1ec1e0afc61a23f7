"""Talk around a complaint, a low mood and a condition that was told: choices, questions back, what follows."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from nudgebot.domain.messages.common import in_language, on_day, table_line
from nudgebot.domain.messages.plan.lines import gentle_lines, next_line, sessions_left
from nudgebot.domain.model.actions import Agreed, ChosenOption, Option
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.runner import Book, Ill, OnHold
from nudgebot.domain.model.week import SESSION_MIN
from nudgebot.domain.profile import conditions, places

YES_NO = (("Yes", Agreed(True)), ("No", Agreed(False)))
CHOICES = (
    ("As planned", ChosenOption(Option.AS_PLANNED)),
    ("Shortest", ChosenOption(Option.SHORTEST)),
    ("Walk", ChosenOption(Option.WALK)),
    ("Rest", ChosenOption(Option.REST)),
)
SHORTEST = SESSION_MIN
YOUR_CHOICE = "Today as planned, the shortest run (20 min), a walk, or rest? Each of them is fine."
TODAY_OFF = "Today is off."
GLAD = "Good to hear."
AS_PLANNED = "As planned, then. Stop if it gets worse."
SHORT_TODAY = "20 easy minutes today, and stop if it gets worse."
WALK_TODAY = "A walk today, as easy as you like; the run of today is off."
REST_TODAY = "Rest today."
SAME = "Then today stays without a run; nothing is made up."
WORSE_ONCE = (
    "Then no run today. If it is worse again the next time, have a clinician or a physiotherapist look at it before "
    "the next run; at once if you cannot bear weight on it."
)
WORSE_TWICE = (
    "Worse two mornings: no running until a clinician or a physiotherapist has looked at it. "
    "When that has happened, write /back."
)
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
CONDITION_KNOWN = "I have that, thank you; nothing changes."
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


def same_spot(spot: str) -> str:
    """The same spot named three times in two weeks."""
    return (
        f"That is the third time in two weeks that your {spot} comes up. No running until a clinician or a "
        "physiotherapist has looked at it; walking is fine if it does not hurt. When that has happened, write /back."
    )


def heart_after_illness(country: str) -> str:
    """A yes to the first question back after an illness."""
    return (
        "Do not run. Please get medical advice today, and say that it comes after an illness. "
        f"If it is there now, or gets worse: {places.emergency_call(country)}."
    )


def why_paused(standing: OnHold | Ill, now: datetime) -> str:
    """Why nothing is planned; `now` is on the runner's clock. The sign itself is not repeated."""
    if isinstance(standing, Ill):
        return (
            f"Nothing is planned since {on_day(standing.since, now.date())}: running waits until three days after a "
            "fever has gone, without fever medicine (coaching practice says 24 to 72 h; the later end is our own "
            'cautious choice), and until you are well. Write "better" when you are.'
        )
    since = standing.since.astimezone(now.tzinfo).date()
    return (
        f"Nothing is planned since {on_day(since, now.date())}: what you wrote that day is a sign that a clinician "
        "should look at before the next run (published lists of warning signs; that nothing but a clinician's "
        "word ends it is our own cautious choice). Write /back once running is cleared; /safety shows the signs."
    )


def running_again(book: Book, today: date, first: str) -> str:
    """The plan after a hold."""
    lines = [first]
    if book.walk_run is not None:
        walks = book.walk_run.step == 0
        lines.append(
            "It starts with walks; short runs join in, step by step."
            if walks
            else "It starts with walking and running in turn."
        )
    else:
        lines += gentle_lines(book, today)
    coming = sessions_left(book, today)
    lines += [table_line(s) for s in coming] if coming else [next_line(book, today)]
    return "\n".join(lines)


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


def answer_low_mood(language: str, country: str, *, thoughts: bool, optional: bool, minutes: int | None) -> str:
    """The answer to low mood, or to thoughts of self-harm without intent; `optional` where there are sessions."""
    line = places.crisis_line(country)
    call = places.emergency_call(country, language)
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
    line, call = places.crisis_line(country), places.emergency_call(country)
    return {"better": BETTER, "same": STILL.format(line)}.get(how, WORSE.format(line, call=call))


def ask_to_confirm_condition(told: str) -> str:
    """A condition shown back before it holds."""
    return f"Did I read that right: {conditions.by_id()[told].name}?"


def ask_if_condition_over(told: str) -> str:
    """A condition that is over, shown back before it is taken out."""
    return f"So it is no longer so that {conditions.by_id()[told].name}. Shall I take it out?"


def confirm_condition(told: str, country: str, *, walks: bool, paused: bool) -> str:
    """What follows from a condition; `walks` where running waits from now on, `paused` where it waits already."""
    lines = [STAYS_PAUSED] if paused and told not in LEVEL else [WALKS_FIRST] if walks else []
    lines += [LEVEL[told]] if told in LEVEL else []
    lines += [CARE[told].format(call=places.emergency_call(country))] if told in CARE else []
    return "\n".join(lines or [CONDITION_KNOWN])


def answer_doctor_knows(answer: str) -> str:
    """What follows from the answer whether the doctor knows."""
    return {"yes": DOCTOR_KNOWS, "no": DOCTOR_UNAWARE}.get(answer, DOCTOR_SKIPPED)


def cautions_of(told: Intake, country: str) -> tuple[str, ...]:
    """The cautions that go with this runner, for the pages that show cautions."""
    call = places.emergency_call(country)
    return tuple(CARE[row.id].format(call=call) for row in conditions.confirmed_rows(told) if row.id in CARE)
