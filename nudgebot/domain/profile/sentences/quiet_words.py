"""Quiet hours told as a bound of messages, read in the five languages: "no messages before 9", "nach 20 Uhr nicht"."""

from __future__ import annotations

import re
from datetime import time
from typing import Final

from nudgebot.domain.model.intake import Quiet
from nudgebot.domain.profile.answer_readers import clock_in
from nudgebot.domain.profile.sentences.nudge_words import LONGEST
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.word_files import patterns

P = patterns("messages")
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
