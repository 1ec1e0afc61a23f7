"""What a runner says about the messages they get, read: "no mornings", "fewer messages", "quiet until Friday".

A line is about messages where it names them, or is nothing but a part of the day that is wanted or not. A line
is read by the ideas it holds, in whatever order (`words/messages.txt`).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.model.nudge_wish import AS_USUAL, DayPart, NudgeAmount, NudgeWish, wish_of
from nudgebot.domain.profile.sentences.weekday_words import weekdays_in
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_pause
from nudgebot.domain.text.word_files import patterns

P = patterns("messages")
SHORT: Final = 7  # words; in a longer one "quiet" says how a week is
LONGEST: Final = 16  # words; a longer line tells of more than messages


def wish_in(text: str, today: date, held: NudgeWish | None) -> NudgeWish | None:
    """What the runner wants to get from now on, with what they asked for before; None if the line says no such."""
    line = squeezed(text.replace("’", "'"))
    if len(line.split()) > LONGEST:
        return None
    before = held or AS_USUAL
    terse = _part_alone(line)
    if terse is not None:
        return replace(before, part=terse)
    if P.eve.search(line) and (P.messages.search(line) or P.only.search(line) or len(line.split()) <= 4):
        return replace(before, eve=True)
    span = read_pause(text, today)
    if P.peace.search(line) and span and not P.running.search(line) and len(line.split()) <= SHORT:
        return replace(before, silent_to=span[-1])
    if P.messages.search(line) is None and not (P.weekly.search(line) and P.only.search(line)):
        return None
    return _about_messages(line, span, before)


def _about_messages(line: str, span: tuple[date, ...], before: NudgeWish) -> NudgeWish | None:
    """The wish of a line that names the messages."""
    days, denied = weekdays_in(line), P.denied.search(line)
    if P.usual.search(line) and not denied:
        return AS_USUAL
    if days and denied and P.until.search(line) is None:
        return replace(before, without=tuple(sorted({*before.without, *days})))
    if P.weekly.search(line):
        return replace(before, amount=NudgeAmount.WEEKLY)
    if (part := _part(line, denied=denied is not None)) is not None:
        return replace(before, part=part)
    if span and denied:
        return replace(before, silent_to=span[-1])
    if P.fewer.search(line) or (denied and P.nagging.search(line)):
        return replace(before, amount=NudgeAmount.FEWER)
    return None


def _part(line: str, *, denied: bool) -> DayPart | None:
    """The half of the day that is wanted: the one named, or the other where it is turned down."""
    morning, evening = P.morning.search(line), P.evening.search(line)
    if (morning is None) == (evening is None) or not (denied or P.only.search(line)):
        return None
    return DayPart.MORNINGS if (morning is not None) != denied else DayPart.EVENINGS


def _part_alone(line: str) -> DayPart | None:
    """As `_part`, of a line that says nothing else: "no mornings please", "evenings only"."""
    rest = P.filler.sub(" ", line)
    for idea in (P.denied, P.only, P.morning, P.evening):
        rest = idea.sub(" ", rest)
    plural = P.only.search(line) or P.plural_part.search(line)
    return None if rest.strip() or plural is None else _part(line, denied=P.denied.search(line) is not None)


def read_wish(text: str) -> str | None:
    """The canonical text of a wish, or of words for one that need no calendar; None for anything else."""
    line = squeezed(text).strip(" .!")
    if (wish := wish_of(line)) is not None:
        return wish.text
    spoken = wish_in(line if P.messages.search(line) else f"messages {line}", date.min + timedelta(days=7), None)
    return None if spoken is None or spoken.silent_to else spoken.text
