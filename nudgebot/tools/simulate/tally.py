"""What was counted, for one life or for many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date, timedelta
from typing import Any

from nudgebot.domain.model.logbook import active_days, counted_minutes
from nudgebot.domain.model.runner import Book
from nudgebot.domain.planning import dose, limits
from nudgebot.tools.simulate.judge.findings import Breach, Finding

SETTLED_FROM = 12  # weeks; from then on most are at their dose
STRETCHED = 15  # min; how far a stretched session may lift a week over its dose


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

    def count_weeks(self, book: Book, first: date, weeks: int) -> None:
        """Counts the weeks of one life from `first` on in."""
        low, high = dose.band(book.profile)
        self.runners += 1
        for number in range(weeks):
            start = first + timedelta(days=7 * number)
            week, done = book.week_of(start), counted_minutes(book.log, start)
            within = low <= done <= high + STRETCHED
            self.weeks += 1
            self.minutes += done
            self.on_target += week is None or done * 10 >= week.target * 9
            self.in_dose += within
            if number >= SETTLED_FROM:
                self.late_weeks += 1
                self.late_in_dose += within

    def count_gaps(self, book: Book, planned: Mapping[date, bool | None]) -> None:
        """Counts days past the two-day rule as lived in, by what stood in the plan on the three days; None: paused."""
        active = active_days(book.log)
        start = limits.first_day(book, max(planned))
        for day in planned:
            three = [day - timedelta(days=n) for n in range(3)]
            if three[-1] < start or any(each in active for each in three):
                continue
            stood = [planned.get(each) for each in three]
            if None in stood:
                self.gaps_paused += 1
            elif any(stood):
                self.gaps_skipped += 1
            else:
                self.gaps_closed += 1

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
