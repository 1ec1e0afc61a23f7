"""What a goal asks for each week: the dose, in how many sessions, with how long a long run."""

from __future__ import annotations

from dataclasses import dataclass

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.parameters import RUN_DAYS
from nudgebot.domain.model.runner import Profile
from nudgebot.domain.model.week import SESSION_MIN, floor5


@dataclass(frozen=True, slots=True)
class Dose:
    """One goal's weekly dose: minutes from `low` to `high`, in `fewest` to `most` sessions.

    `ordinary` is the length of a session other than the long run at the top of the dose, `long_run` the
    length that the long run grows to (0: the sessions are alike), `share` the most of a week, in percent,
    that the long run may be. `source` is a key of docs/sources.md.
    """

    goal: Goal
    low: int
    high: int
    fewest: int
    most: int
    ordinary: int
    long_run: int
    share: int
    source: str = "dose-practice"


DOSES: tuple[Dose, ...] = (
    Dose(Goal.HEALTH, 90, 120, 3, 4, 30, 0, 50),
    Dose(Goal.FAT_LOSS, 120, 150, 3, 3, 30, 90, 60),
    Dose(Goal.ENDURANCE, 150, 180, 3, 3, 45, 90, 60),
    Dose(Goal.MAINTAIN, 60, 90, 3, 3, 30, 0, 50),
    Dose(Goal.CUSTOM, 60, 300, 3, 4, 45, 90, 50),
)


_OF_GOAL = {row.goal: row for row in DOSES}


def dose_of(goal: Goal) -> Dose:
    """The row of a goal."""
    return _OF_GOAL[goal]


def band(profile: Profile) -> tuple[int, int]:
    """Lowest and highest minutes of the dose a week; one number set by runner or coach is both."""
    row = dose_of(profile.goal)
    if profile.goal is Goal.CUSTOM:
        wanted = floor5(min(max(profile.custom_minutes, row.low), row.high))
        return wanted, wanted
    return row.low, row.high


def run_days_allowed(profile: Profile) -> int:
    """Most run days in a row: the house's, or what the coach allows (1-3, or 6)."""
    return profile.coach_run_days or RUN_DAYS.value


def sessions(profile: Profile) -> tuple[int, int]:
    """Fewest and most sessions a week; five or six only where the coach allows three or six run days in a row."""
    row = dose_of(profile.goal)
    most = row.most
    if profile.goal is Goal.CUSTOM and run_days_allowed(profile) >= 3:
        most = 6 if run_days_allowed(profile) >= 6 else 5
    return row.fewest, most


def long_run_length(profile: Profile) -> int:
    """The length that the long run grows to (min); 0 if the goal's sessions are alike."""
    row = dose_of(profile.goal)
    if not row.long_run:
        return 0
    top = band(profile)[1]
    beside = (row.fewest - 1) * SESSION_MIN
    return max(SESSION_MIN, floor5(min(row.long_run, top * row.share / 100, top - beside)))


def sessions_for(profile: Profile, minutes: int, open_days: int) -> int:
    """How many sessions a week of `minutes` has: the fewest in which none passes its length at the top of the dose.

    Where fewer days are open than the goal's fewest sessions the answer is still the fewest, so that each
    session keeps its ordinary length and the week shrinks.
    """
    row = dose_of(profile.goal)
    fewest, most = sessions(profile)
    long_run = long_run_length(profile)
    for count in range(fewest, most + 1):
        if count >= open_days or minutes <= max(long_run, row.ordinary) + (count - 1) * row.ordinary:
            return max(fewest, min(count, open_days))
    return most
