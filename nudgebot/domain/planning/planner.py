"""The plan of weeks: begin it, roll it on, replan the rest of a week, look ahead and look back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from nudgebot.domain.model.event import with_next_event
from nudgebot.domain.model.logbook import LogEntry, counted_minutes
from nudgebot.domain.model.parameters import BEFORE_QUIET, DAY_CLOSES, HALF_RUNS, SCREEN_AFTER
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Profile, Training
from nudgebot.domain.model.week import SESSION_MIN, Session, WalkRun, Week, week_start
from nudgebot.domain.planning import limits, ways_back
from nudgebot.domain.planning.event_weeks import figures_of
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.replan_input import DAY, is_coming_back, replan_problem, week_at_hand
from nudgebot.domain.planning.season import CALM, Figures, Why
from nudgebot.domain.planning.ways_back import coming_back
from nudgebot.domain.planning.week_builder import dated, lay, lay_again, most_of, settle, within_return
from nudgebot.domain.profile import intake
from nudgebot.domain.solver.problem import Limit, Problem, gap_days_of
from nudgebot.domain.solver.search import solve

SEASON_WEEKS = 26  # how far ahead a season is looked at


@dataclass(frozen=True, slots=True)
class Replanned:
    """What a replan made of the rest of the week.

    `before` and `after` are the sessions from `first_day` to the end of the week; equal where nothing changed.
    `let_go` are minutes of the week that find no place, `binding` the limits that each are a reason,
    `only_together` that only several of them are. `lost` are minutes let go at once because of illness, pain,
    rest or being away. `gap_days` are days without a run that cannot be avoided, by no run of the week to come
    either, `long_lost` minutes that the long run lacks. `indoors` are the gap days on which the weather called off
    running outside.
    """

    first_day: date
    before: tuple[Session, ...]
    after: tuple[Session, ...]
    let_go: int
    lost: int
    binding: tuple[Limit, ...]
    only_together: bool
    gap_days: tuple[date, ...]
    long_lost: int
    problem: Problem
    indoors: frozenset[date] = frozenset()

    @property
    def changed(self) -> bool:
        """Whether any session did."""
        return self.before != self.after


@dataclass(frozen=True, slots=True)
class Review:
    """A week looked back on: minutes done and planned, done in percent, and what comes next and why."""

    done: int
    target: int
    share: int
    next: Week
    why: Why


def begin(book: Book, today: date, now_closed: bool) -> Book:
    """The book with its first week: the sessions of it that still fit, or else the week after.

    `now_closed` says that today is too late for a run. Walk-run where the stated minutes or the screening ask
    for it.
    """
    book = replace(book, weeks=(), plan=(), returning=None, walk_run=None)
    if ways_back.starts_on_walk_run(book.profile) and isinstance(book.standing, Training):
        book = replace(book, walk_run=WalkRun(0, 0, today))
    first_day = today + DAY if now_closed else today
    start = week_start(today)
    week = lay(book, start, figures_of(book, start), first_day)
    if not week.sessions:
        start += timedelta(days=7)
        week = lay(book, start, figures_of(book, start), start)
    return replace(book, weeks=(week,), plan=week.sessions)


def roll(book: Book, today: date) -> Book:
    """The book with every week up to the one of `today` laid out; doing it again changes nothing.

    The week of `today` is laid out again where a late log or a changed setting asks for other sessions, as long as
    nothing in it was run or replanned. From six days without a run on, the return table is applied.
    """
    if isinstance(book.standing, Joining) or not book.weeks:
        return book
    later = intake.with_later_days(book.intake, today)
    if later is not None:
        return relay(replace(book, intake=later, profile=intake.profile(later)), today)
    if (told := with_next_event(book.intake, today)) is not None:
        return relay(replace(book, intake=told), today)
    while (start := week_start(book.weeks[-1].end + DAY)) <= week_start(today):
        book = _opened(book, start, max(start, book.weeks[-1].end + DAY))[0]
    if isinstance(book.standing, OnHold | Ill) and book.week_of(today) is not None:
        return pause(book, today)
    return settle(book, today)


def replan(book: Book, today: date, today_closed: bool) -> tuple[Book, Replanned | None]:
    """The book with the rest of its week replanned, and what changed; None if there is nothing to replan."""
    frame = replan_problem(book, today, today_closed)
    week = week_at_hand(book, today)
    if frame is None or week is None:
        return book, None
    problem, first = frame.problem, frame.first_day
    days = tuple(first + DAY * n for n in range(len(problem.planned)))
    answer = solve(problem)
    stood = tuple(session for session in book.plan if week.holds(session.day))
    placed = within_return(book, dated(week.kind, stood, days, answer.x, problem.long_run))
    after = tuple(ways_back.labelled(book, session) for session in placed)
    minutes = {session.day: session.minutes for session in after}
    x = tuple(minutes.get(day, 0) for day in days)
    before = tuple(session for session in book.plan if first <= session.day <= week.end)
    rest = tuple(session for session in book.plan if not first <= session.day <= week.end)
    gaps = answer.gap_on if x == answer.x else gap_days_of(problem, x)
    return replace(book, plan=tuple(sorted((*rest, *after)))), Replanned(
        first_day=first,
        before=before,
        after=after,
        let_go=max(0, problem.target - sum(x)),
        lost=frame.let_go,
        binding=answer.binding,
        only_together=answer.only_several_limits_together,
        gap_days=tuple(day for n in gaps if not _is_open_still(book, week.end, day := first + DAY * n)),
        long_lost=answer.objective.long_loss,
        problem=problem,
        indoors=frozenset(day for day in days if book.off_outside(day)),
    )


def today_closed(profile: Profile, local_now: datetime) -> bool:
    """Whether it is too late for a run today: from 20:00, or 90 min before quiet hours if that is earlier.

    Quiet hours that end by day again (shift work) close nothing. Before the runner's day turns it is still the
    evening before.
    """
    now = local_now.time()
    if now < profile.day_turn:
        return True
    closes = DAY_CLOSES.value * 60
    quiet = _minute(profile.quiet_from)
    if profile.quiet_to < profile.quiet_from or _minute(profile.quiet_to) >= closes:
        closes = min(closes, quiet - BEFORE_QUIET.value)
    return _minute(now) >= closes


def forecast(book: Book, today: date, weeks: int) -> tuple[Week, ...]:
    """The next `weeks` weeks if every session that is planned is run."""
    book = roll(book, today)
    coming: list[Week] = []
    while book.weeks and len(coming) < weeks:
        last = book.weeks[-1]
        book = _as_if_run(book, today)
        book = _opened(book, week_start(last.end + DAY), last.end + DAY)[0]
        coming.append(book.weeks[-1])
    return tuple(coming)


def review(book: Book, week: Week) -> Review:
    """What a week came to, and the week after it as the log stands now."""
    start = week.end + DAY
    before = replace(book, weeks=tuple(w for w in book.weeks if w.start <= week.start))
    opened, figures = _opened(before, week_start(start), start)
    done = counted_minutes(book.log, week.start)
    share = 100 * done // week.target if week.target else 100
    return Review(done, week.target, share, opened.weeks[-1], figures.why)


def return_after(book: Book, day: date) -> Book:
    """The book of a runner who may run again from `day` on: the return table, and the week laid out again.

    The standing is the caller's to change first. Who never ran with us begins as after the intake.
    """
    if len(book.weeks) == 1 and book.weeks[-1].start > day:
        return begin(book, day, now_closed=False)  # the first week has not begun
    new = all(week.kind in CALM for week in book.weeks)
    if new and isinstance(book.standing, Training) and ways_back.starts_on_walk_run(book.profile):
        book = replace(book, walk_run=book.walk_run or WalkRun(0, 0, day))
    return lay_again(coming_back(book, day), day)


def after_illness(book: Book, day: date) -> Book:
    """The book after an illness, running from `day` on: up to five days without a run the next two runs are at
    half, else the return table."""
    short = limits.days_off(book, day) < limits.break_from(book)
    return return_after(replace(book, half_runs=HALF_RUNS.value if short else 0), day)


def pause(book: Book, today: date) -> Book:
    """The book without sessions from `today` on: on hold, or ill."""
    return replace(book, plan=tuple(session for session in book.plan if session.day < today))


def relay(book: Book, today: date) -> Book:
    """The book with the rest of the week laid out again, after a change of goal or of days."""
    if len(book.weeks) == 1 and book.weeks[-1].start > today:
        return begin(book, today, now_closed=False)
    return lay_again(roll(book, today), today)


def screening_is_due(book: Book, today: date) -> bool:
    """Whether the break was so long (over 56 days) that the screening is asked again."""
    return limits.days_off(book, today) > SCREEN_AFTER.value


def _is_open_still(book: Book, end: date, day: date) -> bool:
    """Whether a gap on `day`, after the week that ends on `end`, can be bridged by a run of the week to come."""
    return any(open_on(book, end + DAY * n) >= SESSION_MIN for n in range(1, (day - end).days + 1))


def _minute(wall: time) -> int:
    return wall.hour * 60 + wall.minute


def _opened(book: Book, start: date, first_day: date) -> tuple[Book, Figures]:
    book = ways_back.step_down(coming_back(book, first_day), first_day)
    figures = figures_of(book, start)
    week = lay(book, start, figures, first_day)
    over = book.returning is not None and book.returning.end < start
    book = replace(
        book,
        weeks=(*book.weeks, week),
        plan=tuple(sorted((*(s for s in book.plan if s.day > week.end), *week.sessions))),
        returning=None if over else book.returning,
    )
    return _without_needless_gaps(book, first_day), figures


def _without_needless_gaps(book: Book, day: date) -> Book:
    """The fresh week replanned where that leaves fewer gap days: its own cap, once known, may have room for more."""
    frame = replan_problem(book, day, False)
    if frame is None or len(book.weeks) == 1 or is_coming_back(book, day) or is_coming_back(book, book.weeks[-1].end):
        return book
    gaps = gap_days_of(frame.problem, frame.problem.planned)
    if not gaps or len(gaps) <= solve(frame.problem).objective.gap_days:
        return book
    week = book.weeks[-1]
    after = replan(book, day, False)[0]
    most = most_of(replace(book, weeks=book.weeks[:-1]), week)
    return after if sum(s.minutes for s in after.plan if week.holds(s.day)) <= most else book


def _as_if_run(book: Book, today: date) -> Book:
    """The book with every session still to come run as planned."""
    ran = tuple(
        LogEntry(f"as planned {session.day}", session.day, session.minutes, in_place_of_run=True)
        for session in book.plan
        if session.day >= today and not counted_minutes(book.log, session.day, 1)
    )
    return replace(book, log=tuple(sorted((*book.log, *ran), key=lambda entry: entry.day)))
