"""Answers about health: the signs of the heart, the last day of an illness, whether it was one, the choice of a day."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from nudgebot.domain.dialogue.health import complaints, end_illness
from nudgebot.domain.dialogue.questions.answering import LONGEST_ANSWER, Answering, as_chosen
from nudgebot.domain.dialogue.values import Answer
from nudgebot.domain.model.actions import Chosen, ChosenDays, ChosenOption, Option
from nudgebot.domain.planning.ways_back import Wait
from nudgebot.domain.text.illness_talk import told_day
from nudgebot.domain.text.reply import LONG_LINE, read_days
from nudgebot.domain.text.sayings import says_since, says_until

TODAYS: Final[Mapping[str, Option]] = {
    "as planned": Option.AS_PLANNED,
    "shortest": Option.SHORTEST,
    "short": Option.SHORTEST,
    "the shortest": Option.SHORTEST,
    "walk": Option.WALK,
    "a walk": Option.WALK,
    "rest": Option.REST,
}


def read_last_ill(turn: Answering) -> Chosen | None:
    """The last day of an illness."""
    says_more = len(turn.line.split()) > LONG_LINE.value and not says_until(turn.line)
    if (turn.verdict.ill_now and _is_told_anew(turn)) or says_more:
        return None
    last = told_day(turn.line, turn.today)
    return None if last is None else ChosenDays((last,))


def _is_told_anew(turn: Answering) -> bool:
    """Whether a line that tells of an illness does not say how long the one before it lasted: "fever since Monday",
    "flu again, nothing today", "down with flu, Friday is doubtful"."""
    if says_until(turn.line):
        return False
    days = read_days(turn.line, turn.today)
    gone = any(day <= turn.today for day in days)
    return turn.today in days or says_since(turn.line) or (len(turn.line.split()) > LONGEST_ANSWER and not gone)


def plan_way_back(turn: Answering, chosen: ChosenDays) -> Answer | None:
    """The way back from an illness that lasted until then."""
    if not chosen.days or max(chosen.days) > turn.today:
        return None
    wait = Wait(turn.asked.detail) if turn.asked.detail in set(Wait) else Wait.FEVER
    return end_illness.count_wait_from(turn.closed, turn.heard, wait, max(*chosen.days, turn.day))


def read_choice(turn: Answering) -> Chosen | None:
    """What somebody with a niggle wants to do today."""
    return as_chosen(ChosenOption, TODAYS.get(turn.line.strip(" .!").casefold()))


def take_choice(turn: Answering, chosen: ChosenOption) -> Answer | None:
    """The day as it was chosen."""
    today = chosen.option in TODAYS.values()
    return complaints.take_choice(turn.book, turn.heard, chosen.option, turn.day) if today else None
