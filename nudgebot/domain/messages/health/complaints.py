"""Talk around a complaint and a low mood: the choice of the day, the questions back, what comes after a hold."""

from __future__ import annotations

from datetime import date, datetime

from nudgebot.domain.messages.common import in_language, on_day, table_line
from nudgebot.domain.messages.plan.lines import gentle_lines, next_line, sessions_left
from nudgebot.domain.model.actions import Agreed, ChosenOption, Option
from nudgebot.domain.model.runner import Book, Ill, OnHold
from nudgebot.domain.model.week import SESSION_MIN
from nudgebot.domain.profile import emergency

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
        f"If it is there now, or gets worse: {emergency.call(country)}."
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
