"""The workers on one database, as one of them sees it: who leads, how many there are, and what time it is for all.

Time is the server's, carried on by this machine's steady clock: a worker whose own clock is an hour off would otherwise
take the others' letters for left over, and nudge an hour early.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Self

from sqlalchemy import Engine

from nudgebot.storage.database import server
from nudgebot.storage.faults import StoreFault

_log = logging.getLogger(__name__)


class Crew:
    """One worker among those that share a database; use as a context manager, and call it for the moment now (UTC).

    `agreed` is how the server's time is read, `steady` any clock that only goes forward, in seconds. Entering raises
    StoreFault where the server is not reached.
    """

    def __init__(self, engine: Engine, agreed: Callable[[datetime], datetime], steady: Callable[[], float]) -> None:
        self._presence = server().Presence(engine)
        self._agreed = agreed
        self._steady = steady
        self._workers = 1

    def look(self) -> int:
        """How many workers there are now; takes the lead where it is free, and gives it up with the connection."""
        led = self.leads()
        try:
            now, self._workers = self._presence.look()
            self._set(now)
        except StoreFault as fault:
            _log.error("%s", fault)
        if led is not self.leads():
            _log.info("this worker leads from now on" if self.leads() else "this worker no longer leads")
        return self._workers

    def leads(self) -> bool:
        """Whether this is the worker that polls the platform and fetches files."""
        return bool(self._presence.leads)

    def __call__(self) -> datetime:
        """The moment now."""
        return self._at + timedelta(seconds=self._steady() - self._read_at)

    def __enter__(self) -> Self:
        now, self._workers = self._presence.look()
        self._set(now)
        return self

    def __exit__(self, *_: Any) -> None:
        self._presence.leave()

    def _set(self, now: datetime) -> None:
        self._at, self._read_at = self._agreed(now), self._steady()
