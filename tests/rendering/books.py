"""An invented runner's twelve weeks across a year's turn, with everything in them that a picture shows."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Joining,
    LimitReason,
    OnHold,
    Pause,
    Profile,
    Runner,
    Training,
)
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind
from nudgebot.domain.overview.group import Group, Member, Share

TODAY = date(2027, 1, 20)  # a Wednesday; the first of the twelve weeks begins on 2 November 2026
FIRST = date(2026, 11, 2)
DAY = timedelta(days=1)
JOINED = datetime(2026, 6, 1, 12, tzinfo=UTC)


def runner(joined: datetime = JOINED) -> Runner:
    """Somebody who joined in June."""
    return Runner(1, "talk", "Ana", "Ana", joined, datetime(2027, 1, 20, 12, tzinfo=UTC))


def run(day: date, minutes: int, activity: Activity = Activity.RUN) -> LogEntry:
    """One entry of `day`."""
    return LogEntry(f"{day} {minutes} {activity}", day, minutes, activity)


def empty_book(joined: datetime = JOINED) -> Book:
    """A runner in training who has logged nothing."""
    return Book(runner(joined), Profile(goal=Goal.ENDURANCE), Training())


def full_book() -> Book:
    """Tuesdays and Thursdays 30 min, a long run on Sundays; away from 30 November to 7 December; a gap; a bike."""
    log: list[LogEntry] = []
    weeks: list[Week] = []
    for n in range(-2, 12):
        start = FIRST + 7 * n * DAY
        long = 50 + 2 * max(n, 0)
        plan = (
            Session(start + DAY, 30),
            Session(start + 3 * DAY, 30),
            Session(start + 6 * DAY, long, SessionKind.LONG),
        )
        weeks.append(Week(start, 60 + long, long, WeekKind.STEP, plan))
        if n == 4:
            continue
        done = [session for session in plan if session.day <= TODAY and session.day != date(2026, 12, 24)]
        log += [run(session.day, session.minutes) for session in done]
        if n in (1, 6):
            log.append(run(start + 5 * DAY, 40, Activity.BIKE))
    away = tuple(DayLimit(date(2026, 11, 30) + n * DAY, 0, LimitReason.AWAY) for n in range(8))
    log.sort(key=lambda entry: entry.day)
    return Book(runner(), Profile(goal=Goal.ENDURANCE), Training(), log=tuple(log), weeks=tuple(weeks), limits=away)


NOON = datetime(2027, 1, 20, 12, tzinfo=UTC)  # of TODAY
NAMES = (
    "Ana", "Bernadette-Marie", "Кира Соколова", "ليلى", "王小明", "Zoë 🏃‍♀️", "$Max_10$", "Ng", "WWWWWWWWWWWWWWWW",
    "Ana",
    "Ιωάννα", "🏃", "O'Neill {x}", "Jörg", "Şebnem", "Ruth", "Tomás", "Ines", "Olu", "Pia", "Quim", "Rosa", "Sven",
    "Tilda",
    "Ugo", "Vera", "Wim", "Xenia", "Yara", "Zeno",
)  # fmt: skip


def group_of(many: int) -> Group:
    """Invented runners, in every state of the roster, with names of several scripts."""
    return Group(1, runner(), members=tuple(Member(_one(n), shares=_shares(n)) for n in range(many)))


def _shares(n: int) -> frozenset[Share]:
    return frozenset({Share.PAUSE} if n % 2 else ())


def _one(n: int) -> Book:
    book = full_book()
    who = replace(book.runner, id=n + 1, user=f"{n}", name=NAMES[n % len(NAMES)], last_heard=NOON)
    goals = (Goal.ENDURANCE, Goal.HEALTH, Goal.CUSTOM)
    book = replace(book, runner=who, profile=Profile(goal=goals[n % 3], custom_minutes=120))
    log = tuple(
        replace(e, minutes=e.minutes * (60 + 13 * n % 60) // 100) for k, e in enumerate(book.log) if k % (5 + n)
    )
    match n % 6:
        case 1:
            return replace(book, log=log, standing=OnHold(NOON - timedelta(days=9), "urgent", "chest", "said"))
        case 2:
            silent = replace(who, last_heard=NOON - timedelta(days=8 + n % 5))
            return replace(book, runner=silent, log=tuple(e for e in log if e.day < TODAY - 9 * DAY))
        case 3:
            return replace(book, log=tuple(e for e in log if e.day < TODAY - 2 * DAY), limits=())
        case 4 if n > 10:
            return replace(book, standing=Joining(), log=(), weeks=(), limits=())
        case 5:
            return replace(book, log=log, limits=(), pauses=(Pause(date(2026, 12, 9), date(2026, 12, 21)),))
        case _:
            return replace(book, log=(*log, run(TODAY, 25)))
