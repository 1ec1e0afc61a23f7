"""Invented runners through weeks of life: is the plan safe, even, and worth having?

    python -m tests.bench.simulate --runners 100 --weeks 20 --seed 1 --picture docs/simulation.svg

Prints weeks within the dose, plans with more gap days than the optimum of the same problem (must be 0), hard-limit
breaches (must be 0), the largest step of a single planned session, minutes that replanning recovers against the
same lives without it, and runner-weeks a second; the picture shows those minutes. Exit status 1 where something that
must be 0 is not.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from time import perf_counter

from matplotlib.figure import Figure

from nudgebot.training import dose, limits, planner
from nudgebot.training.logbook import LogEntry, counted_minutes, run_minutes
from nudgebot.training.problem import is_coming_back, open_on, replan_problem
from nudgebot.training.replan import solve
from nudgebot.training.replan_problem import gap_days_of
from nudgebot.training.runner import Book, DayLimit, Goal, Ill, LimitReason, OnHold, Profile, Runner, Training
from nudgebot.training.week import SESSION_MIN, STEP

DAY = timedelta(days=1)
START = date(2027, 1, 4)
ZONES = ("Europe/Lisbon", "America/New_York", "Asia/Kolkata", "Australia/Lord_Howe", "Africa/Cairo", "Pacific/Apia")


class Life(StrEnum):
    """What a runner's weeks are like."""

    PERFECT = "perfect"
    BUSY = "busy"
    SICK = "sick"
    INJURED = "injured"
    OVEREAGER = "overeager"
    SILENT = "silent"


@dataclass
class Tally:
    """What was counted, over all runners or one."""

    weeks: int = 0
    in_dose: int = 0
    on_target: int = 0
    minutes: int = 0
    worse_gaps: int = 0
    breaches: int = 0
    replans: int = 0
    jump: float = 0.0

    def add(self, other: Tally) -> None:
        """Count another tally in."""
        self.weeks += other.weeks
        self.in_dose += other.in_dose
        self.on_target += other.on_target
        self.minutes += other.minutes
        self.worse_gaps += other.worse_gaps
        self.breaches += other.breaches
        self.replans += other.replans
        self.jump = max(self.jump, other.jump)


def invented(life: Life, dice: random.Random) -> Book:
    """A book just begun."""
    opened = [dice.choice((0, 45, 60, 90, 120)) for _ in range(7)]
    for weekday in dice.sample(range(7), 3):
        opened[weekday] = max(opened[weekday], 60)
    a, b, c, d, e, f, g = opened
    weekly = dice.choice((0, 40, 60, 90, 120, 150))
    profile = Profile(
        goal=dice.choice(list(Goal)),
        custom_minutes=dice.randrange(60, 301, 10),
        weekly=weekly,
        longest=max(0, weekly // 3 + dice.randrange(-5, 20)),
        open_minutes=(a, b, c, d, e, f, g),
        long_day=dice.choice((5, 6)),
        zone=dice.choice(ZONES),
        active=weekly > 0,
    )
    at = datetime(START.year, START.month, START.day, 12, tzinfo=UTC)
    book = Book(Runner(1, "talk", life, life, at, at), profile, Training())
    return planner.begin(book, START + timedelta(days=dice.randrange(7)), now_closed=dice.random() < 0.3)


def events(life: Life, weeks: int, dice: random.Random) -> list[tuple[str, float]]:
    """What each day brings, and a number for how much; the same with and without replanning."""
    days = [("run", dice.random()) for _ in range(7 * (weeks + 1))]
    for n in range(len(days)):
        roll = dice.random()
        match life:
            case Life.BUSY if roll < 0.25:
                days[n] = ("miss" if roll < 0.12 else "busy", dice.random())
            case Life.SICK if roll < 0.02:
                days[n] = ("ill", dice.random())
            case Life.INJURED if roll < 0.008:
                days[n] = ("hold", dice.random())
            case Life.OVEREAGER if roll < 0.25:
                days[n] = ("more", dice.random())
            case Life.SILENT if roll < 0.04:
                days[n] = ("silence", dice.random())
            case _:
                pass
    return days


def lived(book: Book, days: Sequence[tuple[str, float]], weeks: int, *, replanning: bool) -> Tally:
    """The tally of one life."""
    tally, away_until = Tally(), START
    first = book.weeks[0].start
    for n in range(7 * weeks):
        today, (what, much) = first + n * DAY, days[n]
        known = len(book.weeks)
        if today >= away_until and isinstance(book.standing, Ill | OnHold):
            book = planner.after_illness(replace(book, standing=Training()), today)
        book = planner.roll(book, today)
        if len(book.weeks) > known and book.weeks[-1].start == today:
            _look_at_fresh(book, tally)
        if today < away_until:
            continue
        book, away_until = _day(book, today, what, much, away_until, tally, replanning=replanning)
    for week in book.weeks:
        done = counted_minutes(book.log, week.start)
        tally.weeks += 1
        tally.minutes += done
        tally.on_target += week.target == 0 or done * 10 >= week.target * 9
        tally.in_dose += dose.band(book.profile)[0] <= done <= dose.band(book.profile)[1] + 15
    return tally


def _day(
    book: Book, today: date, what: str, much: float, until: date, tally: Tally, *, replanning: bool
) -> tuple[Book, date]:
    session = book.session_on(today)
    if what == "silence":
        return book, today + timedelta(days=3 + int(much * 40))
    if what in {"ill", "hold"}:
        noon = datetime(today.year, today.month, today.day, 12, tzinfo=UTC)
        standing = Ill(today) if what == "ill" else OnHold(noon, "urgent", "invented", "invented")
        days = 2 + int(much * (8 if what == "ill" else 34))
        return planner.roll(replace(book, standing=standing), today), today + timedelta(days=days)
    if what == "busy":
        closed = tuple(DayLimit(today + k * DAY, 0, LimitReason.BUSY) for k in range(1 + int(much * 3)))
        book = replace(book, limits=tuple(sorted((*book.limits, *closed), key=lambda limit: limit.day)))
    elif session is not None and what in {"run", "more"}:
        minutes = session.minutes + (10 + int(much * 40) if what == "more" else 0)
        entry = LogEntry(f"{today}", today, minutes, effort=3, cap=limits.session_max(book, today))
        half = max(0, book.half_runs - 1)
        book = replace(book, log=(*book.log, entry), half_runs=half)
        if limits.is_jump(book, entry):
            rest = DayLimit(today + DAY, 0, LimitReason.REST)
            book = replace(book, limits=tuple(sorted((*book.limits, rest), key=lambda limit: limit.day)))
    if replanning:
        book = _replanned(book, today, tally, closed=what == "miss")
    return book, until


def _replanned(book: Book, today: date, tally: Tally, *, closed: bool) -> Book:
    frame = replan_problem(book, today, closed)
    after, what = planner.replan(book, today, closed)
    if frame is None or what is None:
        return after
    tally.replans += 1
    gentle = is_coming_back(book, what.first_day) or is_coming_back(book, book.weeks[-1].end)
    if not gentle:
        tally.worse_gaps += len(what.gap_days) > solve(frame.problem).objective.gap_days
    _look(after, what.first_day, tally)
    return after


def _look(book: Book, first: date, tally: Tally) -> None:
    """Count hard limits that the plan breaks from `first` on, and its largest step of a single session."""
    week = book.week_of(first)
    sessions = [s for s in book.plan if week is not None and s.day >= first and week.holds(s.day)]
    running = {s.day for s in sessions} | {
        first - DAY * n for n in range(1, 9) if run_minutes(book.log, first - DAY * n, 1)[0] >= 10
    }
    for session in sessions:
        day, minutes = session.day, session.minutes
        past = sum(run_minutes(book.log, day - 6 * DAY, 7)[: max(0, (first - (day - 6 * DAY)).days)])
        seven = past + sum(s.minutes for s in sessions if day - 6 * DAY <= s.day <= day)
        streak = 1
        while day - DAY * streak in running:
            streak += 1
        allowed = 1 if is_coming_back(book, day) else dose.run_days_allowed(book.profile)
        tally.breaches += (
            minutes > limits.session_max(book, day)
            or minutes > open_on(book, day)
            or minutes % STEP > 0
            or minutes < SESSION_MIN
            or seven > limits.window_max(book, day)
            or streak > allowed
        )
        longest = limits.longest_run(book, book.monday(day))
        if minutes > 30 and longest:
            tally.jump = max(tally.jump, minutes / longest)


def _look_at_fresh(book: Book, tally: Tally) -> None:
    """As `_look` for a week just laid out, and its gap days against the optimum of the same problem.

    A first week is laid on the runner's days as they are; nothing is known of the days before it.
    """
    week = book.weeks[-1]
    _look(book, week.start, tally)
    frame = replan_problem(book, week.start, False)
    gentle = is_coming_back(book, week.start) or is_coming_back(book, week.end)
    if frame is not None and len(book.weeks) > 1 and not gentle and frame.problem.target:
        best = solve(frame.problem).objective.gap_days
        tally.worse_gaps += len(gap_days_of(frame.problem, frame.problem.planned)) > best


def draw(minutes: Sequence[tuple[str, float, float]], path: Path) -> None:
    """One picture: for each kind of life the minutes a week with replanning and without, as two marks on a line."""
    figure = Figure(figsize=(7, 3.2), layout="constrained")
    axes = figure.subplots()
    for row, (_, with_it, without) in enumerate(reversed(minutes)):
        axes.plot([without, with_it], [row, row], color="#666666", linewidth=1.5, zorder=1)
        axes.scatter(without, row, marker="s", s=46, color="#999999", label="plan left as it was" if not row else None)
        axes.scatter(with_it, row, marker="o", s=54, color="#1b4f72", label="replanned" if not row else None)
        axes.annotate(
            f"{with_it - without:+.0f} min", (max(with_it, without), row), (8, -4), textcoords="offset points"
        )
    axes.set_yticks(range(len(minutes)), [life for life, _, _ in reversed(minutes)])
    axes.set_xlim(0, max(max(pair[1:]) for pair in minutes) * 1.15)
    axes.set_xlabel("minutes run a week")
    axes.spines[["top", "right"]].set_visible(False)
    figure.legend(loc="outside upper right", ncols=2, frameon=False)
    figure.savefig(path, metadata={"Date": None} if path.suffix == ".svg" else None)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the simulation; 0 where nothing was broken."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runners", type=int, default=100)
    parser.add_argument("--weeks", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--picture", type=Path, help="where to draw, .svg or .png")
    given = parser.parse_args(arguments)
    whole, began = Tally(), perf_counter()
    minutes: list[tuple[str, float, float]] = []
    print(f"{'runner':<10} {'weeks':>6} {'done':>6} {'in dose':>8} {'min a week':>11} {'without':>8} {'recovered':>10}")
    for k, life in enumerate(Life):
        count = len(range(k, given.runners, len(Life)))
        kind, without = Tally(), Tally()
        for n in range(count):
            dice = random.Random(f"{given.seed} {life} {n}")
            book = invented(life, dice)
            days = events(life, given.weeks, dice)
            kind.add(lived(book, days, given.weeks, replanning=True))
            without.add(lived(book, days, given.weeks, replanning=False))
        whole.add(kind)
        weeks = max(1, kind.weeks)
        minutes.append((life, kind.minutes / weeks, without.minutes / max(1, without.weeks)))
        print(
            f"{life:<10} {kind.weeks:>6} {kind.on_target / weeks:>6.0%} {kind.in_dose / weeks:>8.0%}"
            f" {kind.minutes / weeks:>11.1f} {without.minutes / max(1, without.weeks):>8.1f}"
            f" {kind.minutes - without.minutes:>10}"
        )
    took = perf_counter() - began
    print(f"replans {whole.replans}; plans with more gap days than the optimum {whole.worse_gaps} (must be 0)")
    print(f"hard-limit breaches {whole.breaches} (must be 0)")
    print(f"largest planned session over 30 min, against the longest run of 30 days: {whole.jump:.2f}")
    print(f"{2 * whole.weeks / took:.0f} runner-weeks a second")
    if given.picture:
        draw(minutes, given.picture)
    return 1 if whole.worse_gaps or whole.breaches else 0


if __name__ == "__main__":
    sys.exit(main())
