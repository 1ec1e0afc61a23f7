"""What was counted, for one life or for many."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, fields
from typing import Final

# What must be 0, and what it says where it is not.
MUST_BE_0: Final = {
    "needless_gaps": "plans with more gap days than the best of the same problem",
    "broken_limits": "hard limits broken by a plan",
    "quiet_nudges": "nudges in quiet hours",
    "double_nudges": "nudges sent twice",
    "crowded_nudges": "nudges beyond two a day or eight in seven days",
}


@dataclass(slots=True)
class Tally:
    """Counts over lives. Minutes are those that count toward the dose; `without` is the same with no replanning."""

    runners: int = 0
    weeks: int = 0
    on_target: int = 0  # weeks with 90 % of their target
    in_dose: int = 0  # weeks within the goal's dose, one stretched session aside
    late_weeks: int = 0  # weeks from the thirteenth on
    late_in_dose: int = 0  # of those, within the dose
    minutes: int = 0
    without: int = 0
    plans: int = 0  # plans shown and looked at
    needless_gaps: int = 0
    broken_limits: int = 0
    gaps_skipped: int = 0  # days past the two-day rule after a session that was not run
    gaps_paused: int = 0  # … while ill, on hold, away, or coming back
    gaps_closed: int = 0  # … that no plan could fill
    lines: int = 0
    misread: int = 0  # lines about a run that put none into the log
    changes: int = 0  # changes of summer time lived through
    near_changes: int = 0  # nudges within three hours of one
    quiet_nudges: int = 0
    double_nudges: int = 0
    crowded_nudges: int = 0
    most_a_week: int = 0
    jump: tuple[int, int] = (30, 30)  # min; the largest step of a planned single run over 30 min: from, to
    sent: Counter[str] = field(default_factory=Counter)
    held_back: Counter[str] = field(default_factory=Counter)
    dropped: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)  # what was found of what must be 0, in words

    def add(self, other: Tally) -> None:
        """Counts another tally in."""
        for each in fields(self):
            mine, theirs = getattr(self, each.name), getattr(other, each.name)
            match each.name:
                case "most_a_week":
                    self.most_a_week = max(mine, theirs)
                case "jump":
                    self.saw_step(*theirs)
                case _:
                    setattr(self, each.name, mine + theirs)

    def saw_step(self, longest: int, minutes: int) -> None:
        """A single run of `minutes` was planned after a longest one of `longest`."""
        if minutes > 30 and longest and minutes * self.jump[0] > self.jump[1] * longest:
            self.jump = (longest, minutes)

    @property
    def nudges(self) -> int:
        """Nudges that were sent."""
        return self.sent.total()

    @property
    def faults(self) -> dict[str, int]:
        """What must be 0 and is not."""
        return {name: count for name in MUST_BE_0 if (count := getattr(self, name))}
