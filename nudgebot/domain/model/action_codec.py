"""Actions as short text and back: what travels in a button, and is kept beside a letter.

The form is a letter for the action and its fields, each behind a "|"; a "|" or "%" inside a field is written as %7C or
%25. `decode` is total: text of any other form, such as a button of an older version holds, is no action.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from functools import partial
from math import isfinite
from typing import Any, Final, NamedTuple, TypeVar

from nudgebot.domain.model import actions as a
from nudgebot.domain.model.actions import Action, Chosen

T = TypeVar("T")
MOST_DAYS: Final = 400  # of one answer; a longer pause is asked about again long before
MOST_MINUTES: Final = 1_440  # of one day


class Field(NamedTuple):
    """How a field is written and read; `read` raises ValueError for what it does not know."""

    write: Callable[[Any], str]
    read: Callable[[str], Any]


def _choice(text: str, values: Mapping[str, T]) -> T:
    if text not in values:
        raise ValueError(text)
    return values[text]


def _minutes(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and int(text[:6]) <= MOST_MINUTES and len(text) <= 6):
        raise ValueError(text)
    return int(text)


def _number(text: str) -> float:
    if not (text.isascii() and len(text) <= 24 and isfinite(value := float(text))):
        raise ValueError(text)
    return value


def _day(text: str) -> date:
    if len(text) != 10:
        raise ValueError(text)
    return date.fromisoformat(text)


def _moment(text: str) -> datetime:
    seconds, _, micros = text.partition(".")
    if not (seconds.isdecimal() and micros.isdecimal() and text.isascii() and len(seconds) <= 11 and len(micros) == 6):
        raise ValueError(text)
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=int(seconds), microseconds=int(micros))


def _write_days(days: tuple[date, ...]) -> str:
    """A first day and how many in a row, where they are in a row; else each of them."""
    if not days:
        return ""
    if days == tuple(days[0] + timedelta(days=n) for n in range(len(days))):
        return f"{days[0].isoformat()}+{len(days)}"
    return ",".join(day.isoformat() for day in days)


def _read_days(text: str) -> tuple[date, ...]:
    if not text:
        return ()
    first, plus, many = text.partition("+")
    if not plus:
        return tuple(_day(part) for part in text.split(","))
    if not (many.isascii() and many.isdecimal() and len(many) <= 3 and 1 <= int(many) <= MOST_DAYS):
        raise ValueError(text)
    start = _day(first)
    if (date.max - start).days < int(many):
        raise ValueError(text)
    return tuple(start + timedelta(days=n) for n in range(int(many)))


def _word(kind: type[StrEnum]) -> Field:
    return Field(str, partial(_choice, values={each.value: each for each in kind}))


TEXT: Final = Field(str, str)
SWITCH: Final = Field(lambda on: "1" if on else "0", partial(_choice, values={"0": False, "1": True}))
MINUTES: Final = Field(str, _minutes)
DAY: Final = Field(date.isoformat, _day)
MAYBE_DAY: Final = Field(lambda day: day.isoformat() if day else "", lambda text: _day(text) if text else None)
MAYBE_NUMBER: Final = Field(
    lambda value: "" if value is None else str(value), lambda text: _minutes(text) if text else None
)
NUMBER: Final = Field(lambda value: repr(float(value)), _number)
MOMENT: Final = Field(lambda at: f"{at.timestamp():.6f}", _moment)  # seconds since 1970, UTC
DAYS: Final = Field(_write_days, _read_days)

CHOSEN: Final[Mapping[str, tuple[type[Any], tuple[Field, ...]]]] = {
    "y": (a.Agreed, (SWITCH,)),
    "m": (a.ChosenMinutes, (MINUTES,)),
    "n": (a.ChosenNumber, (NUMBER,)),
    "d": (a.ChosenDays, (DAYS,)),
    "o": (a.ChosenOption, (_word(a.Option),)),
    "r": (a.ChosenReading, (MINUTES,)),
    "v": (a.ChosenValue, (TEXT,)),
}
ACTIONS: Final[Mapping[str, tuple[type[Any], tuple[Field, ...]]]] = {
    "r": (a.Reply, (TEXT, Field(lambda chosen: _encoded(chosen, CHOSEN), lambda text: _decoded(text, CHOSEN)))),
    "u": (a.Undo, (TEXT,)),
    "D": (a.Did, (MAYBE_DAY,)),
    "L": (a.DidLess, (MAYBE_DAY,)),
    "S": (a.DidShort, (MINUTES, DAY, SWITCH)),
    "i": (a.InPlaceOfRun, (MAYBE_DAY,)),
    "k": (a.Skip, (MAYBE_DAY,)),
    "g": (a.LetGo, (MAYBE_DAY,)),
    "m": (a.Move, (DAY, DAY)),
    "p": (a.PutOff, (MAYBE_DAY,)),
    "l": (a.LimitDay, (DAY, MINUTES)),
    "z": (a.Remind, (_word(a.Later),)),
    "b": (a.Resume, ()),
    "q": (a.FallSilent, ()),
    "f": (a.Feel, (_word(a.Feeling),)),
    "x": (a.Misread, (MOMENT,)),
    "n": (a.NumberWas, (MOMENT, SWITCH)),
    "c": (a.ChangeSetting, (TEXT,)),
    "t": (a.SetTo, (TEXT, TEXT)),
    "o": (a.Open, (_word(a.Page),)),
    "G": (a.ShowSheet, (MAYBE_NUMBER,)),
    "s": (a.SetShare, (TEXT, SWITCH)),
    "d": (a.Decline, (TEXT, MAYBE_NUMBER, SWITCH)),
    "v": (a.LeaveGroup, ()),
}
_LETTERS: Final = {kind: letter for table in (CHOSEN, ACTIONS) for letter, (kind, _) in table.items()}


def encode(action: Action) -> str:
    """`action` as text; `decode` gives it back."""
    return _encoded(action, ACTIONS)


def decode(text: str) -> Action | None:
    """The action that `text` stands for, None if it stands for none."""
    try:
        found: Action = _decoded(text, ACTIONS)
    except ValueError:
        return None
    return found


def _encoded(value: Action | Chosen, table: Mapping[str, tuple[type[Any], tuple[Field, ...]]]) -> str:
    letter = _LETTERS[type(value)]
    parts = (
        field.write(getattr(value, named.name)) for named, field in zip(fields(value), table[letter][1], strict=True)
    )
    return "|".join((letter, *(part.replace("%", "%25").replace("|", "%7C") for part in parts)))


def _decoded(text: str, table: Mapping[str, tuple[type[Any], tuple[Field, ...]]]) -> Any:
    letter, *parts = text.split("|")
    kind, wanted = _choice(letter, table)
    if len(parts) != len(wanted):
        raise ValueError(text)
    told = (part.replace("%7C", "|").replace("%25", "%") for part in parts)
    return kind(*(field.read(each) for field, each in zip(wanted, told, strict=True)))
