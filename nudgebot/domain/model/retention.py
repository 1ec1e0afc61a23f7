"""For how long things are kept, and what is said before they go. Pure: the store does the deleting.

The bounds are the house's own. The planner looks 140 days back, so less than six months would change plans.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

DEFAULT_MONTHS: Final = 24
MONTHS: Final = range(6, 121)
TOLD_BEFORE: Final = timedelta(days=30)  # nothing goes without a message so long before
WANTED: Final = re.compile(r"(\d{1,3})\s*(?:(months?|mo|m)|(years?|y))?", re.IGNORECASE)


class Notice(StrEnum):
    """What a runner is told before something goes."""

    OLD = "old"  # what is older than the months kept
    SILENT = "silent"  # everything, after as long a silence


def kept_since(now: datetime, months: int) -> datetime:
    """The moment before which nothing is kept; a month is a twelfth of 365 days."""
    return now - timedelta(days=months * 365 // 12)


def months_in(text: str) -> int | None:
    """ "18", "18 months" or "2 years" as months; None for anything else."""
    found = WANTED.fullmatch(text.strip(" ."))
    if found is None:
        return None
    return int(found[1]) * (12 if found[3] else 1)
