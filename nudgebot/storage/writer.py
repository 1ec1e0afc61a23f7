"""One connection for many transactions, one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine

from nudgebot.storage.database import is_to_be_wiped


class Writer:
    """Keeps its connection from one transaction to the next.

    To take one out of the pool and put it back costs three times what it does to begin and end a transaction. It is put
    back where something failed, so that a lost one is not used again, and where somebody's rows were erased, since
    the log is emptied then.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._conn: Connection | None = None

    @contextmanager
    def begin(self) -> Iterator[Connection]:
        """A transaction, committed at the end of the block, undone where it raises."""
        conn = self._conn = self._conn or self.engine.connect()
        try:
            with conn.begin():
                yield conn
        except BaseException:
            self.close()
            raise
        if is_to_be_wiped(conn):
            self.close()

    def close(self) -> None:
        """Puts the connection back."""
        conn, self._conn = self._conn, None
        if conn is not None:
            conn.close()

    def __enter__(self) -> Writer:
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()
