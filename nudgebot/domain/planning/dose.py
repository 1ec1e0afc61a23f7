"""What a goal asks for each week: the dose, in how many sessions, how long each, and on which of the open days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.parameters import REST_GAP, RUN_DAYS
from nudgebot.domain.model.runner import Profile
from nudgebot.domain.model.week import SESSION_MIN, STEP, floor5

WEEK = range(7)


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


@dataclass(frozen=True, slots=True)
class Layout:
    """Run days of a repeating week, as weekdays (0 = Monday), in order.

    `long_day` is the day of the long run (None without a run day), `gap_ok` whether no gap is longer than two
    rest days. Where the open days make that impossible `open_which` names the fewest days to open, else it is
    empty.
    """

    days: tuple[int, ...]
    long_day: int | None
    gap_ok: bool
    open_which: tuple[int, ...] = ()


@lru_cache(maxsize=4096)
def run_days(
    open_minutes: tuple[int, ...],
    sessions: int,
    long_day: int,
    max_run_days: int = RUN_DAYS.value,
    *,
    ordinary: int = SESSION_MIN,
    long_run: int = SESSION_MIN,
) -> Layout:
    """The best `sessions` run days of a repeating week.

    `open_minutes` is the most the runner can do on each weekday (min, Monday first; a day under the shortest
    session is closed), `long_day` the day asked for, `ordinary` and `long_run` the session lengths to fit (min).
    In this order: no gap of more than two rest days; as many sessions as asked for; the long run on the day
    asked for; a rest day after it; sessions that fit the day; the most even; soonest after the long run.
    """
    open_days = [day for day in WEEK if open_minutes[day] >= SESSION_MIN]
    best = _best(open_minutes, open_days, sessions, long_day, max_run_days, ordinary, long_run)
    if best is None:
        return Layout((), None, gap_ok=False, open_which=_to_open(open_days, sessions, max_run_days))
    days, long_on = best
    ok = longest_gap(days) <= REST_GAP.value
    return Layout(days, long_on, ok, () if ok else _to_open(open_days, sessions, max_run_days))


@lru_cache(maxsize=128)  # as many as there are choices of weekdays
def longest_gap(days: tuple[int, ...]) -> int:
    """Most rest days in a row of a repeating week with these run days; 7 without one."""
    return max(_rests(days), default=7)


def split(minutes: int, count: int) -> tuple[int, ...]:
    """`minutes` (on the grid) in `count` parts on the grid, equal within 5 minutes, the longer ones first."""
    part = floor5(minutes / count)
    longer = (minutes - part * count) // STEP
    return (part + STEP,) * longer + (part,) * (count - longer)


def lengths(minutes: int, count: int, long_run: int) -> tuple[int, ...]:
    """A week of `minutes` as `count` sessions, the longest first.

    The others are equal within 5 minutes and never under the shortest session nor over the first;
    `long_run` 0 makes all alike.
    """
    alike = split(minutes, count)
    if not long_run or count == 1:
        return alike
    first = max(min(long_run, minutes - (count - 1) * SESSION_MIN), alike[0])
    return (first, *split(minutes - first, count - 1))


def _best(
    open_minutes: Sequence[int],
    open_days: Sequence[int],
    sessions: int,
    long_day: int,
    max_run_days: int,
    ordinary: int,
    long_run: int,
) -> tuple[tuple[int, ...], int] | None:
    """Run days and the day of the long run, or None if no day is open."""
    best: tuple[tuple[object, ...], tuple[int, ...], int] | None = None
    for days in _choices(open_days, sessions, max_run_days):
        for long_on in days:
            offsets = sorted((day - long_on) % 7 for day in days)
            lost = sum(max(0, ordinary - open_minutes[day]) for day in days if day != long_on)
            key: tuple[object, ...] = (
                sum(max(0, rests - REST_GAP.value) for rests in _rests(days)),
                -len(days),
                long_on != long_day,
                max(0, long_run - open_minutes[long_on]),
                1 in offsets,
                lost,
                sum(rests * rests for rests in _rests(days)),
                # With another day than the one asked for: the weekend, where most people have the time.
                -long_on,
                offsets,
            )
            if best is None or key < best[0]:
                best = (key, days, long_on)
    return None if best is None else (best[1], best[2])


def _choices(open_days: Sequence[int], sessions: int, max_run_days: int) -> Iterator[tuple[int, ...]]:
    """Every set of at most `sessions` open days that keeps to the run days in a row."""
    for count in range(min(sessions, len(open_days)), 0, -1):
        for days in combinations(open_days, count):
            if _longest_streak(days) <= max_run_days:
                yield days


def _to_open(open_days: Sequence[int], sessions: int, max_run_days: int) -> tuple[int, ...]:
    """The fewest closed days that would make the two-day rule possible, the most even week first."""
    closed = [day for day in WEEK if day not in open_days]
    for count in range(1, len(closed) + 1):
        fitting = [
            (sum(rests * rests for rests in _rests(days)), more)
            for more in combinations(closed, count)
            for days in _choices(sorted((*open_days, *more)), sessions, max_run_days)
            if longest_gap(days) <= REST_GAP.value
        ]
        if fitting:
            return min(fitting)[1]
    return ()


def _rests(days: Sequence[int]) -> list[int]:
    """Rest days between one run day and the next, around the week."""
    return [
        (after - day - 1) % 7 if len(days) > 1 else 6 for day, after in zip(days, (*days[1:], *days[:1]), strict=True)
    ]


def _longest_streak(days: Sequence[int]) -> int:
    """Most run days in a row, around the week."""
    if len(days) == 7:
        return 7
    return max(next(n for n in range(1, 8) if (day + n) % 7 not in days) for day in days)
