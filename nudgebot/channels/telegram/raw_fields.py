"""Fields of the platform's raw objects, read one by one: a server may omit what we do not need."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TypeAlias

from nudgebot.storage.inbox import storable

Raw: TypeAlias = Mapping[str, object]

NAME_LENGTH = 64  # the platform's own limit for a first name


class MalformedError(Exception):
    """A field is missing or of another type than published; never leaves this module."""


def object_in(of: Raw, name: str) -> Raw:
    """The object in a field; raises MalformedError for none."""
    found = of.get(name)
    if not isinstance(found, Mapping):
        raise MalformedError(name)
    return found


def optional_in(of: Raw, name: str) -> Raw:
    """The object in a field, an empty one for none."""
    found = of.get(name)
    return found if isinstance(found, Mapping) else {}


def int_in(of: Raw, name: str) -> int:
    """The whole number in a field; raises MalformedError for none."""
    found = of.get(name)
    if not isinstance(found, int) or isinstance(found, bool):
        raise MalformedError(name)
    return found


def number_in(of: Raw, name: str) -> float:
    """The number in a field; raises MalformedError for none."""
    found = of.get(name)
    if not isinstance(found, int | float) or isinstance(found, bool):
        raise MalformedError(name)
    return found


def text_in(of: Raw, name: str) -> str:
    """The text in a field, "" for none; raises MalformedError for anything else."""
    found = of.get(name, "")
    if not isinstance(found, str):
        raise MalformedError(name)
    return storable(found)


def moment_in(of: Raw, name: str, otherwise: datetime) -> datetime:
    """The Unix time in field `name` (s); `otherwise` where it is missing or no moment at all."""
    found = of.get(name)
    if not isinstance(found, int) or isinstance(found, bool) or found <= 0:
        return otherwise
    try:
        return datetime.fromtimestamp(found, UTC)
    except (OverflowError, ValueError, OSError):
        return otherwise


def name_in(of: Raw) -> str:
    """The name in a field, on one line and no longer than the platform's own limit."""
    found = of.get("first_name")
    return " ".join(storable(found).split())[:NAME_LENGTH] if isinstance(found, str) else ""
