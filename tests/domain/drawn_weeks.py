"""Weeks drawn as text, and the nudges they lead to as text: what the nudge tests are written in.

A plan is "Mon 45, Wed 45, Sat 90"; what the runner does is "Mon 18:50 ran 45, Thu 12:00 off"; what is sent comes
back as "Wed 07:00 morning". Days of the second week are written "2Mon", of the third "3Mon". The weeks begin on
Monday 4 January 2027; the runner lives in Berlin unless told otherwise, ran on the Saturday before, and every day
is open.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from nudgebot.domain.model.actions import Later
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.nudged import NudgeKind, Outcome, Snooze
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    LimitReason,
    OnHold,
    Profile,
    Runner,
    Standing,
    SymptomNote,
    Training,
    at_wall,
)
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.times import snoozed_until

MONDAY = date(2027, 1, 4)
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
ALL_OPEN = (90, 90, 90, 90, 90, 90, 90)
BERLIN = Profile(zone="Europe/Berlin", open_minutes=ALL_OPEN, run_time=time(18))


def day_of(name: str, monday: date = MONDAY) -> date:
    """The date of "Wed", "2Wed" (a week on), and so forth."""
    weeks = int(name[0]) - 1 if name[0].isdigit() else 0
    return monday + timedelta(days=7 * weeks + DAYS.index(name[-3:]))


def name_of(day: date, monday: date = MONDAY) -> str:
    """The other way round."""
    weeks, weekday = divmod((day - monday).days, 7)
    return (str(weeks + 1) if weeks else "") + DAYS[weekday]


def sessions(plan: str, monday: date = MONDAY) -> tuple[Session, ...]:
    """The sessions of "Mon 45, Wed 30 walk, Sat 90"; the longest is the long run."""
    found = []
    for part in filter(None, (piece.strip() for piece in plan.split(","))):
        name, minutes, *kind = part.split()
        found.append(Session(day_of(name, monday), int(minutes), SessionKind(kind[0] if kind else "easy")))
    return tuple(sorted(found))


def drawn(
    plan: str = "",
    *,
    profile: Profile = BERLIN,
    standing: Standing | None = None,
    past: str = "Sat",
    monday: date = MONDAY,
    weeks: int = 3,
) -> Book:
    """A book at the start of Monday with `plan` laid out; `past` names the days run in the week before."""
    laid = sessions(plan, monday)
    started = tuple(
        Week(start, 180, 90, WeekKind.STEADY, tuple(s for s in laid if start <= s.day < start + timedelta(days=7)))
        for start in (monday + timedelta(days=7 * n) for n in range(weeks))
    )
    before = at_wall(monday - timedelta(days=1), time(12), profile)
    log = tuple(LogEntry(f"past {name}", day_of(name, monday) - timedelta(days=7), 40) for name in past.split() if name)
    return Book(
        runner=Runner(1, "talk", "ana", "Ana", before - timedelta(days=60), before),
        profile=profile,
        standing=Training() if standing is None else standing,
        plan=laid,
        weeks=started,
        log=log,
    )


def heard(book: Book, now: datetime) -> Book:
    """The runner wrote or pressed something: the nudges of that day count as answered."""
    today = book.today(now)
    answered = tuple(
        replace(n, answered_at=now) if n.answered_at is None and book.today(n.at) == today else n for n in book.nudges
    )
    return replace(book, runner=replace(book.runner, last_heard=now, stopped=False), nudges=answered)


def does(book: Book, what: str, now: datetime, monday: date = MONDAY) -> Book:
    """The book after the runner did `what` at `now`."""
    book = heard(book, now)
    today = book.today(now)
    verb, *rest = what.split()
    match verb:
        case "hello":
            return book
        case "ran" | "walked":
            minutes = int(rest[0]) if rest else 30
            activity = Activity.RUN if verb == "ran" else Activity.WALK
            entry = LogEntry(f"{now.isoformat()}", today, minutes, activity, noted_at=now)
            return replace(book, log=tuple(sorted((*book.log, entry), key=lambda e: e.day)))
        case "off":
            day = day_of(rest[0], monday) if rest else today
            return _limited(book, [day], 0, LimitReason.SKIP)
        case "busy":
            return _limited(book, [day_of(rest[0], monday)], int(rest[1]), LimitReason.BUSY)
        case "away":
            first, last = day_of(rest[0], monday), day_of(rest[1], monday)
            gone = [first + timedelta(days=n) for n in range((last - first).days + 1)]
            return _limited(book, gone, 0, LimitReason.AWAY)
        case "moved":
            old, new = day_of(rest[0], monday), day_of(rest[1], monday)
            plan = (replace(s, day=new) if s.day == old else s for s in book.plan)
            return replace(book, plan=tuple(sorted(plan)))
        case "sore":
            return replace(book, symptoms=(*book.symptoms, SymptomNote(today, "rest", "calf", "calf", at=now)))
        case "hold":
            return replace(book, standing=OnHold(now, "urgent", "calf", "my calf is hot"))
        case "cleared":
            return replace(book, standing=Training())
        case "stop":
            return replace(book, runner=replace(book.runner, stopped=True))
        case "snooze":
            newest = next(
                n for n in reversed(book.nudges) if n.outcome is Outcome.SENT and n.kind is not NudgeKind.SNOOZED
            )
            at = snoozed_until(book, Later(" ".join(rest)), now)
            return replace(
                book, snoozes=(*book.snoozes, Snooze(f"message {len(book.snoozes)}", newest.kind, newest.for_day, at))
            )
        case _:
            raise ValueError(what)


def _limited(book: Book, days: Iterable[date], minutes: int, reason: LimitReason) -> Book:
    closed = tuple(days)
    limits = (*book.limits, *(DayLimit(day, minutes, reason) for day in closed))
    fits = tuple(s for s in book.plan if s.day not in closed or 20 <= s.minutes <= minutes)
    return replace(book, limits=limits, plan=fits)


def play(book: Book, said: str = "", days: int = 7, monday: date = MONDAY) -> Book:
    """The book after `days` days from Monday's turn on: looked at when it asks to be, in between what is `said`."""
    now = at_wall(monday, book.profile.day_turn, book.profile)
    end = at_wall(monday + timedelta(days=days), book.profile.day_turn, book.profile)
    lines = []
    for part in filter(None, (piece.strip() for piece in said.split(","))):
        name, clock, what = part.split(maxsplit=2)
        lines.append((at_wall(day_of(name, monday), time.fromisoformat(clock), book.profile), what))
    for at, what in (*sorted(lines), (end, "")):
        book, now = run_to(book, now, at)
        if what:
            book = does(book, what, now, monday)
    return book


def run_to(book: Book, now: datetime, until: datetime) -> tuple[Book, datetime]:
    """The book at `until`, having been looked at whenever it asked to be."""
    while True:
        look = nudges.next_look(book, now)
        if look is not None and look <= now:
            raise AssertionError(f"next look {look} does not lie after {now}")
        if look is None or look > until:
            return book, until
        now = look
        book = settle(book, now)


def settle(book: Book, now: datetime) -> Book:
    """The book with everything settled that fell due by `now`."""
    return replace(book, nudges=(*book.nudges, *(verdict.nudged for verdict in nudges.settle_due(book, now))))


def sent(book: Book, monday: date = MONDAY) -> list[str]:
    """What was sent, as text, in order."""
    return [line for n in book.nudges if n.outcome is Outcome.SENT for line in [line_of(book, n.kind, n.at, monday)]]


def unsent(book: Book, monday: date = MONDAY) -> list[str]:
    """What was held back or dropped, as text, with the reason."""
    return [
        f"{line_of(book, n.kind, n.due_at, monday)}: {n.reason}" for n in book.nudges if n.outcome is not Outcome.SENT
    ]


def line_of(book: Book, kind: NudgeKind, at: datetime, monday: date = MONDAY) -> str:
    """One nudge as text: day, wall time, kind."""
    wall = book.local(at)
    return f"{name_of(wall.date(), monday)} {wall:%H:%M} {kind}"


def utc(text: str) -> datetime:
    """An instant in UTC, from ISO text without an offset."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
