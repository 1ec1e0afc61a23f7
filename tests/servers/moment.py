"""When it is for the processes that tests start, and for those who write to them: a Wednesday noon, unless told.

A week review, a one-day first week or a lost hour at a change of summer time would else come or go with the day on
which the tests happen to run. `python -m tests.days` sets the variable.
"""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta

VARIABLE = "NUDGEBOT_TESTS_AT"
WEDNESDAY_NOON = "2027-03-10T12:00:00+00:00"


def _host() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 - the host's clock is what the other is told against


def ahead_at(begin: str) -> timedelta:
    """By how much a clock that now shows `begin` is ahead of the host's."""
    return datetime.fromisoformat(begin) - _host()


# Taken once, so that the bot's clock and the dates of what is written to it agree; time runs on from there.
AHEAD = ahead_at(os.environ.get(VARIABLE, WEDNESDAY_NOON))


def now() -> datetime:
    """The moment (UTC) by the clock of the tests."""
    return _host() + AHEAD


def stamp() -> int:
    """The same as the platform writes it: whole seconds since 1970."""
    return int(now().timestamp())


def seconds_ahead() -> float:
    """By how many seconds the clock of the tests is ahead of the host's."""
    return AHEAD.total_seconds()
