"""The answer to a finished run: what was counted, how the week stands, what is next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from nudgebot.domain.messages.common import and_list, entry_words, on_day
from nudgebot.domain.messages.plan.lines import next_line, replan_lines, standing_line
from nudgebot.domain.model.actions import ChosenOption, Option
from nudgebot.domain.model.logbook import AEROBIC, LogEntry
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import Return
from nudgebot.domain.overview.firsts import First
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.profile import emergency

STILL_WAITS = "That is sooner than the illness allows: running waits until it is well behind you. A walk is fine."
BIG_JUMP = (
    "That is a big jump from what your last month holds. Tomorrow is rest, nothing is made up, and the next runs stay "
    "short."
)
NOTHING_THAT_DAY = "I have no other session on that day."
HOW_MANY = "How many minutes was it?"
NOTHING_ADDED = "Fine, nothing is added."
KEPT_ONE = "Good, it stays at the one."
BOTH_STAY = "Good, both stay in the log."
SECOND_OR_CORRECTION = (
    ("A second run", ChosenOption(Option.SECOND)),
    ("A correction", ChosenOption(Option.CORRECTION)),
)
SAME_OR_SECOND = (("The same", ChosenOption(Option.SAME)), ("A second run", ChosenOption(Option.SECOND)))
COUNTED_BEFORE = "That one is in the log already."
# A warm word at the right moment, and what is said of more than was planned.
WARM: Mapping[First, str] = {
    First.EVER: "Your first run. Good to have you.",
    First.HUNDREDTH: "That was your hundredth run here. Thank you for telling me each of them.",
    First.BACK: "Good to see you running again.",
    First.THIRTY: "Half an hour without walking. Well done.",
    First.HOUR: "Your longest run here so far. Nicely done.",
    First.WEEK: "That is your first whole week of this plan. Well done.",
}
ONE_OFF_OR_MORE = (("A one-off", ChosenOption(Option.ONE_OFF)), ("Let it grow", ChosenOption(Option.GROW)))
ONE_OFF = "Good. The plan stays as it is."
GROWS = "Fine: the next week is a step larger than it would have been, within the usual limits."
STAYS = "The plan stays where it is for now: it is at its top, or held level for a reason that /why names."


def say_walks_first(until: date, today: date) -> str:
    """A run where walking comes first."""
    return f"After covid below the neck easy walking comes first, until {on_day(until, today)}; please no runs yet."


def say_logged(
    book: Book, entries: Sequence[LogEntry], today: date, remarks: Sequence[str], replanned: Replanned | None
) -> str:
    """One or two short lines, and what a replan changed, if it changed anything."""
    lines = [" ".join(filter(None, (say_counted(entries, today), standing_line(book, today), next_line(book, today))))]
    return "\n".join([*lines, *remarks, *replan_lines(replanned, today, after_run=True)])


def say_counted(entries: Sequence[LogEntry], today: date) -> str:
    """What went into the log, and as what."""
    said = and_list([f"{entry_words(e)} {on_day(e.day, today)}" for e in entries])
    if all(e.counts for e in entries):
        return f"Counted: {said}."
    if all(e.activity in AEROBIC for e in entries):
        return f"Noted: {said}, beside the runs."
    return f"Noted: {said}."


def say_logged_on_hold(entries: Sequence[LogEntry], today: date, country: str) -> str:
    """A session logged during a hold is kept, and the caution said again after a run."""
    counted = say_counted(entries, today)
    if not any(entry.is_run for entry in entries):
        return f"{counted} Running waits until a clinician has cleared it; then tell me or write /back."
    return (
        f"{counted} Please do not run until a clinician has cleared it. "
        f"Write /back when that has happened, and {emergency.call(country)} if anything gets worse."
    )


def say_keep_walking(entries: Sequence[LogEntry], today: date, country: str) -> str:
    """A run of somebody who is to walk until a clinician has cleared running: kept, and the rule said again."""
    return (
        f"{say_counted(entries, today)} Please keep to walking for now: running waits until a clinician has cleared "
        f"it, and then /back. If you feel unwell, stop and {emergency.call(country)}."
    )


def say_way_back(before: Return | None, after: Return | None) -> str:
    """What a run told for a day within a break makes of the way back; "" if it changes nothing."""
    if before is None or (after is not None and after.days >= before.days):
        return ""
    if after is None:
        return f"With that run it was no break of {before.days} days: the gentle way back ends with this week."
    return f"With that run the break was {after.days} days, not {before.days}: the gentle way back is shorter."


def say_not_easy(effort: int | None) -> str:
    """The run counts in full, and was not easy."""
    felt = f"Effort {effort} of 10 is" if effort is not None else "That was"
    return f"{felt} more than easy; slower next time, so that full sentences come without effort."


def ask_if_minutes(number: int) -> str:
    """A number that may not be minutes: asked before anything is stored."""
    return f"Is {number} the minutes of a run? Nothing is added until you say."


def ask_if_same(entry: LogEntry, today: date) -> str:
    """The same line twice: asked before anything is stored."""
    return (
        f"I already have {entry_words(entry)} {on_day(entry.day, today)}. Is this the same, or a second one? "
        "Nothing is added until you say."
    )


def ask_second_or_correction(first: LogEntry, second: LogEntry, today: date) -> str:
    """Two runs on one day: both are kept until the runner says that the newer one corrects the older."""
    return (
        f"There is already {entry_words(first)} {on_day(first.day, today)}: is {second.minutes} min a second run, or a "
        "correction?"
    )


def ask_if_more(done: int, target: int) -> str:
    """More than planned, and whether it is meant to stay so."""
    sums = f"{done} min this week, {target} planned." if done > target else "Some runs more than planned lately."
    return f"{sums} Welcome, as long as it feels easy. A one-off, or shall the plan grow by a step?"


def say_days_in_a_row(count: int) -> str:
    """Run days in a row, more than the plan would."""
    return f"That makes {count} run days in a row. Legs recover on the days between; the next day is best a rest day."
