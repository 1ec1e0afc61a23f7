"""What was counted, for one life or for many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from nudgebot.tools.simulate.judge.findings import Breach, Finding


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
    gaps_skipped: int = 0  # days past the two-day rule after a session that was not run
    gaps_paused: int = 0  # … while ill, on hold, away, or coming back
    gaps_closed: int = 0  # … that no plan could fill
    lines: int = 0
    changes: int = 0  # changes of summer time lived through
    near_changes: int = 0  # nudges within three hours of one
    most_a_week: int = 0
    breaches: Counter[str] = field(default_factory=Counter)  # by name
    found: Counter[str] = field(default_factory=Counter)  # the same in words, with who and when
    read: Counter[str] = field(default_factory=Counter)  # what own words were about, and what they were read as
    sent: Counter[str] = field(default_factory=Counter)
    held_back: Counter[str] = field(default_factory=Counter)
    dropped: Counter[str] = field(default_factory=Counter)

    def add(self, other: Tally) -> None:
        """Counts another tally in."""
        for each in fields(self):
            mine, theirs = getattr(self, each.name), getattr(other, each.name)
            setattr(self, each.name, max(mine, theirs) if each.name == "most_a_week" else mine + theirs)

    def breached(self, who: str, finding: Finding) -> None:
        """Notes what must not happen, who lived it and when: the same seed lives it again."""
        self.breaches[finding.breach.name] += 1
        detail = f" ({finding.detail})" if finding.detail else ""
        self.found[f"{finding.breach}{detail}, {who} on {finding.day}"] += 1

    @property
    def nudges(self) -> int:
        """Nudges that were sent."""
        return self.sent.total()

    @property
    def faults(self) -> dict[Breach, int]:
        """What must be 0 and is not."""
        return {breach: count for breach in Breach if (count := self.breaches[breach.name])}

    def values(self) -> dict[str, Any]:
        """The counts as JSON can hold them; `of` reads them back."""
        return {each.name: getattr(self, each.name) for each in fields(self)}

    @classmethod
    def of(cls, values: Mapping[str, Any]) -> Tally:
        """The tally that `values` came from."""
        tally = cls()
        for name, value in values.items():
            setattr(tally, name, Counter(value) if isinstance(value, dict) else value)
        return tally
