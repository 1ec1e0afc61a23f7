"""The numbers of the published rules and the formulas made of them; minutes on a grid of five (docs/season.md)."""

from __future__ import annotations

from typing import Final

GRID: Final = 5  # min
RUN_FROM: Final = 10  # min; a shorter run makes no run day
SHORTEST: Final = 20  # min; the shortest session worth planning
REST_DAYS: Final = 2  # in a row without a run
RUN_DAYS: Final = 2  # in a row with one, where the coach says nothing else
LONGEST_REACH: Final = 30  # days
MEAN_OF: Final = 28  # counted days
STEP_PERCENT, WINDOW_PERCENT = 10, 130
WINDOW_FLOOR, WEEK_FLOOR = 90, 60  # min
RETURN_FROM, RETURN_TO = 6, 28  # days without a run
RETURN_FLOOR: Final = 40  # min in seven days of a return: two of the shortest sessions
LADDER_SESSION, LADDER_WEEK = 30, 90  # min
CLEAN_FOR_A_STEP: Final = 2  # sessions
WALKING_FIRST: Final = 14  # days, for who was screened inactive
EASY_TO, CLEAN_PAIN, PAIN_HOLDS = 4, 2, 3  # of 10
LIGHTER_EVERY, TOP_HELD, LIGHTER_AT_TOP = 3, 4, 7  # weeks
FEVER_DAYS, STOMACH_DAYS = 3, 2  # 72 h after the last fever, 48 h after the last vomiting

# Goal: lowest and highest dose (min a week).
DOSES: Final = {
    "health": (90, 120),
    "fat_loss": (120, 150),
    "endurance": (150, 180),
    "maintain": (60, 90),
}
CUSTOM: Final = (60, 300)
NO_LIGHTER_AT_TOP: Final = frozenset({"health", "maintain"})


def floored(minutes: float) -> int:
    """`minutes` rounded down to the grid."""
    return int(minutes) // GRID * GRID


def session_cap(longest: int) -> int:
    """The most minutes of a single run after a longest one: a tenth or five more, 30 always, on the grid."""
    return floored(max(30, longest + 5, longest * 11 // 10))


def week_cap(mean: float, percent: int) -> int:
    """The most minutes a week may be planned with after a mean week: 90 always, else `percent` of it."""
    return max(WINDOW_FLOOR, floored(mean * percent / 100 + 1e-9))


def stepped(target: int, percent: int) -> int:
    """The week after a done one: a tenth more and ten minutes at least; a coach's smaller step is the coach's."""
    if not percent:
        return target
    return floored(target + max(10 if percent >= 10 else GRID, target * percent / 100))


def lighter(minutes: int) -> int:
    """The most of a lighter week: four fifths, 60 always."""
    return max(WEEK_FLOOR, floored(minutes * 4 / 5))


def top_of(goal: str, custom: int) -> int:
    """The highest weekly dose of a goal (min)."""
    low, high = CUSTOM
    return floored(min(max(custom, low), high)) if goal == "custom" else DOSES[goal][1]
