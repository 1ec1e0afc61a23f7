"""What each line changed in the book, so that it can be taken back: the journal's entries, and their parts as text.

A part is one field of the book, with its values before and after the line. Of what the book holds many of, only the
values of dates that differ are in it. Values are written by their fields, so a new value needs no word here.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime, time
from enum import StrEnum
from functools import cache, lru_cache
from operator import attrgetter
from types import NoneType, UnionType
from typing import Any, Final, TypeAlias, Union, cast, get_args, get_origin, get_type_hints

Conversion: TypeAlias = Callable[[Any], Any]


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
    kind: Any = type(value)
    found: date | datetime = _date_in(kind)(value)
    return found


@cache
def _date_in(kind: type) -> Conversion:
    names = {part.name for part in fields(kind)}
    return attrgetter(next(name for name in _DATED if name in names))


def written(parts: tuple[Part, ...]) -> str:
    """The parts as text."""
    return _ENCODER.encode([[part.field, part.before, part.after] for part in parts])


@lru_cache(maxsize=256)
def parts_of(change: Change, book: type) -> tuple[Part, ...] | None:
    """The parts of a change to a value of the class `book`; None if an earlier version wrote what no longer is.

    Of the intake the answers that differ, as pairs of question and canonical text.
    """
    readers = _readers(book)
    try:
        return tuple(
            Part(name, readers[name](before), readers[name](after)) for name, before, after in json.loads(change.parts)
        )
    except (LookupError, TypeError, ValueError):
        return None


@cache
def _readers(book: type) -> dict[str, Conversion]:
    hints = get_type_hints(book) | {"intake": tuple[tuple[str, str], ...]}
    return {part.name: _reader(hints[part.name]) for part in fields(book)}


_DATED: Final = ("day", "start", "at", "first")


def _plain(value: Any) -> Any:
    """What JSON has no word for: a dataclass as its name and its fields in order, a day or a time in ISO 8601."""
    kind: Any = type(value)
    return value.isoformat() if issubclass(kind, date | time) else (kind.__name__, *_fields_of(kind)(value))


_ENCODER: Final = json.JSONEncoder(separators=(",", ":"), default=_plain)


# How a type is written and read is found out once: that takes longer than all else here.
@cache
def _fields_of(kind: type) -> Callable[[Any], tuple[Any, ...]]:
    names = [part.name for part in fields(kind)]
    return attrgetter(*names) if len(names) > 1 else lambda value: tuple(getattr(value, name) for name in names)


@cache
def _reader(hint: Any) -> Conversion:
    """How a value of a type is made of what JSON has: it raises ValueError, TypeError or LookupError for none."""
    kinds = [kind for kind in get_args(hint) if kind is not NoneType]
    if get_origin(hint) in {Union, UnionType}:
        by_name = {getattr(kind, "__name__", ""): _reader(kind) for kind in kinds}
        only = _reader(kinds[0]) if len(kinds) == 1 else lambda plain: by_name[plain[0]](plain)
        return lambda plain: None if plain is None else only(plain)
    if get_origin(hint) is tuple and len(kinds) == 2 and kinds[1] is Ellipsis:
        each_as = _reader(kinds[0])
        return lambda plain: tuple(map(each_as, plain))
    if get_origin(hint) is tuple:
        readers = [_reader(kind) for kind in kinds]
        return lambda plain: tuple(read(each) for read, each in zip(readers, plain, strict=True))
    if isinstance(hint, type) and is_dataclass(hint):
        return _reader_of_fields(hint)
    if hint in {date, datetime, time}:
        return cast("Conversion", hint.fromisoformat)
    return cast("Conversion", hint) if issubclass(hint, StrEnum) else lambda value: value


def _reader_of_fields(kind: type) -> Conversion:
    hints = get_type_hints(kind)
    readers = [_reader(hints[part.name]) for part in fields(kind)]

    def read(plain: Any) -> Any:
        name, *values = plain
        if name != kind.__name__:
            raise ValueError(name)
        return kind(*(read_field(each) for read_field, each in zip(readers, values, strict=True)))

    return read
