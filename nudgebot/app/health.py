"""How the bot does: what is counted while it runs, by kind and never whose, and whether it keeps up.

`/metrics` shows the counts in the OpenMetrics text format; they begin again at each start, and no label holds a number,
a name or anything that somebody wrote, so that every label has few values. `/healthz`, `nudgebot check --running` and
the system's watchdog ask for the ages; their limits are this project's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram
from sqlalchemy import Connection

from nudgebot.domain.nudging.throttle import Reason
from nudgebot.storage import due_queue, inbox, outbox

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
    due_queue.keep_time(conn, voice, now)


def look(conn: Connection, voice: str, now: datetime) -> Health:
    """How `voice` keeps up at `now`."""
    moments = due_queue.time_of(conn, voice), inbox.waiting_since(conn), outbox.due_since(conn, voice, now)
    return Health(*(None if moment is None else now - moment for moment in moments))


def _seconds(age: timedelta) -> int:
    return age // timedelta(seconds=1)


REGISTRY: Final = CollectorRegistry()
OTHER: Final = "other"  # reasons that the platform gave in its own words

LINES: Final = Counter("nudgebot_lines", "Updates taken from the inbox, by outcome", ["outcome"], registry=REGISTRY)
LETTERS: Final = Counter("nudgebot_letters", "Calls for a letter, by kind and end", ["kind", "end"], registry=REGISTRY)
NUDGES: Final = Counter(
    "nudgebot_nudges",
    "Nudges that fell due, by kind, outcome and reason",
    ["kind", "outcome", "reason"],
    registry=REGISTRY,
)
LATENESS: Final = Histogram(
    "nudgebot_letter_lateness_seconds",
    "From when a letter could leave to when the platform had it, by whether somebody waited for it",
    ["asked_for"],
    buckets=(0.1, 0.5, 1, 5, 15, 60, 300, 900, 3600),
    registry=REGISTRY,
)
DECISIONS: Final = Histogram(
    "nudgebot_decision_seconds",
    "Time to read one line and decide, by whether the plan changed",
    ["replanned"],
    buckets=(0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1),
    registry=REGISTRY,
)
TRIAGE: Final = Counter("nudgebot_triage", "Lines with a warning sign, by level", ["level"], registry=REGISTRY)
LAST_ROUND: Final = Gauge("nudgebot_last_round_age_seconds", "Since the last round ended", registry=REGISTRY)
INBOX_AGE: Final = Gauge("nudgebot_inbox_age_seconds", "Age of the oldest line not acted on", registry=REGISTRY)
OUTBOX_AGE: Final = Gauge(
    "nudgebot_outbox_age_seconds", "How long the letter longest overdue should have left", registry=REGISTRY
)


def count_nudge(kind: str, outcome: str, reason: str) -> None:
    """A nudge fell due, or did not leave after all."""
    known = reason if reason in set(Reason) else OTHER
    NUDGES.labels(kind, outcome, known).inc()


def count_letter(since: datetime, now: datetime, *, asked_for: bool) -> None:
    """The platform has a letter that could leave from `since` on."""
    LATENESS.labels("yes" if asked_for else "no").observe(max(0.0, (now - since).total_seconds()))
