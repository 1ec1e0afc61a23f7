"""What a coach may change for a runner, and within which bounds; kept as answers, so that it can be taken back.

The bounds are this project's own: a coach may go slower or a little faster than the usual step, never past the
caps; a hold is not among them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class CoachSetting:
    """One row: the coach's word, the answer it is kept under, the values it may have, how it reads.

    `at_once` is whether the week under way is laid anew for it; else it counts from the next week on.
    """

    word: str
    answer: str
    values: tuple[int, ...]
    says: str
    at_once: bool = True

    @property
    def bounds(self) -> str:
        """The values in words."""
        first, last = self.values[0], self.values[-1]
        whole = self.values == tuple(range(first, last + 1))
        return f"{first} to {last}" if whole or len(self.values) > 6 else ", ".join(map(str, self.values))


SETTINGS: Final = (
    CoachSetting("step", "coach_step", tuple(range(16)), "a weekly step of {} %", at_once=False),
    CoachSetting("window", "coach_window", tuple(range(100, 151)), "at most {} % of the mean week in seven days"),
    CoachSetting("days", "coach_run_days", (1, 2, 3, 6), "at most {} run days in a row"),
    CoachSetting("session", "coach_session", tuple(range(20, 181, 5)), "no run over {} min"),
    CoachSetting("dose", "coach_dose", tuple(range(60, 301, 5)), "a dose of {} min a week"),
)
BY_WORD: Final[Mapping[str, CoachSetting]] = {row.word: row for row in SETTINGS}
ANSWERS: Final = frozenset(row.answer for row in SETTINGS)


def kept(answers: Mapping[str, str]) -> dict[str, int]:
    """What a coach has set, by the answer it is kept under; a value outside the bounds counts as not set."""
    found: dict[str, int] = {}
    for row in SETTINGS:
        text = answers.get(row.answer, "")
        if text.isdecimal() and int(text) in row.values:
            found[row.answer] = int(text)
    return found


def without(answers: Mapping[str, str], words: frozenset[str] = frozenset(BY_WORD)) -> dict[str, str]:
    """The answers without what a coach set under `words`."""
    gone = {BY_WORD[word].answer for word in words}
    return {key: value for key, value in answers.items() if key not in gone}
