"""Talk around an illness: that the plan waits, the question back, the day from which the wait is counted."""

from __future__ import annotations

from datetime import date

from nudgebot.domain.messages.common import on_day
from nudgebot.domain.messages.health.complaints import running_again
from nudgebot.domain.messages.plan.lines import gentle_lines, next_line, replan_lines
from nudgebot.domain.model.runner import Book
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.planning.ways_back import Wait
from nudgebot.domain.profile import places

NOT_ILL = "I am not ill"  # the button, and what may be typed for it
PLAN_WAITS = "The plan waits, and I leave you in peace but for a short question in the morning. "
WHEN_BETTER = 'Write "better" when you are; the way back is gentle.'
STILL_ILL = 'Sorry to hear that. The plan goes on waiting; write "better" when you are.'
_SOONER = (
    "Chest pain, palpitations, faintness or unusual breathlessness with it: medical advice the same day, and if it is "
    "bad: {call}."
)
TOLD = {
    Wait.FEVER: "No running with a fever, and not before three days after it has gone without fever medicine.",
    Wait.UPSET: "No running with that, and not before two days after it has stopped. Small sips often.",
    Wait.COVID: "No running with covid, and not before seven days without any symptom.",
    Wait.ILL: "Rest. No running until it has gone, and three days more.",
}
LAST_DAY = {
    Wait.FEVER: "the last day with a fever, without fever medicine",
    Wait.UPSET: "the last day with vomiting or diarrhoea",
    Wait.COVID: "the last day with any symptom",
    Wait.ILL: "the last day of being ill",
}
AFTER = {
    Wait.FEVER: "three days after the fever",
    Wait.UPSET: "two days after the stomach has settled",
    Wait.COVID: "seven days without any symptom",
    Wait.ILL: "three days after you were last ill",
}
RUNNING_AGAIN = "You are running again, so I take it that you feel better."
WAITS_FOR_ANSWER = "The plan goes on as soon as you have answered."
WELL_ALREADY = "Good that it is over."
QUESTION = (
    "any chest pain, palpitations, faintness or unusual breathlessness, now or in the last days? "
    "Being tired is not meant."
)
RAN = (
    "Please no more runs until you are well: running with an illness can do harm. An easy walk is fine if you feel "
    "like it. The plan goes on waiting."
)
WALKED = "An easy walk is fine. The plan goes on waiting until you are well."
MEDICINE = (
    "Fever medicine hides a fever, so I count today as a day with one. Write again when you have been without both."
)
TEMPERATURE = "I take {} for a temperature. "
IF_A_RUN = "If it was a run, write: {} min run. "
RUN_TOO = "If there was a run as well, write its minutes alone, and I count it."
NO_FEVER = "That is no fever, good."
NOTHING_TO_MOVE = (
    'Nothing is planned while you are ill, so there is nothing to move or miss. Write "better" when you are.'
)
WORSE_AFTER_EFFORT = (
    "If you get worse after doing something, pushing on does not help. No running and no building up until a "
    "clinician has looked at it; rest in between what you have to do. When that has happened, write /back."
)
BENEATH = "Noted that you are ill as well; once the hold has ended I ask about that too."
BENEATH_OVER = "Good that the illness is over. The hold comes first; once it has ended I ask about that too."
HOLD_ENDED = "Noted, and the hold is over. You were ill too, and that has its own wait."
TAKEN_BACK = "Then I read it wrongly, and the plan goes on."
TOO_LATE_TO_TAKE_BACK = "Glad to hear it."
FIRST_WHEN_WELL = (
    "That is all I need. You told me that you are ill, so the first week waits until you are well: write "
    '"better" then, and it begins gently.'
)


def answer_illness(wait: Wait, country: str, *, more: bool) -> str:
    """What an illness means for the running; `more` where it was told before."""
    if more:
        return f"{TOLD[wait]} {STILL_ILL}"
    return f"{TOLD[wait]} {sooner(country)}\n{PLAN_WAITS}{WHEN_BETTER}"


def sooner(country: str) -> str:
    """The signs with an illness that need somebody sooner, and the number of the runner's country."""
    return _SOONER.format(call=places.emergency_call(country))


def say_while_joining(country: str) -> str:
    """An illness told during the intake."""
    return f"Noted that you are, or were, ill: running waits for that. {sooner(country)} Now on with the questions."


def ask_about_heart(first: str) -> str:
    """The first question after an illness."""
    return f"{first} One question first: {QUESTION}"


def say_last_noted(last: date, today: date) -> str:
    """The last day of it as it was told."""
    return f"Noted: {on_day(last, today)} was the last of it."


def say_counted_from(wait: Wait, last: date, today: date) -> str:
    """The day from which the wait is counted, and the way to another one."""
    counted = f"I count {on_day(last, today)} as {LAST_DAY[wait]}."
    if wait is Wait.COVID and last == today:
        return f"{counted} If it was an earlier one, tell me the day."
    return counted if last == today else f"{counted} If it was a later one, tell me the day."


def say_way_back(
    book: Book, today: date, wait: Wait, first: date, walks: date | None, replanned: Replanned | None
) -> str:
    """The way back after an illness: no run before `first`, walks until `walks`."""
    said = "Good. The minutes of those days are let go."
    if first > today:
        said += f" Running waits until {AFTER[wait]}: {on_day(first, today)}."
    if walks is not None:
        said += (
            f" After covid below the neck two weeks of easy walking come first, until {on_day(walks, today)}; then "
            "short runs join in."
        )
        return f"{said}\n{next_line(book, today)}"
    if replanned is None:
        return running_again(book, today, said)
    return "\n".join([said, *gentle_lines(book, today), *replan_lines(replanned, today)[:1], next_line(book, today)])


def ask_if_ill(said: str) -> str:
    """The sentence shown again before an illness is taken back."""
    return f'You wrote: "{said}". Was that not about an illness of yours?'
