"""Why the week is as it is: each rule with its number, its source, and whose choice it was."""

from __future__ import annotations

from datetime import date

from nudgebot.training import limits
from nudgebot.training.dose import band
from nudgebot.training.rules import (
    HARD_RUNS,
    LIGHTER_AFTER,
    REPEAT_FROM,
    REST_GAP,
    RUN_DAYS,
    SESSION_GROWTH,
    SESSION_STEP,
    WALK_RUN_CLEAN,
    Choice,
    Rule,
)
from nudgebot.training.runner import Book
from nudgebot.training.week import SessionKind, Week, WeekKind
from nudgebot.training.wording.common import DAY_NAMES, and_list
from nudgebot.training.wording.plan import GOAL_WORDS, WEEK_REASONS

# Publications by source key, as short as a chat allows; docs/sources.md has them in full.
PUBLICATIONS = {
    "ada-2016": "American Diabetes Association 2016; for everyone else it is a rhythm",
    "session-spike": "British Journal of Sports Medicine 2025, on single-session jumps",
    "hard-easy": "coaching",
    "step-back-week": "coaching",
    "walk-run-trial": "a trial of walk-run after injury, 2023",
    "return-table": "a coaching handbook's table",
}
CHOICES = {
    Choice.STANDARD: "published",
    Choice.PRACTICE: "common practice, no trial behind it",
    Choice.HOUSE: "our own cautious choice",
    Choice.COACH: "your coach's choice",
    Choice.RUNNER: "your own choice",
}


def why(book: Book, week: Week, today: date) -> str:
    """The reasons behind a week, one a line, the week's own reason first."""
    low, high = band(book.profile)
    cap = limits.session_max(book, max(week.start, today))
    lines = [f"Why this week is {week.target} min: {WEEK_REASONS[week.kind]}"]
    if week.kind is WeekKind.REPEAT:
        lines.append(
            _line(f"under 90 % of the last week was run, so it comes again (from {REPEAT_FROM.value} %)", REPEAT_FROM)
        )
    if week.kind is WeekKind.LIGHTER:
        lines.append(_line(f"after {LIGHTER_AFTER.value} full weeks a lighter one", LIGHTER_AFTER))
    if week.kind is WeekKind.WALK_RUN:
        lines.append(_line(f"a step up after {WALK_RUN_CLEAN.value} easy sessions on the same step", WALK_RUN_CLEAN))
        lines.append(_line(f"it also begins after {HARD_RUNS.value} runs in a row that were not easy", HARD_RUNS))
    if week.kind in {WeekKind.STEP, WeekKind.FIRST, WeekKind.STEADY}:
        lines.append(
            f"- it leads to {low} to {high} min, for {GOAL_WORDS[book.profile.goal]} (the goal is your own choice)"
        )
    lines.append(_line(f"at most {REST_GAP.value} days in a row without a run", REST_GAP))
    lines.append(_line(f"at most {RUN_DAYS.value} run days in a row", RUN_DAYS))
    lines.append(
        _line(
            f"no single run over {cap} min: your longest of the last month and {SESSION_GROWTH.value - 100} %, "
            f"or {SESSION_STEP.value} min where that is more",
            SESSION_GROWTH,
        )
    )
    long_run = next((s for s in week.sessions if s.kind is SessionKind.LONG), None)
    days = [DAY_NAMES[day] for day, minutes in enumerate(book.profile.open_minutes) if minutes]
    lines.append(f"- open days {and_list(days)} (your own choice)")
    if long_run is not None:
        lines.append(f"- the long run on {DAY_NAMES[book.profile.long_day]} where it fits (your own choice)")
    lines.append(
        "- easy is full sentences and effort 4 of 10 or less (American College of Sports Medicine 2011; published)"
    )
    return "\n".join(lines)


def _line(said: str, rule: Rule) -> str:
    source = PUBLICATIONS.get(rule.source)
    return f"- {said} ({f'{source}; ' if source else ''}{CHOICES[rule.choice]})"
