"""A world of its own for each test about several people."""

from __future__ import annotations

import pytest

from tests.company import World, world


@pytest.fixture
def people() -> World:
    return world()
