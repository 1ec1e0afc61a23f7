"""Why the week is as it is: each rule with its number, its source, and whose choice it was."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from nudgebot.domain.messages.common import DAY_NAMES, from_to, on_day
from nudgebot.domain.messages.plan.lines import sessions_left
from nudgebot.domain.model.parameters import Choice
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import Week
from nudgebot.domain.planning import reasons
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
