"""Where a runner is on the way back: in a return, or on the walk-run ladder."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Return:
    """Coming back after `days` days without a run: first half of as many days again at 50 %, then 75 %.

    `old_week` is the mean of the last four counted weeks (min), `old_long` the long run before the break,
    `old_target` the week's target that returns afterwards.
    """

    since: date
    days: int
    old_week: int
    old_long: int
    old_target: int

    @property
    def first_half_end(self) -> date:
        """Last day at 50 %; the first half is rounded up."""
        return self.since + timedelta(days=(self.days + 1) // 2 - 1)

    @property
    def end(self) -> date:
        """Last day of the return."""
        return self.since + timedelta(days=self.days - 1)


@dataclass(frozen=True, slots=True)
class WalkRun:
    """Where the runner is on the walk-run ladder: `step` 0-7, `clean` sessions done on it, since when.

    `walk_until` is the day on which walking after an illness ends; then the return table says what comes.
    """

    step: int
    clean: int
    since: date
    walk_until: date | None = None
