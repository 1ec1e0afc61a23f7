"""When the processes that tests start believe it is: a Wednesday noon, unless the rehearsal of days says otherwise.

A week review, a one-day first week or a lost hour at a change of summer time would else come or go with the day on which
the tests happen to run. `python -m tests.days` sets the variable.
"""

from __future__ import annotations

import os
from datetime import UTC, datetime

VARIABLE = "NUDGEBOT_TESTS_AT"
WEDNESDAY_NOON = "2027-03-10T12:00:00+00:00"


def begin() -> datetime:
    """The moment at which a process under test begins."""
    return datetime.fromisoformat(os.environ.get(VARIABLE, WEDNESDAY_NOON))


def seconds_ahead(of: datetime | None = None) -> float:
    """By how many seconds a clock that shows `begin()` at `of` (now) is ahead of the host's."""
    return (begin() - (of or datetime.now(UTC))).total_seconds()  # noqa: TID251 - the host's clock is what it is told against
