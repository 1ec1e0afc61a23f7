"""Whether the bot keeps up: how old its last round is, and what waits in its inbox and outbox.

`/healthz`, `nudgebot check --running` and the system's watchdog all ask here. The limits are this project's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection

from nudgebot.storage import clock, inbox, outbox

ROUND_LATE: Final = timedelta(minutes=3)  # a round every minute at the longest setting
LINE_LATE: Final = timedelta(minutes=2)  # lines are acted on within seconds
LETTER_LATE: Final = timedelta(minutes=15)  # ten thousand reminders take six minutes at the platform's pace


@dataclass(frozen=True, slots=True)
class Health:
    """Ages at one moment; None if nothing waits, or no round was ever made."""

    last_round: timedelta | None
    oldest_line: timedelta | None
    oldest_letter: timedelta | None

    def faults(self) -> tuple[str, ...]:
        """What is later than it should be, in plain words."""
        found = []
        if self.last_round is None or self.last_round > ROUND_LATE:
            ago = "never made" if self.last_round is None else f"{_seconds(self.last_round)} s ago"
            found.append(f"the last round was {ago}")
        if self.last_round is not None and self.last_round < -ROUND_LATE:
            found.append("the last round lies ahead of the clock, which was set back")
        if self.oldest_line is not None and self.oldest_line > LINE_LATE:
            found.append(f"a line has waited for {_seconds(self.oldest_line)} s")
        if self.oldest_letter is not None and self.oldest_letter > LETTER_LATE:
            found.append(f"a letter should have left {_seconds(self.oldest_letter)} s ago")
        return tuple(found)


def round_made(conn: Connection, voice: str, now: datetime) -> None:
    """A round of `voice` ended."""
    clock.keep(conn, voice, now)


def look(conn: Connection, voice: str, now: datetime) -> Health:
    """How `voice` keeps up at `now`."""
    moments = clock.read(conn, voice), inbox.waiting_since(conn), outbox.due_since(conn, voice, now)
    return Health(*(None if moment is None else now - moment for moment in moments))


def _seconds(age: timedelta) -> int:
    return age // timedelta(seconds=1)
