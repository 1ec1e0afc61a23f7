"""A line that takes something back or corrects it: what it is about, and what is right, in any order of the words.

"Delete Monday", "the 50 on Monday was a mistake", "not 50, 35", "that was Tuesday", "it was a bike ride", "lösch die 30
von gestern". Which entry fits is found elsewhere: here is only what the line says of it. One number alone may be the
wrong one or the right one, so it stays open where its place does not tell.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine, line_of
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import amounts
from nudgebot.domain.text.log_lines.attribution import own_amounts
from nudgebot.domain.text.log_lines.days import days
from nudgebot.domain.text.log_lines.units import Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("taking_back")
MINUTES: Final = range(1, 601)  # of one entry
_SAYS_WHAT: Final = frozenset({Cue.DAY, Cue.WEEKDAY, Cue.NOT, Cue.LAST, *ACTIVITIES})
_DELETING_ONLY: Final = tuple(W.deleting_only)
_DELETING: Final = (*W.deleting, *_DELETING_ONLY)


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
    right. `everything` says that all that is kept of the runner should go.
    """

    days: frozenset[date] = frozenset()
    old: int | None = None
    number: int | None = None
    new: int | None = None
    new_day: date | None = None
    activity: Activity | None = None
    thing: Thing | None = None
    everything: bool = False

    @property
    def amends(self) -> bool:
        """Whether the line says what is right."""
        return self.new is not None or self.new_day is not None or self.activity is not None


def correction_in(text: str, today: date) -> Correction:
    """What a line that takes back or corrects, written on `today`, says; nothing where it only says so."""
    line = line_of(text)
    found = [
        amount
        for amount in amounts(line)
        if amount.sort in {Sort.DURATION, Sort.BARE}
        and int(amount.value) in MINUTES
        and not (amount.value == 1 and (line.tokens[amount.first].spoken or amount.sort is Sort.BARE))
    ]
    deletes = any(word.startswith(_DELETING) for word in line.texts)
    old, new, number = _minutes(line, found, deletes=deletes)
    about, right = _days(line, found, today, moves=not deletes and not found)
    if deletes and not found and not about and not W.everything.isdisjoint(line.texts):
        return Correction(everything=True)
    activity = None if deletes or (found and number is None) else _activity(line)
    if activity is not None and number is not None:
        old, number = number, None  # "the 21 was a walk"
    things = (thing for word in line.texts for thing, starts in _THINGS.items() if word.startswith(starts))
    return Correction(about, old, number, new, right, activity, next(things, None))


_THINGS: Final = {
    Thing.RUN: tuple(W.run), Thing.LIMIT: tuple(W.limit), Thing.SETTING: tuple(W.setting),
    Thing.ILLNESS: tuple(W.illness),
}  # fmt: skip


def says_what_it_was(text: str) -> bool:
    """Whether a line is about the entry before it, and nothing else: "no, that was on Tuesday", "das war gestern"."""
    line = line_of(text)
    tells = day = False
    for place, token in enumerate(line.tokens):
        if token.kind is not Kind.WORD and not token.spoken:
            if token.kind is not Kind.MARK or token.text == "?":
                return False
            continue
        cues = line.cues(place) | line.own(place)
        day |= bool(cues & {Cue.DAY, Cue.WEEKDAY, *ACTIVITIES})
        if token.text in W.was:
            tells |= place == 0 or line.texts[place - 1] in W.that or token.text in W.was_alone
        elif not (token.text in _SMALL or cues & _SAYS_WHAT):
            return False
    return tells and day


def says_how_long_it_was(text: str) -> bool:
    """Whether a line gives the minutes of what was told, and nothing else: "das waren 38", "was 38 mins"."""
    line = line_of(text)
    if W.was.isdisjoint(line.texts) or "?" in line.texts:
        return False
    numbers = [place for place, token in enumerate(line.tokens) if token.kind is Kind.NUMBER or token.spoken]
    small = _SMALL | W.minute_words
    said = {line.texts[n] for n, token in enumerate(line.tokens) if token.kind is Kind.WORD and n not in numbers}
    beside = {Cue.DAY, Cue.WEEKDAY, Cue.SOFT, Cue.FILLER, Cue.LIMIT}
    small |= {word for n, word in enumerate(line.texts) if (line.cues(n) | line.own(n)) & beside}
    return len(numbers) == 1 and said <= small | W.was


def says_other_minutes(text: str) -> bool:
    """Whether a line is a pair of minutes and a word between them, and nothing else: "35 statt 40"."""
    said = _said(line_of(text))
    return not W.instead.isdisjoint(said) and all(word in _SMALL | W.instead | W.minute_words for word in said)


def deletes_an_entry(text: str) -> bool:
    """Whether a line says to delete a run, a day or minutes, and nothing else: "lösch Montag", "apaga a de ontem"."""
    line = line_of(text)
    said = line.words
    if not said or not line.texts[said[0]].startswith(_DELETING_ONLY):
        return False
    return all(
        line.texts[place] in _SMALL
        or line.texts[place].startswith(_THINGS[Thing.RUN])
        or (line.cues(place) | line.own(place)) & {*_SAYS_WHAT, Cue.MINUTE}
        for place in said[1:]
    )


_SMALL: Final = W.small | W.small_before | W.that


def _said(line: ParsedLine) -> list[str]:
    return [line.texts[place] for place in line.words]


def _minutes(line: ParsedLine, found: list[Amount], *, deletes: bool) -> tuple[int | None, int | None, int | None]:
    """The wrong minutes, the right ones, and the one number that may be either."""
    wrong = [int(amount.value) for amount in found if _denied(line, amount.first)]
    right = [int(amount.value) for amount in found if not _denied(line, amount.first)]
    if wrong and len(found) == 1 and found[0].first == 1 and line.texts[0] in W.no:
        return None, wrong[0], None  # "no 40"
    if wrong:
        return wrong[0], right[0] if right else None, None
    if len(right) != 1:
        return (right[0], right[1], None) if right else (None, None, None)
    first, last = found[0].first, found[0].last
    if first and (line.texts[first - 1] in W.was | W.make or Cue.MAKE_THAT in line.cues(first - 1)):
        return None, right[0], None
    mistaken = any(
        Cue.UNDO in line.cues(place) and not line.texts[place].startswith(_DELETING)
        for place in range(last, len(line.tokens))
    )
    deleted = deletes and first > 0 and line.tokens[first - 1].kind is not Kind.MARK  # "delete that, 40" is right
    return (right[0], None, None) if mistaken or deleted else (None, None, right[0])


def _before(place: int, small: Callable[[int], bool]) -> int:
    """The place before `place` and the small words there; -1 where the line begins."""
    before = place - 1
    while before >= 0 and small(before):
        before -= 1
    return before


def _denied(line: ParsedLine, place: int) -> bool:
    """Whether "not", "instead of" or the like stands right before `place`, or before the verb there."""
    small = W.was | W.small_before
    before = _before(place, lambda at: line.texts[at] in small and not _denies(line, at))
    return before >= 0 and _denies(line, before)


def _denies(line: ParsedLine, place: int) -> bool:
    word = line.texts[place]
    return word in W.instead or (Cue.NOT in line.own(place) and line.denies(place) and word not in {"nope", "nein"})


def _days(line: ParsedLine, found: list[Amount], today: date, *, moves: bool) -> tuple[frozenset[date], date | None]:
    """The days that the line may be about, and the one that is right."""
    named = [
        day
        for day in days(line, own_amounts(line, amounts(line)), today)
        if not any(amount.first < day.last and day.first < amount.last for amount in found)
    ]
    about: set[date] = set()
    right: list[date] = []
    moves = moves and (any(_denied(line, day.first) for day in named) or not W.wrong_day.isdisjoint(line.texts))
    for day in named:
        is_right = (moves or _after_was(line, day.first)) and not _denied(line, day.first)
        if is_right and day.gone and max(day.gone) <= today:
            right.append(max(day.gone))
        else:
            about |= {*day.gone, *day.coming}
    return frozenset(about), right[0] if right else None


def _after_was(line: ParsedLine, place: int) -> bool:
    before = _before(place, lambda at: line.texts[at] in W.small_before)
    return before >= 0 and line.texts[before] in W.was


def _activity(line: ParsedLine) -> Activity | None:
    """What was done instead of what was counted."""
    ran = False
    for place, cues in enumerate(line.hints):
        named = [cue for cue in ACTIVITIES if cue in cues and Cue.SKIP not in cues and not _denied(line, place)]
        mark = line.marks[place]
        told = _after_was(line, place)
        if named and named[0] is not Cue.RUN and (told or (mark is not None and _after_was(line, mark.first))):
            return Activity(named[0].value)
        ran |= bool(named) and told
    return Activity.RUN if ran else None
