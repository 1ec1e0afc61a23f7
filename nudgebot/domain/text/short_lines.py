"""Lines with one meaning: what our buttons say, typed; how somebody feels; where somebody is. Five languages."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Final

from nudgebot.domain.model.actions import (
    Action,
    Did,
    DidLess,
    Feeling,
    InPlaceOfRun,
    Later,
    LetGo,
    Move,
    PutOff,
    Remind,
    Skip,
)
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.sayings import denies_better, plain, says_well
from nudgebot.domain.text.word_files import patterns

P = patterns("short_lines")
LONGEST: Final = 60  # characters; a longer line says no button's words
LONGEST_ANSWER: Final = 8  # words; a longer line tells of more than how one feels
_OF_A_DAY: Final = (
    (P.did, Did), (P.shorter, DidLess), (P.let_go, LetGo), (P.in_place, InPlaceOfRun), (P.skip, Skip),
    (P.tomorrow, PutOff),
)  # fmt: skip
_LATER: Final = (
    (P.half_hour, Later.HALF_HOUR), (P.two_hours, Later.TWO_HOURS), (P.this_evening, Later.THIS_EVENING),
    (P.a_day_later, Later.TOMORROW),
)  # fmt: skip
_DATED: Final = re.compile(r"(?P<what>.+?)(?:,? (?:on |of )?(?P<day>\d{4}-\d{2}-\d{2}))?")
_MOVE: Final = re.compile(r"move (\d{4}-\d{2}-\d{2}) to (\d{4}-\d{2}-\d{2})")
# How long is asked for (min, at most) and what comes nearest.
_NEAREST: Final = ((45, Later.HALF_HOUR), (90, Later.ONE_HOUR), (240, Later.TWO_HOURS), (900, Later.THIS_EVENING))
_FEELINGS: Final = ((P.better, Feeling.BETTER), (P.worse, Feeling.WORSE), (P.same, Feeling.SAME))
_TOLD: Final = (
    (P.not_worse, Feeling.SAME),
    (P.is_worse, Feeling.WORSE),
    (P.is_same, Feeling.SAME),
    (P.is_better, Feeling.BETTER),
)


def action_in(text: str) -> Action | None:
    """The action that a line says word for word; a date may follow where it is about a day. None for any other line."""
    if len(text.strip()) > LONGEST:
        return None
    line = squeezed(text).strip(" .!")
    later = next((when for said, when in _LATER if said.fullmatch(line)), None) or _later_in(line)
    if later is not None:
        return Remind(later)
    try:
        if (moving := _MOVE.fullmatch(line)) is not None:
            return Move(date.fromisoformat(moving[1]), date.fromisoformat(moving[2]))
        found = _DATED.fullmatch(line)
        action = next((act for said, act in _OF_A_DAY if said.fullmatch(found["what"])), None) if found else None
        if found is None or action is None:
            return None
        return action(date.fromisoformat(found["day"]) if found["day"] else None)
    except ValueError:  # a day that no calendar has
        return None


def _later_in(line: str) -> Later | None:
    """When a message is to come again by a line that names how long; None for any other."""
    found = P.again.fullmatch(line)
    if found is None or not (found["half"] or found["number"]):
        return None
    number = int(found["number"]) if (found["number"] or "").isdecimal() else 1
    minutes = number if found["unit"].startswith("m") else number * 60
    minutes = 30 if found["half"] else minutes
    return next((later for most, later in _NEAREST if minutes <= most), None)


def feeling_in(text: str) -> Feeling | None:
    """How a line says one feels, in a word or two; None for any other line."""
    if len(text.split()) > LONGEST_ANSWER:
        return None
    line = plain(text).strip(" .!")
    return next((how for said, how in _FEELINGS if said.fullmatch(line)), None)


def feeling_told(text: str) -> Feeling | None:
    """The answer to "how are you": None for a line that says none of the three, or more than that."""
    line = plain(text)
    if len(line.split()) > LONGEST_ANSWER or "?" in line:
        return None
    how = next((how for said, how in _TOLD if said.search(line)), None) or feeling_in(line)
    if how is Feeling.BETTER and denies_better(line):
        return Feeling.SAME
    return Feeling.BETTER if how is None and says_well(line) else how


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """The words for the place, folded, whether the line says that one is `back` there, and whether it says how long."""

    place: str
    back: bool
    for_a_time: bool


def whereabouts_in(text: str) -> Whereabouts | None:
    """Where a line says that its writer is; None where it says more, or nothing of the kind.

    Whether there is such a place is for who knows the names of places.
    """
    found = P.whereabouts.fullmatch(squeezed(text).strip(" .!"))
    if found is None:
        return None
    back = P.back.search(f"{found['said']} {found['more']}") is not None
    return Whereabouts(found["place"], back, found["until"] is not None)
