"""What each line changed in the book, so that it can be taken back: the journal's entries, and their parts as text.

A part is one field of the book, with its values before and after the line. Of what the book holds many of, only the
values of dates that differ are in it. Values are written by their fields, so a new value needs no word here.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime, time
from enum import StrEnum
from functools import cache, lru_cache
from types import NoneType, UnionType
from typing import Any, Final, Union, get_args, get_origin, get_type_hints


@dataclass(frozen=True, slots=True)
class Change:
    """What the line of `key`, said at `at`, changed. `parts` is text (`written`), read only where it is taken back.

    `restores` says that the line took something back itself: nothing but its own button undoes it.
    """

    key: str
    at: datetime
    parts: str
    restores: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One field of the book as it was before a line and after it; where it holds many values, those of some dates."""

    field: str
    before: Any
    after: Any


def date_of(value: Any) -> date | datetime:
    """The date by which a value stands among others of its kind."""
    found: date | datetime = next(getattr(value, name) for name in _DATED if hasattr(value, name))
    return found


def written(parts: tuple[Part, ...]) -> str:
    """The parts as text."""
    return json.dumps([[part.field, _plain(part.before), _plain(part.after)] for part in parts], separators=(",", ":"))


@lru_cache(maxsize=256)
def parts_of(change: Change, book: type) -> tuple[Part, ...] | None:
    """The parts of a change to a value of the class `book`; None if an earlier version wrote what no longer is.

    Of the intake the answers that differ, as pairs of question and canonical text.
    """
    hints = _hints(book) | {"intake": tuple[tuple[str, str], ...]}
    try:
        return tuple(
            Part(name, _value(hints[name], before), _value(hints[name], after))
            for name, before, after in json.loads(change.parts)
        )
    except (LookupError, TypeError, ValueError):
        return None


_DATED: Final = ("day", "start", "at", "first")


def _plain(value: Any) -> Any:
    """The value in what JSON has; a dataclass as its name and its fields in order."""
    match value:
        case StrEnum():
            return value.value
        case date() | time():
            return value.isoformat()
        case tuple():
            return [_plain(each) for each in value]
        case _ if is_dataclass(value):
            return [type(value).__name__, *(_plain(getattr(value, part.name)) for part in fields(value))]
        case _:
            return value


@cache
def _hints(kind: type) -> dict[str, Any]:
    """The types of a dataclass's fields; to find them out takes longer than all else here."""
    return get_type_hints(kind)


def _value(hint: Any, plain: Any) -> Any:
    """The value of a type from what JSON has; raises ValueError, TypeError or LookupError where it is none."""
    if get_origin(hint) in {Union, UnionType}:
        if plain is None:
            return None
        kinds = [kind for kind in get_args(hint) if kind is not NoneType]
        hint = kinds[0] if len(kinds) == 1 else {kind.__name__: kind for kind in kinds}[plain[0]]
    if get_origin(hint) is tuple:
        return _values(get_args(hint), plain)
    if is_dataclass(hint) and isinstance(hint, type):
        name, *values = plain
        parts, hints = fields(hint), _hints(hint)
        if name != hint.__name__ or len(values) != len(parts):
            raise ValueError(name)
        return hint(*(_value(hints[part.name], each) for part, each in zip(parts, values, strict=True)))
    if hint in {date, datetime, time}:
        return hint.fromisoformat(plain)
    return hint(plain) if issubclass(hint, StrEnum) else plain


def _values(kinds: tuple[Any, ...], plain: list[Any]) -> tuple[Any, ...]:
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_value(kinds[0], each) for each in plain)
    return tuple(_value(kind, each) for kind, each in zip(kinds, plain, strict=True))
