"""What a coach may change for a runner, and within which bounds; kept in the intake, so that it can be taken back.

The bounds are this project's own: a coach may go slower or a little faster than the usual step, never past the
caps; a hold is not among them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from nudgebot.domain.model.intake import Intake


@dataclass(frozen=True, slots=True)
class CoachSetting:
    """One row: the coach's word, the field of the intake it is kept in, the values it may have, how it reads.

    `at_once` is whether the week under way is laid out again for it; else it counts from the next week on.
    """

    word: str
    field: str
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


def set_rows(told: Intake) -> list[tuple[CoachSetting, int]]:
    """The rows that a coach has set, with their values."""
    return [(row, value) for row in SETTINGS if (value := value_of(told, row)) is not None]


def value_of(told: Intake, row: CoachSetting) -> int | None:
    """What a coach has set of one row; None if nothing."""
    value: int | None = getattr(told, row.field)
    return value


def with_value(told: Intake, row: CoachSetting, value: int) -> Intake:
    """What was told, with one row set by the coach."""
    changes: dict[str, Any] = {row.field: value}
    return replace(told, **changes)


def without(told: Intake, words: frozenset[str] = frozenset(BY_WORD)) -> Intake:
    """What was told, without what a coach set under `words`."""
    changes: dict[str, Any] = {BY_WORD[word].field: None for word in words}
    return replace(told, **changes)


def barred(told: Intake, row: CoachSetting, *, on: bool) -> Intake:
    """What was told, with a coach no longer to set `row`; or, not `on`, free to again."""
    others = tuple(word for word in told.coach_not or () if word != row.word)
    return replace(told, coach_not=((*others, row.word) if on else others) or None)


def is_barred(told: Intake, row: CoachSetting) -> bool:
    """Whether the runner has declined `row` for good."""
    return row.word in (told.coach_not or ())
