"""Lines that say one thing in plain words, in five languages: each reader is a row of patterns of `words/`.

Fear *of* something ("I am scared people will laugh") has told its reason and is talk; help *with* something is a wish.
A question about a coach has three things in one line: a coach, seeing, and asking. Words beside them do not matter, and
a line that tells a sign is not asked here at all. Short lines come last: what our buttons say, typed; how somebody
feels; where somebody is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
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
from nudgebot.domain.text.line.spelling import as_standard
from nudgebot.domain.text.line.tokens import LONGEST_LINE
from nudgebot.domain.text.word_files import patterns

LONGEST_QUESTION = 300  # characters of a question that are looked at
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


def plain(text: str) -> str:
    """A line folded, single spaces between its words, regional spellings as the words of the dictionary."""
    return as_standard(squeezed(text))


def saying(
    file: str, *all_of: str, but: Sequence[str] = (), whole: bool = False, within: int = LONGEST_LINE
) -> Callable[[str], bool]:
    """Whether a line says each of some patterns of a file of `words/` and none of others.

    `whole`: the one pattern is all that the line says; `within`: the characters of a longer line that are looked at.
    """
    found = patterns(file)

    def says(text: str) -> bool:
        line = plain(text[:within])
        if whole:
            return all(getattr(found, each).fullmatch(line.strip(" .!")) for each in all_of)
        return all(getattr(found, each).search(line) for each in all_of) and not any(
            getattr(found, each).search(line) for each in but
        )

    return says


# Somebody calls for help, or is afraid and does not say of what.
is_cry_for_help = saying("talk", "cry")
# The death or the funeral of somebody near.
tells_a_death = saying("talk", "bereaved")
# A question what a coach sees of its writer.
asks_what_a_coach_sees = saying("talk", "coach", "sees", "asks", but=("told_back",), within=LONGEST_QUESTION)
# One can after all, on a day that the line names: "I can run Thursday after all", "geht doch".
frees_a_day = saying("talk", "after_all", "can")
# Whether one may run, on a day that the line names or today, and nothing beside it.
asks_to_run = saying("talk", "may_run", but=("beside",), within=LONGEST_QUESTION)
# What there is to do on a day; the week or the plan.
asks_what_is_on = saying("talk", "what", within=LONGEST_QUESTION)
asks_for_the_plan = saying("talk", "plan_or_what", within=LONGEST_QUESTION)
# An absence, and that its end is not known; the same as an answer to "until when?".
has_no_end = saying("short_lines", "absence_without_end")
end_is_not_known = saying("short_lines", "end_not_known")
# An illness is over; it has gone, said of it by name and of nothing that it goes on; nobody is better.
says_lifted = saying("illness", "lifted", but=("not_lifted", "not_well"))
_says_recovered = saying("illness", "well", but=("not_well",))
denies_better = saying("illness", "denied_better")
# It gets worse after doing something; nobody is ill, and no more than that.
worse_after_effort = saying("illness", "worse_after_effort")
says_not_ill = saying("illness", "not_ill", whole=True)
# Until when something lasted; since when it is there, or that it is there now; that a day was the last of it.
says_until = saying("illness", "until")
says_since = saying("illness", "since")
says_the_last_of_it = saying("illness", "last_of_it")
# Medicine that hides a fever; not where it was done without.
hides_a_fever = saying("illness", "medicine_taken")
# Somebody who examines people, or a test that they do; whether something gentler than running may be done.
speaks_of_clinician = saying("clearance", "clinician_or_test", but=("no_clinician", "of_somebody_else"))
asks_about_moving = saying("clearance", "asks", "moving")
# A clinician's word: still to come, or no; that running is cleared, not where it is asked, hoped or waited for.
not_yet = saying("clearance", "not_yet")
says_cleared = saying("clearance", "says_cleared", but=("cleared_later",))
# What was taken for a complaint was about something or somebody else.
misread = saying("clearance", "misread", but=("still_meant",))


def says_well(text: str) -> bool:
    """Whether somebody who was ill says that it is over."""
    return _says_recovered(text) or says_lifted(text)


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
