"""What holds for every test."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings
from sqlalchemy import Connection, Engine, event

from tests import postgres
from tests.memory import give_back, in_memory, use

# The same examples on every run and every machine, however slow it is just now. The fuzz commands draw new ones.
settings.register_profile(
    "suite", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None
)
settings.load_profile("suite")

# What is imported stays: to look through it again and again is time lost.
gc.set_threshold(50_000)

KIND = "kind_of_database"

_opened: set[Engine] = set()


@event.listens_for(Engine, "engine_connect")
def _remember(conn: Connection) -> None:
    _opened.add(conn.engine)


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "sqlite_only: left out of both_engines, for what only a file can be")
    config.addinivalue_line("markers", "both_engines: runs with a database of SQLite's, then with one of PostgreSQL's")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if metafunc.definition.get_closest_marker("both_engines"):
        metafunc.fixturenames.append(KIND)
        only = metafunc.definition.get_closest_marker("sqlite_only")
        metafunc.parametrize(KIND, ["sqlite"] if only else ["sqlite", "postgresql"])


@pytest.fixture(autouse=True, scope="session")
def _server_is_left_clean() -> Iterator[None]:
    yield
    postgres.end()


@pytest.fixture(autouse=True)
def _databases_are_closed(request: pytest.FixtureRequest) -> Iterator[None]:
    """Closes what a test opened: from Python 3.13 on a connection that is merely forgotten is a warning."""
    given = getattr(request.node, "callspec", None)
    use(given.params.get(KIND, "sqlite") if given else "sqlite")
    yield
    give_back()
    while _opened:
        _opened.pop().dispose()


@pytest.fixture
def conn() -> Iterator[Connection]:
    """A transaction on an empty database."""
    engine = in_memory()
    with engine.begin() as conn:
        yield conn
    engine.dispose()
