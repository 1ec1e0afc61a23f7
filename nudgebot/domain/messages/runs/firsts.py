"""A warm word at the right moment, and the kind question after more than was planned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from nudgebot.domain.model.actions import ChosenOption, Option
from nudgebot.domain.overview.firsts import First

WARM: Final[Mapping[First, str]] = {
    First.EVER: "Your first run. Good to have you.",
    First.HUNDREDTH: "That was your hundredth run here. Thank you for telling me each of them.",
    First.BACK: "Good to see you running again.",
    First.THIRTY: "Half an hour without walking. Well done.",
    First.HOUR: "Your longest run here so far. Nicely done.",
    First.WEEK: "That is your first whole week of this plan. Well done.",
}
ONE_OFF_OR_MORE: Final = (("A one-off", ChosenOption(Option.ONE_OFF)), ("Let it grow", ChosenOption(Option.GROW)))
ONE_OFF: Final = "Good. The plan stays as it is."
GROWS: Final = "Fine: the next week is a step larger than it would have been, within the usual limits."
STAYS: Final = "The plan stays where it is for now: it is at its top, or held level for a reason that /why names."


def ask_if_more(done: int, target: int) -> str:
    """More than planned, and whether it is meant to stay so."""
    sums = f"{done} min this week, {target} planned." if done > target else "Some runs more than planned lately."
    return f"{sums} Welcome, as long as it feels easy. A one-off, or shall the plan grow by a step?"


def say_days_in_a_row(count: int) -> str:
    """Run days in a row, more than the plan would."""
    return f"That makes {count} run days in a row. Legs recover on the days between; the next day is best a rest day."
