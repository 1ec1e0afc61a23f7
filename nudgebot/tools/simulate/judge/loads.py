"""Whether the sessions that stand in the plan keep the caps on load jumps, the return table and the ladder."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from nudgebot.domain.model.runner import Book, Training
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind, week_start
from nudgebot.tools.simulate.judge import published as rule
from nudgebot.tools.simulate.judge.findings import Breach, Finding
from nudgebot.tools.simulate.judge.record import DAY, Gap, Record

WAY_BACK = frozenset({WeekKind.RETURN, WeekKind.PAUSE, WeekKind.WALKING, WeekKind.WALK_RUN})
RUNS = frozenset({SessionKind.EASY, SessionKind.LONG})


def broken(record: Record, first: date, *, shut: bool = False) -> Iterator[Finding]:
    """The limits that the plan breaks from `first`, the first day that may still change, to the end of its week.

    Where it is too late for a run on `first` (`shut`), what stands there is planned no more: no day left, no replan.
    """
    book = record.book
    week = book.week_of(first)
    if week is None:
        return
    since = first + DAY if shut else first
    planned = (session for session in book.plan if session.day >= since and week.holds(session.day))
    # A session of today whose day was closed since is called off, though it still stands on the page.
    coming = {s.day: s for s in planned if s.day > record.today or record.room(s.day)}
    cap = record.session_cap(first)
    # What was run on `first` itself is over once that day may still change.
    recent = first - DAY * 14
    minutes = {day: record.counted_on(day) for day in record.ran if recent <= day < first}
    minutes |= {day: session.minutes for day, session in coming.items()}
    for day, session in coming.items():
        yield from _of_one(record, session, cap)
        yield from _in_a_row(record, minutes, day)
    yield from _seven_days(record, week, minutes, list(coming))
    yield from _return(record, coming, minutes)
    yield from _ladder(record, week, coming)


def _of_one(record: Record, session: Session, cap: int) -> Iterator[Finding]:
    day, minutes = session.day, session.minutes
    if minutes > cap:
        yield Finding(Breach.SINGLE_SESSION, day, f"{minutes} of {cap} min")
    if minutes > record.room(day):
        yield Finding(Breach.TIME, day, f"{minutes} of {record.room(day)} min")
    if minutes % rule.GRID or minutes < rule.SHORTEST:
        yield Finding(Breach.GRID, day, f"{minutes} min")


def _in_a_row(record: Record, minutes: dict[date, int], day: date) -> Iterator[Finding]:
    streak = 1
    while minutes.get(day - DAY * streak, 0) >= rule.RUN_FROM:
        streak += 1
    if streak > record.run_days_in_a_row(day):
        yield Finding(Breach.RUN_DAYS, day, f"{streak} days in a row")


def _seven_days(record: Record, week: Week, minutes: dict[date, int], days: list[date]) -> Iterator[Finding]:
    most = rule.week_cap(record.mean_week(week_start(week.start)), record.window_percent)
    most = max(most, week.target + week.longest)
    for day in days:
        seven = sum(minutes.get(day - DAY * n, 0) for n in range(7))
        if seven > most:
            yield Finding(Breach.SEVEN_DAYS, day, f"{seven} of {most} min")


def _return(record: Record, coming: dict[date, Session], minutes: dict[date, int]) -> Iterator[Finding]:
    """In a return: the sessions at their share, and seven days at the share of the old week."""
    if record.book.walk_run is not None or not isinstance(record.book.standing, Training):
        return
    gap = last_gap(record)
    if gap is None:
        return
    old_week = record.mean_week(gap.back - DAY * gap.days)
    longest = longest_planned(record.book, gap)
    for day, session in coming.items():
        share = gap.share_on(day)
        if share == 100:
            continue
        most = max(rule.SHORTEST, rule.floored(longest * share / 100))
        if session.minutes > most:
            yield Finding(Breach.RETURN, day, f"{session.minutes} of {most} min, {share} % after {gap.days} days")
        seven, window = (
            sum(minutes.get(day - DAY * n, 0) for n in range(7)),
            max(rule.RETURN_FLOOR, rule.floored(rule.floored(old_week + 1e-9) * share / 100)),
        )
        if seven > window:
            yield Finding(Breach.RETURN, day, f"{seven} of {window} min in seven days, {share} %")


def last_gap(record: Record) -> Gap | None:
    """The newest gap that asks for a return or a restart."""
    gaps = tuple(record.gaps(record.today))
    return gaps[-1] if gaps else None


def longest_planned(book: Book, gap: Gap) -> int:
    """The longest session of the last two ordinary weeks begun before the gap (min)."""
    before = [w for w in book.weeks if w.start < gap.back - DAY * gap.days and w.sessions]
    ordinary = [w for w in before if w.kind not in WAY_BACK and w.kind is not WeekKind.LIGHTER]
    if ordinary:
        return max(week.longest for week in ordinary[-2:])
    # Nobody's first weeks: what was told at the intake, in the fewest sessions that a week has.
    return max(rule.SHORTEST, book.profile.longest, book.profile.weekly // 3)


def _ladder(record: Record, week: Week, coming: dict[date, Session]) -> Iterator[Finding]:
    """On walk-run: short sessions, short weeks; and nobody runs to plan right after more than four weeks without."""
    book = record.book
    if not isinstance(book.standing, Training):
        return
    gap = last_gap(record)
    restarts = gap is not None and gap.days > rule.RETURN_TO and gap.back >= record.today
    if book.walk_run is None:
        runs = [day for day, session in coming.items() if session.kind in RUNS]
        if runs and restarts:
            yield Finding(Breach.LADDER, runs[0], "a run right after more than 28 days without one")
        return
    for day, session in coming.items():
        if session.minutes > rule.LADDER_SESSION:
            yield Finding(Breach.LADDER, day, f"{session.minutes} min on walk-run")
    total = sum(session.minutes for session in book.plan if week.holds(session.day))
    if total > rule.LADDER_WEEK and len(coming) == sum(week.holds(s.day) for s in book.plan):
        yield Finding(Breach.LADDER, week.start, f"a week of {total} min on walk-run")


def step_too_early(record: Record) -> Iterator[Finding]:
    """A step of the ladder that the clean sessions do not allow; asked when it is taken, since runs are taken back."""
    place = record.book.walk_run
    if place is not None and place.step > (most := highest_step(record)):
        yield Finding(Breach.LADDER, record.today, f"step {place.step} of at most {most}")


def highest_step(record: Record) -> int:
    """The highest step of the ladder that the clean sessions since the last restart allow."""
    book = record.book
    restart = max((gap.back for gap in record.gaps(record.today) if gap.days > rule.RETURN_TO), default=date.min)
    clean = [day for day in record.run_days if restart <= day < record.today and _clean(book, day)]
    entry = 0
    if restart == date.min and book.profile.weekly >= 30 and book.profile.active:
        entry = 3  # three runs that were not easy lead to step 3
    if not book.profile.active and restart == date.min:
        # A trip may put the moment of joining on the day before.
        walked = book.today(book.runner.joined_at) + DAY * (rule.WALKING_FIRST - 1)
        if len(clean) < rule.CLEAN_FOR_A_STEP or record.today < walked:
            return 0
        on = max(clean[rule.CLEAN_FOR_A_STEP - 1] + DAY, walked)
        return 1 + sum(day >= on for day in clean) // rule.CLEAN_FOR_A_STEP
    return entry + len(clean) // rule.CLEAN_FOR_A_STEP


def _clean(book: Book, day: date) -> bool:
    efforts = [entry.effort or 0 for entry in book.log if entry.day == day]
    pains = [note.score or 0 for note in book.symptoms if note.day in {day, day + DAY}]
    return max(efforts, default=0) <= rule.EASY_TO and max(pains, default=0) <= rule.CLEAN_PAIN
