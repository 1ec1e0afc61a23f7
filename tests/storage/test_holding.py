"""Who has a database file for themselves, and what is noticed when the file goes away."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from nudgebot.storage.database import open_database
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.holding import hold, holder, refuse_if_gone, was_there


def url(path: Path) -> str:
    return f"sqlite:///{path}"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "n.db"
    open_database(url(path)).dispose()
    return path


def test_the_holder_is_known_as_long_as_it_holds(path: Path) -> None:
    assert holder(path) is None
    with hold(url(path), alone=True) as held:
        held.remember()
        assert holder(path) == (os.getpid(), True)
    assert holder(path) is None


@pytest.mark.parametrize("then", ["removed", "replaced", "emptied"])
def test_a_file_that_goes_away_is_no_longer_the_same(then: str, path: Path) -> None:
    with hold(url(path), alone=True) as held:
        held.remember()
        assert held.is_the_same()
        if then == "emptied":
            path.write_bytes(b"")
        else:
            path.rename(path.with_name("elsewhere.db"))
            if then == "replaced":
                open_database(url(path)).dispose()
        assert not held.is_the_same()
        assert holder(path) == (os.getpid(), False)


def test_a_start_that_finds_no_database_where_one_was_in_use_is_refused(path: Path) -> None:
    with hold(url(path), alone=True) as held:
        refuse_if_gone(held)
        held.remember()
    assert was_there(path)
    path.unlink()
    with hold(url(path), alone=True) as held, pytest.raises(StoreFault, match="was in use and is gone"):
        refuse_if_gone(held)
    assert not path.exists()
    (lock,) = path.parent.glob("*.lock")
    lock.unlink()  # what the line says
    with hold(url(path), alone=True) as held:
        refuse_if_gone(held)


def test_a_bot_whose_lock_file_is_gone_too_leaves_word_for_the_next_start(path: Path) -> None:
    with hold(url(path), alone=True) as held:
        held.remember()
        shutil.rmtree(path.parent)
        path.parent.mkdir()
        assert not was_there(path)
        held.leave_word()
    assert was_there(path)


def test_a_database_in_memory_is_always_the_same() -> None:
    with hold("sqlite://", alone=True) as held:
        held.remember()
        refuse_if_gone(held)
        assert held.is_the_same()


def test_an_engine_makes_no_new_file_where_the_one_it_opened_is_gone(path: Path) -> None:
    engine = open_database(url(path))
    engine.dispose()
    path.unlink()
    with pytest.raises(StoreFault, match="cannot open"), engine.connect():
        pass
    assert not path.exists()
