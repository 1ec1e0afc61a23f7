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
    **dict.fromkeys(
        ("besser", "mejor", "mieux", "melhor", "viel besser", "mucho mejor", "muito melhor"), Feeling.BETTER
    ),
    **dict.fromkeys(("a bit worse", "schlechter", "schlimmer", "peor", "pire", "pior"), Feeling.WORSE),
    **dict.fromkeys(
        (
            *("still the same", "no change", "unchanged", "not great", "not good", "meh", "so so", "still rough"),
            *("still ill", "still sick", "still poorly", "not yet", "not really", "no better", "not better"),
            *("gleich", "unverändert", "geht so", "noch krank", "immer noch krank", "noch nicht", "nicht besser"),
            *("igual", "lo mismo", "sigo igual", "sigo mal", "todavía mal", "no mejor", "pareil", "toujours malade"),
            *("pas mieux", "pas terrible", "bof", "na mesma", "ainda doente", "ainda mal"),
        ),
        Feeling.SAME,
    ),
}
# "snooze 1 hr", "remind me in half an hour": a time until a message comes again, and no run.
_AGAIN: Final = re.compile(
    r"(?:please |bitte |por favor )?(?:snooze(?: it)?|(?:can you )?(?:remind|ask|ping) me(?: again)?|"
    r"erinner\w* mich(?: bitte)?(?: noch ?mal)?|recu[eé]rdame(?:lo)?|av[ií]same|rappelle[- ]moi|lembra[- ]me|"
    r"me lembr[ae])"
    r" (?:for |in |um |en |dans |em |daqui a |dentro de |por )?"
    r"(?P<half>half an |(?:einer )?halbe[nr]? |media |une demi[- ]|meia )?"
    r"(?P<number>\d{1,3}|an?|one|eine[rm]?|una|une|uma)?"
    r" ?(?P<unit>m|min(?:ute|uto)?[ns]?|h|hrs?|hours?|std|stunden?|horas?|heures?)(?: again)?",
    re.IGNORECASE,
)
# How long is asked for (min, at most) and what comes nearest.
_NEAREST: Final = ((45, Later.HALF_HOUR), (90, Later.ONE_HOUR), (240, Later.TWO_HOURS), (900, Later.THIS_EVENING))
LONGEST: Final = 60  # characters; a longer line is none of these


def action_in(text: str) -> Action | None:
    """The action that a line says word for word; a date may follow where it is about a day. None for any other line."""
    line = text.strip()
    if len(line) > LONGEST:
        return None
    later = _LATER.get(line.casefold().strip(" .!")) or _later_in(line.strip(" .!"))
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


def _later_in(line: str) -> Later | None:
    """When a message is to come again by a line that names how long; None for any other."""
    found = _AGAIN.fullmatch(line)
    if found is None or not (found["half"] or found["number"]):
        return None
    number = int(found["number"]) if (found["number"] or "").isdecimal() else 1
    minutes = number if found["unit"].casefold().startswith("m") else number * 60
    minutes = 30 if found["half"] else minutes
    return next((later for most, later in _NEAREST if minutes <= most), None)


def feeling_in(text: str) -> Feeling | None:
    """How a line says one feels, in a word or two; None for any other line."""
    return _FEELINGS.get(text.strip(" .!").casefold())
