"""Life that repeats: days that hold less than the weekly pattern allows, by a rule and not one by one.

The rules are those of RFC 5545 (section 3.3.10) that people say: WEEKLY with an INTERVAL and BYDAY, MONTHLY with an
ordinal weekday, each with an optional UNTIL; and beside them a cycle of days on and off, as shifts have it.
"""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.model.nudged import WEEKDAYS

LONGEST_LOOK: Final = 800  # days ahead in which the next dates of a rule are looked for


@dataclass(frozen=True, slots=True)
class Repeat:
    """At most `minutes` (0: no run) on the days that the rule holds, from `start` to `end`, both among them.

    `weekdays` (0 = Monday, none: every day), every `weeks`-th week counted from the Monday of `start`; `nth` is the
    weekday's place in its month (-1 the last, 0 any). `on` of each `cycle` days from `start` (0: no cycle). `why` is
    the runner's word for it: "late shift".
    """

    start: date
    weekdays: tuple[int, ...] = ()
    minutes: int = 0
    end: date | None = None
    weeks: int = 1
    nth: int = 0
    on: int = 0
    cycle: int = 0
    why: str = ""

    def holds(self, day: date) -> bool:
        """Whether the rule is about `day`."""
        if day < self.start or (self.end is not None and day > self.end):
            return False
        if self.cycle:
            return (day - self.start).days % self.cycle < self.on
        if self.weekdays and day.weekday() not in self.weekdays:
            return False
        monday = self.start - timedelta(days=self.start.weekday())
        return (day - monday).days // 7 % self.weeks == 0 and self._is_nth(day)

    def _is_nth(self, day: date) -> bool:
        if self.nth < 0:
            return day.day > monthrange(day.year, day.month)[1] - 7
        return not self.nth or (day.day - 1) // 7 + 1 == self.nth

    def dates(self, first: date, most: int) -> tuple[date, ...]:
        """The next days of the rule from `first` on, at most so many."""
        found: list[date] = []
        day = max(first, self.start)
        last = min(day + timedelta(days=LONGEST_LOOK), self.end or date.max)
        while day <= last and len(found) < most:
            if self.holds(day):
                found.append(day)
            day += timedelta(days=1)
        return tuple(found)

    @property
    def text(self) -> str:
        """The canonical text, as it is stored and carried by a question: "2027-03-10 days=6 end=2027-04-09"."""
        parts = {
            "days": ",".join(WEEKDAYS[day] for day in self.weekdays),
            "minutes": str(self.minutes or ""),
            "end": self.end.isoformat() if self.end else "",
            "weeks": str(self.weeks) if self.weeks != 1 else "",
            "nth": str(self.nth or ""),
            "cycle": f"{self.on}/{self.cycle}" if self.cycle else "",
            "why": self.why,
        }
        return " ".join([self.start.isoformat(), *(f"{key}={value}" for key, value in parts.items() if value)])


def repeat_of(text: str) -> Repeat | None:
    """The rule of a canonical text; None for any other text."""
    head, _, why = text.partition(" why=")
    first, *parts = head.split(" ")
    try:
        told = dict(part.split("=", 1) for part in parts)
        on, _, cycle = told.get("cycle", "0/0").partition("/")
        repeat = Repeat(
            date.fromisoformat(first),
            tuple(WEEKDAYS.index(day) for day in told["days"].split(",")) if "days" in told else (),
            int(told.get("minutes", 0)),
            date.fromisoformat(told["end"]) if "end" in told else None,
            int(told.get("weeks", 1)),
            int(told.get("nth", 0)),
            int(on),
            int(cycle),
            why,
        )
    except ValueError:
        return None
    return repeat if repeat.text == text and repeat.weeks > 0 else None
