"""The hour at which somebody wants to be written to: "text me at 7pm", "schreib mir lieber um acht"."""

from __future__ import annotations

import re
from datetime import time
from typing import Final

from nudgebot.domain.profile.sentences.nudge_words import LONGEST
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.word_files import patterns

P = patterns("messages")
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
