"""Weekdays by name in the five languages, folded; and which of them a line means as days of every week."""

from __future__ import annotations

import re
from typing import Final

DAY_WORDS: Final = (
    ("monday", "montag", "lunes", "lundi", "segunda"),
    ("tuesday", "tues", "dienstag", "martes", "mardi", "terca"),
    ("wednesday", "weds", "mittwoch", "miercoles", "mercredi", "quarta"),
    ("thursday", "thurs", "donnerstag", "jueves", "jeudi", "quinta"),
    ("friday", "freitag", "viernes", "vendredi", "sexta"),
    ("saturday", "samstag", "sabado", "samedi"),
    ("sunday", "sonntag", "domingo", "dimanche"),
)
SHORT: Final = ("mon", "tue", "wed", "thu", "thur", "fri", "sat", "sun")
_OF_ALL: Final = "|".join(sorted((*(n for names in DAY_WORDS for n in names), *SHORT), key=len, reverse=True))
# A plural, or a day behind "every", "on", "am", "los", "le", "aos": in a line about every week it is that weekday.
_NAMED: Final = re.compile(rf"(?<![a-z])({_OF_ALL})(s|(?<=tag)en?|)(?![a-z])")
_WHOLE: Final = (
    (re.compile(r"\b(?:weekends?|wochenenden?|fines? de semana|week-?ends?|fins? de semana)\b"), (5, 6)),
    (re.compile(r"\b(?:weekdays|week days|work ?days|working days)\b"), (0, 1, 2, 3, 4)),
)


def weekdays_in(line: str) -> tuple[int, ...]:
    """The weekdays (0 = Monday) that a folded line names, in order of the week."""
    found = {day for pattern, days in _WHOLE if pattern.search(line) for day in days}
    found |= {_number(name) for name, _ in _NAMED.findall(line)}
    return tuple(sorted(found))


def is_plural(line: str) -> bool:
    """Whether a weekday stands there as one of every week: "Sundays", "every Tuesday", "sonntags", "los domingos"."""
    plural = any(last for _, last in _NAMED.findall(line))
    every = re.search(
        rf"\b(?:every|each|jeden|immer|cada|todos los|los|chaque|tous les|aos|todos os)\b.*?(?:{_OF_ALL})"
        rf"|\ble (?:{_OF_ALL})\b(?! \d)",
        line,
    )
    return plural or every is not None or _WHOLE[1][0].search(line) is not None


def _number(name: str) -> int:
    for day, names in enumerate(DAY_WORDS):
        if name in names or any(each.startswith(name) for each in names[:1]):
            return day
    raise ValueError(name)
