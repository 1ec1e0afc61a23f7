"""What a runner says about the messages they get, read: "fewer messages", "nothing before 9", "text me at 7pm".

A line is about messages where it names them, or is nothing but a part of the day that is wanted or not. A line
is read by the ideas it holds, in whatever order (`words/messages.txt`).
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, time, timedelta
from typing import Final

from nudgebot.domain.model.intake import Quiet
from nudgebot.domain.model.nudged import AS_USUAL, DayPart, NudgeAmount, NudgeWish, wish_of
from nudgebot.domain.profile.answer_readers import clock_in
from nudgebot.domain.profile.sentences.repeat_words import weekdays_in
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
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


BEFORE: Final = r"(?:before|earlier than|vor|fruher als|avant|antes d[ae]s?(?: las?)?)"
AFTER: Final = r"(?:after|past|later than|nach|spater als|apres|despues de(?: las?)?|depois d[ae]s?)"
_AT: Final = r"(\d{1,2}(?:[:.h]\d{2})?(?: ?(?:am|pm|h|uhr))?|noon|midday)(?![a-z0-9])"
# "Don't write so early, rather at 9"
_EARLY: Final = (
    r"(?:early|temprano|fruh|tot|cedo)\b.*\b"
    rf"(?:at|from|until|till|around|um|ab|bis|gegen|a las?|as|a|vers|pas avant|des) ?{_AT}"
)
MORNINGS_END, EVENINGS_BEGIN = time(12), time(15)  # a bound of messages between the two is none (house)


def quiet_in(text: str, held: Quiet) -> Quiet | None:
    """The quiet hours, now `held`, by a line such as "no messages before 9"; None for any other line.

    An hour without its half of the day is one of the morning behind "before", of the evening behind "after".
    """
    line = squeezed(text.replace("’", "'"))
    if P.messages.search(line) is None or P.denied.search(line) is None or len(line.split()) > LONGEST:
        return None
    for bound, evening in ((rf"{BEFORE} {_AT}", False), (rf"{AFTER} {_AT}", True), (_EARLY, False)):
        found = re.search(rf"\b{bound}", line)
        wall = clock_in(found[1]) if found else None
        if wall is None:
            continue
        if evening and wall < MORNINGS_END:
            wall = wall.replace(hour=wall.hour + 12)
        if (wall >= EVENINGS_BEGIN) if evening else (wall <= MORNINGS_END):
            quiet = Quiet(wall, held.last) if evening else Quiet(held.first, wall)
            return None if quiet.first == quiet.last else quiet
    return None


_BEFORE: Final = r"(?:at|around|about|by|from|until|till|for|um|gegen|ab|bis|a las?|sobre las?|as|pelas|a|vers|des)"
_UNIT: Final = r"(?P<unit>a\.?m|p\.?m|uhr|h|heures?|horas?|o'clock)?"
_DIGITS: Final = r"(?P<hour>\d{1,2})(?:[:.h](?P<minute>\d{2}))?"
# A time with its minutes or its unit is one wherever it stands; a bare hour, or one in words, behind a small word.
_EXACT: Final = re.compile(rf"\b{_DIGITS} ?{_UNIT}(?![a-z0-9:%])")
_BARE: Final = re.compile(rf"\b{_BEFORE} (?P<hour>\d{{1,2}}|[a-z]{{2,7}})\b")


def reminder_in(text: str, held: time) -> time | None:
    """The one hour named in a line about messages that is not the one `held`; None for any other line.

    An hour up to eleven is one of the evening where the line names the evening and no morning. Which reminder it is
    for, and whether at all, is asked before anything changes.
    """
    line = squeezed(text.replace("’", "'"))
    if P.messages.search(line) is None or len(line.split()) > LONGEST:
        return None
    evening = P.evening.search(line) is not None and P.morning.search(line) is None
    named = {wall for wall in (*_exact(line, evening=evening), *_bare(line, evening=evening)) if wall != held}
    return named.pop() if len(named) == 1 else None


def _exact(line: str, *, evening: bool) -> list[time]:
    found = (each for each in _EXACT.finditer(line) if each["minute"] or each["unit"])
    walls = (_wall(int(each["hour"]), int(each["minute"] or 0), each["unit"] or "", evening) for each in found)
    return [wall for wall in walls if wall is not None]


def _bare(line: str, *, evening: bool) -> list[time]:
    rest = _EXACT.sub(lambda each: " " if each["minute"] or each["unit"] else each[0], line)
    numbers = said_in_any("numbers")
    hours = (
        int(each["hour"]) if each["hour"].isdigit() else numbers.get(each["hour"]) for each in _BARE.finditer(rest)
    )
    return [wall for hour in hours if hour and (wall := _wall(hour, 0, "", evening)) is not None]


def _wall(hour: int, minute: int, unit: str, evening: bool) -> time | None:
    """The time on the wall; None for an hour or a minute that no clock has."""
    half_day = unit[:1] in {"a", "p"} and unit != ""
    if hour > (12 if half_day else 23) or minute > 59 or (half_day and not hour):
        return None
    if half_day:
        hour = hour % 12 + (12 if unit[0] == "p" else 0)
    elif evening and hour < 12:
        hour += 12
    return time(hour, minute)
