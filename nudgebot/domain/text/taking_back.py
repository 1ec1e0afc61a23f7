"""A line that takes something back or corrects it: what it is about, and what is right, in any order of the words.

"Delete Monday", "the 50 on Monday was a mistake", "not 50, 35", "that was Tuesday", "it was a bike ride", "lösch die 30
von gestern". Which entry fits is found elsewhere: here is only what the line says of it. One number alone may be the
wrong one or the right one, so it stays open where its place does not tell.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine, line_of
from nudgebot.domain.text.line.tokens import LONGEST_LINE, Kind
from nudgebot.domain.text.log_lines.amounts import Amount, Sort, amounts
from nudgebot.domain.text.log_lines.attribution import own_amounts
from nudgebot.domain.text.log_lines.days import days
from nudgebot.domain.text.word_files import words

W = words("taking_back")

MINUTES: Final = range(1, 601)  # of one entry


class Thing(StrEnum):
    """What kind of change a line names."""

    RUN = "run"
    LIMIT = "limit"  # a run called off, a busy day, days away, a move
    SETTING = "setting"
    ILLNESS = "illness"


@dataclass(frozen=True, slots=True)
class Correction:
    """What a line says of an entry that is wrong.

    `days` are the dates that it may be about, the latest gone and the next to come of each day named; `old` its
    minutes, `number` minutes that may be the wrong ones or the right ones. `new`, `new_day` and `activity` are what is
    right. `deletes` says that the entry goes; `everything` that all that is kept of the runner should.
    """

    days: frozenset[date] = frozenset()
    old: int | None = None
    number: int | None = None
    new: int | None = None
    new_day: date | None = None
    activity: Activity | None = None
    thing: Thing | None = None
    deletes: bool = False
    everything: bool = False

    @property
    def amends(self) -> bool:
        """Whether the line says what is right."""
        return self.new is not None or self.new_day is not None or self.activity is not None


def correction_in(text: str, today: date) -> Correction:
    """What a line that takes back or corrects, written on `today`, says; nothing where it only says so."""
    if len(text) > LONGEST_LINE:
        return Correction()
    line = line_of(text)
    found = [
        amount
        for amount in amounts(line)
        if amount.sort in {Sort.DURATION, Sort.BARE}
        and int(amount.value) in MINUTES
        and not (amount.value == 1 and line.tokens[amount.first].spoken)
    ]
    words = [token.text for token in line.tokens]
    deletes = any(_starts(word, DELETING) for word in words)
    old, new, number = _minutes(line, found, deletes=deletes)
    about, right = _days(line, found, today, moves=not deletes and not found)
    if deletes and not found and not about and set(words) & W.everything:
        return Correction(deletes=True, everything=True)
    activity = None if found or deletes else _activity(line)
    return Correction(about, old, number, new, right, activity, _thing(words), deletes)


def says_what_it_was(text: str) -> bool:
    """Whether a line is about the entry before it, and nothing else: "no, that was on Tuesday", "das war gestern"."""
    if len(text) > LONGEST_LINE:
        return False
    line = line_of(text)
    tells = day = False
    for place, token in enumerate(line.tokens):
        if token.kind is not Kind.WORD and not token.spoken:
            if token.kind is not Kind.MARK or token.text == "?":
                return False
            continue
        day |= bool((line.cues(place) | line.own(place)) & {Cue.DAY, Cue.WEEKDAY, *MOVED})
        if token.text in W.was:
            tells |= place == 0 or line.tokens[place - 1].text in W.that or token.text in W.was_alone
        elif not (token.text in SMALL or (line.cues(place) | line.own(place)) & _SAYS_WHAT):
            return False
    return tells and day


def says_other_minutes(text: str) -> bool:
    """Whether a line is a pair of minutes and a word between them, and nothing else: "35 statt 40"."""
    line = line_of(text[:LONGEST_LINE])
    words = [token.text for token in line.tokens if token.kind is Kind.WORD]
    return any(word in W.instead for word in words) and all(
        word in SMALL | W.instead | W.minute_words for word in words
    )


def frees_a_day(text: str) -> bool:
    """Whether a line says that one can after all, on a day it names: "I can run Thursday after all", "geht doch"."""
    return len(text) <= LONGEST_LINE and bool(AFTER_ALL.search(text)) and bool(CAN.search(text))


def deletes_an_entry(text: str) -> bool:
    """Whether a line says to delete a run, a day or minutes, and nothing else: "lösch Montag", "apaga a de ontem"."""
    if len(text) > LONGEST_LINE:
        return False
    line = line_of(text)
    words = [place for place, token in enumerate(line.tokens) if token.kind is Kind.WORD and not token.spoken]
    if not words or not _starts(line.tokens[words[0]].text, DELETING_ONLY):
        return False
    return all(
        line.tokens[place].text in SMALL
        or _starts(line.tokens[place].text, THINGS[Thing.RUN])
        or (line.cues(place) | line.own(place)) & {*_SAYS_WHAT, Cue.MINUTE}
        for place in words[1:]
    )


def _minutes(line: ParsedLine, found: list[Amount], *, deletes: bool) -> tuple[int | None, int | None, int | None]:
    """The wrong minutes, the right ones, and the one number that may be either."""
    wrong = [int(amount.value) for amount in found if _denied(line, amount.first)]
    right = [amount for amount in found if not _denied(line, amount.first)]
    if wrong and len(found) == 1 and found[0].first == 1 and line.tokens[0].text in W.no:
        return None, wrong[0], None  # "no 40"
    if wrong:
        return wrong[0], int(right[0].value) if right else None, None
    if len(right) > 1:
        return int(right[0].value), int(right[1].value), None
    if not right:
        return None, None, None
    value, first = int(right[0].value), right[0].first
    said_before = [line.tokens[place].text for place in range(first)]
    if said_before and (said_before[-1] in W.was | W.make or Cue.MAKE_THAT in line.cues(first - 1)):
        return None, value, None
    mistaken = any(_is_mistake(line, place) for place in range(right[0].last, len(line.tokens)))
    deleted = deletes and first > 0 and line.tokens[first - 1].kind is not Kind.MARK  # "delete that, 40" is right
    return (value, None, None) if mistaken or deleted else (None, None, value)


def _denied(line: ParsedLine, place: int) -> bool:
    """Whether "not", "instead of" or the like stands right before `place`, or before the verb there."""
    before = place - 1
    while before >= 0 and line.tokens[before].text in W.was | W.small_before and not _denies(line, before):
        before -= 1
    return before >= 0 and _denies(line, before)


def _denies(line: ParsedLine, place: int) -> bool:
    word = line.tokens[place].text
    return word in W.instead or (Cue.NOT in line.own(place) and line.denies(place) and word not in {"nope", "nein"})


def _days(line: ParsedLine, found: list[Amount], today: date, *, moves: bool) -> tuple[frozenset[date], date | None]:
    """The days that the line may be about, and the one that is right."""
    spans = [(amount.first, amount.last) for amount in found]
    named = [
        day
        for day in days(line, own_amounts(line, amounts(line)), today)
        if not any(first < day.last and day.first < last for first, last in spans)
    ]
    about: set[date] = set()
    right: list[date] = []
    some_denied = any(_denied(line, day.first) for day in named)
    wrong_day = any(line.tokens[place].text in W.wrong_day for place in range(len(line.tokens)))
    for day in named:
        gone, coming = day.dates(True), day.dates(False)
        told = _after_was(line, day.first) or (moves and (some_denied or wrong_day))
        if told and gone and max(gone) <= today and not _denied(line, day.first):
            right.append(max(gone))
        else:
            about |= {*gone, *coming}
    return frozenset(about), right[0] if right else None


def _after_was(line: ParsedLine, place: int) -> bool:
    before = place - 1
    while before >= 0 and line.tokens[before].text in W.small_before:
        before -= 1
    return before >= 0 and line.tokens[before].text in W.was


def _activity(line: ParsedLine) -> Activity | None:
    """What was done instead of what was counted."""
    named = [
        (place, cue)
        for place in range(len(line.tokens))
        for cue in ACTIVITIES
        if cue in line.cues(place) and Cue.SKIP not in line.cues(place) and not _denied(line, place)
    ]
    others = [cue for place, cue in named if cue is not Cue.RUN and _is_told(line, place)]
    ran = any(cue is Cue.RUN and _after_was(line, place) for place, cue in named)
    return MOVED[others[0]] if others else Activity.RUN if ran else None


def _is_told(line: ParsedLine, place: int) -> bool:
    """Whether "it was" stands before the name of an activity: "a bike ride"."""
    mark = line.marks[place]
    return _after_was(line, place) or (mark is not None and _after_was(line, mark.first))


def _is_mistake(line: ParsedLine, place: int) -> bool:
    return Cue.UNDO in line.cues(place) and not _starts(line.tokens[place].text, DELETING)


def _thing(words: list[str]) -> Thing | None:
    return next(_things(words), None)


def _things(words: list[str]) -> Iterator[Thing]:
    for word in words:
        for thing, starts in THINGS.items():
            if _starts(word, starts):
                yield thing


def _starts(word: str, starts: tuple[str, ...]) -> bool:
    return word.startswith(starts)


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Folded words of English, German, French, Spanish and Portuguese. Beginnings of words that delete:
DELETING: Final = (
    "delet", "remov", "undo", "erase", "scrap", "scratch", "strike", "cancel", "revert", "wipe", "losch", "entfern",
    "streich", "ruckgang", "stornier", "zurucknehm", "supprim", "effac", "enlev", "annul", "retire", "borr", "elimin",
    "quita", "deshac", "anul", "apag", "desfaz", "desfac", "exclu", "tira",
)  # fmt: skip
# Those that call off no session to come.
DELETING_ONLY: Final = (
    "delet", "remov", "undo", "erase", "losch", "entfern", "supprim", "effac", "borr", "elimin", "deshac", "apag",
    "desfaz", "desfac",
)  # fmt: skip
AFTER_ALL: Final = re.compile(r"\bafter all\b|\bdoch\b|\bfinalement\b|\bal final\b|\bafinal\b", re.IGNORECASE)
CAN: Final = re.compile(
    r"\b(?:can|could|free|works?|open|possible|kann|könnte|frei|geht|klappt|peux|libre|possible|puedo|posso|livre|dá)\b",
    re.IGNORECASE,
)
SMALL: Final = (
    W.small_before
    | W.that
    | _words(
        "no nope not sorry oops wait ah actually wrong day i mean meant my bad nein nicht entschuldigung falscher tag "
        "eigentlich sondern non pas pardon mauvais jour en fait mais perdon dia equivocado sino nao desculpa errado "
        "mas but instead kein keine"
    )
)
THINGS: Final = {
    Thing.RUN: ("run", "jog", "lauf", "course", "sortie", "carrera", "corrid", "entry", "eintrag", "log"),
    Thing.LIMIT: (
        "busy", "skip", "away", "trip", "holiday", "move", "moving", "vacation", "urlaub", "absag", "verschieb",
        "vacances", "deplac", "vacaciones", "viaje", "ferias", "viagem",
    ),
    Thing.SETTING: ("setting", "goal", "reminder", "einstell", "ziel", "reglage", "objectif", "ajuste", "objetivo"),
    Thing.ILLNESS: ("ill", "sick", "fever", "krank", "fieber", "malad", "fievre", "enferm", "fiebre", "doente"),
}  # fmt: skip
MOVED: Final = {
    Cue.RUN: Activity.RUN,
    Cue.WALK: Activity.WALK,
    Cue.BIKE: Activity.BIKE,
    Cue.SWIM: Activity.SWIM,
    Cue.ROW: Activity.ROW,
    Cue.HIKE: Activity.HIKE,
    Cue.ELLIPTICAL: Activity.ELLIPTICAL,
    Cue.STRENGTH: Activity.STRENGTH,
    Cue.MOBILITY: Activity.MOBILITY,
}
_SAYS_WHAT: Final = frozenset({Cue.DAY, Cue.WEEKDAY, Cue.NOT, Cue.LAST, *MOVED})
