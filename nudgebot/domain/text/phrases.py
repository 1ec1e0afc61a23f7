"""Lines with one meaning, word for word: what our buttons say, typed. Each is parsed into the button's own action."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
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

_OF_A_DAY: Final[Mapping[str, Callable[[date | None], Action]]] = {
    "did it": Did,
    "done": Did,
    "i did it": Did,
    "yes did it": Did,
    "yes, did it": Did,
    "all done": Did,
    "shorter": DidLess,
    "a bit shorter": DidLess,
    "not this week": LetGo,
    "let it go": LetGo,
    "in place of my run": InPlaceOfRun,
    "instead of my run": InPlaceOfRun,
    "skip": Skip,
    "tomorrow": PutOff,
}
_DATED: Final = re.compile(r"(?P<what>.+?)(?:,? (?:on |of )?(?P<day>\d{4}-\d{2}-\d{2}))?[ .!]*", re.DOTALL)
_MOVE: Final = re.compile(r"move (\d{4}-\d{2}-\d{2}) to (\d{4}-\d{2}-\d{2})", re.IGNORECASE)
_LATER: Final[Mapping[str, Later]] = {
    "later": Later.TWO_HOURS,
    "snooze": Later.HALF_HOUR,
    "snooze 30 min": Later.HALF_HOUR,
    "in 30 min": Later.HALF_HOUR,
    "snooze 2 h": Later.TWO_HOURS,
    "in 2 h": Later.TWO_HOURS,
    "in 2 hours": Later.TWO_HOURS,
    "snooze this evening": Later.THIS_EVENING,
    "this evening": Later.THIS_EVENING,
    "remind me this evening": Later.THIS_EVENING,
    "snooze tomorrow": Later.TOMORROW,
    "remind me tomorrow": Later.TOMORROW,
}
_FEELINGS: Final[Mapping[str, Feeling]] = {
    "better": Feeling.BETTER,
    "much better": Feeling.BETTER,
    "same": Feeling.SAME,
    "the same": Feeling.SAME,
    "worse": Feeling.WORSE,
}
LONGEST: Final = 60  # characters; a longer line is none of these


def action_in(text: str) -> Action | None:
    """The action that a line says word for word; a date may follow where it is about a day. None for any other line."""
    line = text.strip()
    if len(line) > LONGEST:
        return None
    later = _LATER.get(line.casefold().strip(" .!"))
    if later is not None:
        return Remind(later)
    try:
        if (moving := _MOVE.fullmatch(line)) is not None:
            return Move(date.fromisoformat(moving[1]), date.fromisoformat(moving[2]))
        found = _DATED.fullmatch(line)
        action = _OF_A_DAY.get(found["what"].casefold()) if found else None
        if found is None or action is None:
            return None
        return action(date.fromisoformat(found["day"]) if found["day"] else None)
    except ValueError:  # a day that no calendar has
        return None


def feeling_in(text: str) -> Feeling | None:
    """How a line says one feels, in a word or two; None for any other line."""
    return _FEELINGS.get(text.strip(" .!").casefold())
