"""Talk about a hold: how it stands, the steps that end it, and why somebody's word is not enough."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from nudgebot.domain.messages.common import capital, on_day, short_day
from nudgebot.domain.model.actions import Chosen, ChosenDays, ChosenOption, Option
from nudgebot.domain.model.runner import Standing, Walking
from nudgebot.domain.profile import places

CLEARED_ASK = "Has a clinician cleared you to run?"
CLEARED = "A clinician cleared me"  # the button, and what may be typed for it
VISIT_TO_COME = (
    "Good that somebody is looking at it. Running waits for what they say; when they have cleared it, tell me or write "
    "/back."
)
MOVING_EASILY = (
    "Walking, and easy cycling or swimming, are fine as long as nothing hurts while you do it or after. Running waits "
    "until a clinician or a physiotherapist has cleared it."
)
WHO_ASK = "Who was it, and when? For example: Dr Sousa, on Monday."
WHEN_ASK = "And which day was that? For example: Monday, or 2 March."
WHO_WORDS = {
    Option.DOCTOR: "a doctor",
    Option.HOSPITAL: "a hospital or clinic",
    Option.MIDWIFE: "a midwife",
    Option.PHYSIO: "a physiotherapist",
    Option.NONE_OF_THESE: "none of these",
}
WORD_ASK = "Thank you. To be sure that this is meant: write the one word  cleared"
STAYS_ON_HOLD = "Then running stays on hold. Write /back when a clinician has cleared it."
NOT_YET = "Then running waits until they say yes. Write /back when they have."
STILL_TO_COME = "That day is still to come, so running waits for it. Write /back once it has been."
MISREAD_DONE = "Then I misread it. Running is on again."
NOT_ON_HOLD = "Running is not on hold."
INTAKE_GOES_ON = "The questions go on where they stopped: write /start."
SAID_YES = (
    "You said yes when I asked, so I keep to that: running waits for a clinician. "
    "When one has cleared it, write /back."
)  # fmt: skip
STEPWISE = (
    "After a knock to the head the way back goes in steps, each a day or more: walking first, then short runs. "
    "If a headache, dizziness or fog comes back, stop and ask the clinician again."
)
TWO_WEEKS_STEADY = "For two weeks nothing grows."
ERASED_ON_HOLD = (
    "One thing stays true without me: the reason for the hold does not end with it. Please have it seen to."
)
RUNNING_WAITS = "running stays on hold"
WALKING_WAITS = "walks stay the sessions"
# Of a hold that rested on a number alone.
WERE_MINUTES = "Those were minutes"
A_SLIP = "The number was a slip"
LIFTED = "Then I misread the number, and nothing is on hold."
LIFTED_JOINING = f"{LIFTED} {INTAKE_GOES_ON}"


def ask_who_again(*, midwife: bool, physio: bool) -> tuple[str, tuple[tuple[str, Chosen], ...]]:
    """The question once more, with whose word counts as buttons."""
    left_out = {Option.MIDWIFE: not midwife, Option.PHYSIO: not physio}
    choices = ((capital(said), ChosenOption(who)) for who, said in WHO_WORDS.items() if not left_out.get(who))
    return "Was that one of these?", tuple(choices)


def when_buttons(today: date) -> tuple[tuple[str, Chosen], ...]:
    """The likely days of a visit."""
    return (("Today", ChosenDays((today,))), ("Yesterday", ChosenDays((today - timedelta(days=1),))))


def whose_word(*, midwife: bool, physio: bool) -> str:
    """Whose word counts, as words."""
    more = (["a midwife"] if midwife else []) + (["a physiotherapist"] if physio else [])
    words = ["a doctor", "a hospital", "a clinic", *more]
    return f"{', '.join(words[:-1])} or {words[-1]}"


def refuse(standing: Standing, *, midwife: bool, physio: bool) -> str:
    """Why the word of somebody who does not examine people is not enough."""
    waits = WALKING_WAITS if isinstance(standing, Walking) else RUNNING_WAITS
    return (
        f"Thank you for telling me. A sign like this needs somebody who can examine you: "
        f"{whose_word(midwife=midwife, physio=physio)}. Until then {waits}. When one of them has cleared it, "
        "write /back."
    )


def before_the_report(reported: date, today: date) -> str:
    """A clinician who was seen before the sign could not know of it."""
    return (
        f"That was before you wrote to me about it ({on_day(reported, today)}), so they could not know of it. "
        "Please ask again, and write /back when running is cleared."
    )


def too_long_ago(months: int) -> str:
    """A clearance at the screening that has run out."""
    return (
        f"That is more than {months} months ago, and things change. Please ask again; walks stay the sessions until "
        "then. When it is cleared, write /back."
    )


def too_early(from_when: datetime, today: date, country: str) -> str:
    """After an emergency no clearing on the same day, nor within a day; `from_when` is on the runner's clock."""
    return (
        "I am glad that you are up to thinking of it. After a sign like that I take no word on running for a day, "
        f"whoever gives it: {on_day(from_when.date(), today)} from {from_when:%H:%M} on, write /back. "
        f"If it is there, or comes back: {places.emergency_call(country)}."
    )


def hold_page(standing: Standing, country: str) -> str:
    """What a line gets while running is on hold."""
    if isinstance(standing, Walking):
        return "Walks are the sessions until running is cleared. When it is, write /back."
    return (
        f"If it is still there or gets worse: {places.emergency_call(country)}. "
        "Running is on hold until a clinician has "
        "cleared it. When that has happened, write /back. /safety shows the signs."
    )


def same_day(country: str) -> str:
    """What a line gets within a day of an emergency, above all one that makes light of it."""
    return (
        f"If no doctor has seen you yet: {places.emergency_call(country)}. "
        "What you told me of needs to be looked at today, "
        "even if it has passed. Running is on hold; when a clinician has cleared it, write /back."
    )


def answer_moving(country: str) -> str:
    """Whether other kinds of moving are fine, after a sign that is not of muscle, bone or joint."""
    return (
        "That is for the clinician to say, as running is: please ask about walking and cycling too, and rest until "
        f"then. If it is there again or gets worse: {places.emergency_call(country)}."
    )


def ask_if_misread(said: str, on: date) -> str:
    """The sentence shown again, with its day."""
    what = f'On {short_day(on)} you wrote: "{said}".' if said else f"On {short_day(on)} you wrote of a sign."
    return f"{what} Was that about something or somebody else, and not a complaint of yours?"


def ask_if_sure(said: str, on: date) -> str:
    """The sentence shown once more."""
    what = f'"{said}"' if said else "what you wrote"
    return f"To be sure: {what}, on {short_day(on)}, was no complaint of yours, then or now. Is that right?"


def misread_tomorrow(country: str) -> str:
    """After an emergency a line is taken back from the next day on."""
    return (
        "Good if so. A line like that I keep for the day, to be on the safe side; if it was about something else, "
        f"tell me again tomorrow. If any of it is real: {places.emergency_call(country)}."
    )


def misread_not_all(said_on: date) -> str:
    """One sign was misread, another one still stands."""
    return (
        f"Then I misread that one. What you wrote on {short_day(said_on)} still stands, so running stays on hold "
        "until a clinician has cleared it. When that has happened, write /back."
    )


def confirm_cleared(who: str) -> str:
    """Kept with the date: who cleared the runner."""
    return f"Noted: cleared, {who}. Running is on again."
