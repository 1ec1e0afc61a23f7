"""Why the week is as it is, each rule with number, source and whose choice it was; and whether one may run on a day."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta

from nudgebot.domain.messages.common import DAY_NAMES, SESSION_WORDS, from_to, on_day
from nudgebot.domain.messages.plan.lines import next_line, sessions_left
from nudgebot.domain.model.parameters import Choice
from nudgebot.domain.model.runner import Book, LimitReason, Training, Walking
from nudgebot.domain.model.week import SESSION_MIN, Week
from nudgebot.domain.planning import reasons
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.more import may_run
from nudgebot.domain.planning.reasons import PlanReason, ReasonText

# Publications by source key, as short as a chat allows; docs/sources.md has them in full.
PUBLICATIONS = {
    "ada-2016": "American Diabetes Association 2016; for everyone else it is a rhythm",
    "session-spike": "British Journal of Sports Medicine 2025, on single-session jumps",
    "walk-run-trial": "a trial of walk-run after injury, 2023",
    "return-table": "a coaching handbook's table",
    "acsm-screening": "American College of Sports Medicine, screening 2015",
}
CHOICES = {
    Choice.STANDARD: "published",
    Choice.PRACTICE: "common practice",
    Choice.HOUSE: "our own cautious choice",
    Choice.COACH: "your coach's choice",
    Choice.RUNNER: "your own choice",
    Choice.MEASURED: "measured on lines of writers kept apart",
}
SENTENCES: Mapping[ReasonText, Callable[..., str]] = {
    ReasonText.FIRST: lambda target, stated: f"{target} min, from the {stated} min you ran before and never under 60",
    ReasonText.STEP: lambda target, before: f"{target} min, a small step up from {before}",
    ReasonText.STEADY: lambda target: f"{target} min, the dose of your goal, held",
    ReasonText.REPEAT: lambda target: f"{target} min, the same again, to let it settle",
    ReasonText.BACK: lambda target: f"{target} min, a step back to what the last two weeks held",
    ReasonText.REGAIN: lambda target: f"{target} min, a step from what the last two weeks held",
    ReasonText.LIGHTER: lambda target: f"{target} min, a lighter week on purpose",
    ReasonText.RETURN: lambda target, days: f"{target} min, shorter for a while after {days} days without a run",
    ReasonText.WALK_RUN: lambda target, step: f"{target} min of walk-run, step {step} of 7, up after two easy sessions",
    ReasonText.WALKING: lambda target: f"{target} min of walking, until a clinician has cleared running",
    ReasonText.PAUSE: lambda: "nothing is planned while you pause",
    ReasonText.DOSE: lambda low, high: f"it leads to {from_to(low, high)} min a week, for your goal",
    ReasonText.SPACING: lambda days: f"at most {days} days in a row without a run",
    ReasonText.RUN_DAYS: lambda days: f"at most {days} run days in a row" if days > 1 else "a rest day after each run",
    ReasonText.SHRUNK: lambda target, full: f"{target} of {full} min, because the open days hold no more",
    ReasonText.OPEN_A_DAY: lambda day: f"opening {DAY_NAMES[day]} would keep the rhythm",
    ReasonText.WEEK_CAP: lambda cap: f"no more than {cap} min a week yet",
    ReasonText.LONG_DAY: lambda day: f"the long run on {DAY_NAMES[day]}",
    ReasonText.LONG_STEP: lambda minutes, length: f"{minutes} min, the long run on its way to {length}",
    ReasonText.SESSION_CAP: lambda cap, longest: (
        f"no run over {cap} min yet: your longest of the last month is {longest}"
    ),
    ReasonText.OPEN_MINUTES: lambda minutes: f"the day has room for {minutes} min",
    ReasonText.HALF: lambda runs: f"the next {runs} runs at half, after the pause",
    ReasonText.ALIKE: lambda minutes: f"{minutes} min, like the other short runs",
}


def say_why(book: Book, week: Week, today: date) -> str:
    """The reasons behind a week and its next session, one a line, the most telling first."""
    lines = ["Why this week:", *(_line(reason) for reason in reasons.why(book, week))]
    coming = sessions_left(book, today)
    if coming:
        lines.append(f"And {on_day(coming[0].day, today)}:")
        lines += [_line(reason) for reason in reasons.why(book, coming[0])]
    lines.append(
        "Easy is full sentences (the talk test; published) and effort 4 of 10 or less (our own cautious choice)."
    )
    if any(CHOICES[Choice.PRACTICE] in line for line in lines):
        lines.append("Common practice is what coaches do; no trial stands behind it.")
    return "\n".join(lines)


def _line(reason: PlanReason) -> str:
    source = PUBLICATIONS.get(reason.source)
    return f"- {SENTENCES[reason.text](*reason.values)} ({f'{source}; ' if source else ''}{CHOICES[reason.choice]})"


# Why a day takes no run; what the runner closed is theirs to open.
CLOSED = {
    LimitReason.ILL: "running waits after the illness",
    LimitReason.PAIN: "that day rests after the pain",
    LimitReason.REST: "that day is rest, after more than the plan had",
    LimitReason.FLIGHT: "that day rests after the flight",
    LimitReason.EVENT: "that day is kept free for the event",
    LimitReason.WEATHER: "the weather called running outside off",
}


def may_i_run(book: Book, day: date, today: date) -> str:
    """The answer, and what is next."""
    if not isinstance(book.standing, Training | Walking):
        return f"Not {on_day(day, today)}. {next_line(book, today)}"
    session = next((each for each in sessions_left(book, today) if each.day == day), None)
    if session is not None:
        return f"Yes: {session.minutes} min {SESSION_WORDS[session.kind]} is planned {on_day(day, today)}."
    return f"{_unplanned(book, day, today)} {next_line(book, today)}"


def _unplanned(book: Book, day: date, today: date) -> str:
    when = on_day(day, today)
    if any(entry.day == day and entry.counts for entry in book.log):
        return "Today's session is in, and one a day is enough."
    limit = book.limit_on(day)
    if limit is not None and not limit.minutes and limit.reason in CLOSED:
        return f"Not {when}: {CLOSED[limit.reason]}{_until(book, day, today)}."
    if isinstance(book.standing, Walking):
        return f"A walk is fine {when}; running waits until a clinician has cleared it."
    if may_run(book, day):
        return f"Nothing is planned {when}, but {SESSION_MIN} min easy is fine if you feel fresh, and it counts."
    if limit is not None and not limit.minutes:
        return f"{when.capitalize()} is closed in the plan; if it suits after all, tell me that it is free."
    return f"Better not {when}: one more run there is too much for the days around it. A walk is fine."


def _until(book: Book, day: date, today: date) -> str:
    """The words " until Sunday", for a day that is one of several."""
    ahead = (day + timedelta(days=n) for n in range(1, 15))  # no wait of the plan's own is longer
    first = next((each for each in ahead if open_on(book, each) > 0), None)
    return "" if first is None or first == day + timedelta(days=1) else f" until {on_day(first, today)}"
