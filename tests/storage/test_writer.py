"""One connection for many transactions: what is kept, what is undone, and when it is put back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, Engine, func, select

from nudgebot.storage import inbox, schema
from nudgebot.storage.database import open_database, wipe_after
from nudgebot.storage.statement import Writer
from tests.storage.examples import NOW


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_database(f"sqlite:///{tmp_path / 'bot.db'}")
    yield engine
    engine.dispose()


def heard(engine: Engine) -> int:
    with engine.begin() as conn:
        return conn.scalar(select(func.count()).select_from(schema.heard)) or 0


def test_each_transaction_is_committed_as_its_block_ends_on_one_connection(engine: Engine) -> None:
    with Writer(engine) as writer:
        with writer.begin() as first:
            assert inbox.accept(first, "a", NOW)
        assert heard(engine) == 1
        with writer.begin() as second:
            assert inbox.accept(second, "b", NOW)
        assert first is second
        assert heard(engine) == 2


def test_what_raises_is_undone_and_the_next_transaction_has_another_connection(engine: Engine) -> None:
    used: list[Connection] = []

    def accept_and_fail(writer: Writer) -> None:
        with writer.begin() as conn:
            used.append(conn)
            assert inbox.accept(conn, "a", NOW)
            raise LookupError

    with Writer(engine) as writer:
        with pytest.raises(LookupError):
            accept_and_fail(writer)
        assert used[0].closed
        with writer.begin() as conn:
            assert inbox.accept(conn, "a", NOW)
    assert heard(engine) == 1


def test_the_log_is_empty_once_somebody_was_erased(engine: Engine, tmp_path: Path) -> None:
    log = tmp_path / "bot.db-wal"
    with Writer(engine) as writer:
        with writer.begin() as conn:
            inbox.accept(conn, "a", NOW)
        assert log.stat().st_size > 0
        with writer.begin() as conn:
            inbox.accept(conn, "b", NOW)
            wipe_after(conn)
        assert log.stat().st_size == 0
