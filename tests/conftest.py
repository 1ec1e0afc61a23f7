"""What holds for every test."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings
from sqlalchemy import Connection, Engine, event

from tests.memory import give_back

# The same examples on every run and every machine, however slow it is just now. The fuzz commands draw new ones.
settings.register_profile(
    "suite", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None
)
settings.load_profile("suite")

# What is imported stays: to look through it again and again is time lost.
gc.set_threshold(50_000)

_opened: set[Engine] = set()


@event.listens_for(Engine, "engine_connect")
def _remember(conn: Connection) -> None:
    _opened.add(conn.engine)


@pytest.fixture(autouse=True)
def _databases_are_closed() -> Iterator[None]:
    """Closes what a test opened: from Python 3.13 on a connection that is merely forgotten is a warning."""
    yield
    give_back()
    while _opened:
        _opened.pop().dispose()
