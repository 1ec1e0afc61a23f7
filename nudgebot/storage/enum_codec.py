"""Words of the trade as they are stored: by value, and read so that an unknown one never costs a row."""

from __future__ import annotations

import logging
from enum import StrEnum
from typing import TypeVar

E = TypeVar("E", bound=StrEnum)

_log = logging.getLogger(__name__)


def word(kind: type[E], value: str, runner_id: int) -> E | None:
    """The member of `kind` stored as `value`; None, with the runner's number logged, where there is none.

    A word goes missing when a later version renames it: the row then stays as it is on the disk.
    """
    try:
        return kind(value)
    except ValueError:
        _log.warning("runner %d: a stored %s cannot be read", runner_id, kind.__name__)
        return None
