"""What is counted while the bot runs: counts and times by kind, never whose.

`/metrics` shows it in the OpenMetrics text format. Counts begin again at each start; no label holds a number, a name or
anything that somebody wrote, so that every label has few values.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

from nudgebot.domain.nudging.throttle import Reason

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
