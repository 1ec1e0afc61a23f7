"""The plan of weeks: begin it, roll it on, replan the rest of a week, look ahead and look back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from nudgebot.domain.model.event import with_next_event
from nudgebot.domain.model.logbook import LogEntry, counted_minutes
from nudgebot.domain.model.parameters import BEFORE_QUIET, DAY_CLOSES, HALF_RUNS, SCREEN_AFTER
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Profile, Training, Walking, WalkRun
from nudgebot.domain.model.week import SESSION_MIN, STEP, Session, SessionKind, Week, WeekKind
from nudgebot.domain.planning import event_weeks, limits, season, walk_run
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.planning.limits import session_max
from nudgebot.domain.planning.reasons import PlanReason, ReasonText, why
from nudgebot.domain.planning.replan_input import DAY, is_coming_back, replan_problem, week_at_hand
from nudgebot.domain.planning.season import Figures, Why
from nudgebot.domain.planning.week_builder import dated, lay, most_of, within_return
from nudgebot.domain.profile import intake
from nudgebot.domain.solver.problem import gap_days_of
from nudgebot.domain.solver.solve import Limit, Problem, solve

__all__ = [
    "SEASON_WEEKS",
    "Limit",
    "PlanReason",
    "ReasonText",
    "Replanned",
    "Review",
    "Why",
    "after_illness",
    "begin",
    "forecast",
    "pause",
    "relay",
    "replan",
    "return_after",
    "review",
    "roll",
    "screening_is_due",
    "session_max",
    "today_closed",
    "why",
]

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
    if walk_run.starts_on_walk_run(book.profile) and isinstance(book.standing, Training):
        book = replace(book, walk_run=WalkRun(0, 0, today))
    first_day = today + DAY if now_closed else today
    start = book.monday(today)
    week = lay(book, start, _figures(book, start), first_day)
    if not week.sessions:
        start += timedelta(days=7)
        week = lay(book, start, _figures(book, start), start)
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
    while (start := book.monday(book.weeks[-1].end + DAY)) <= book.monday(today):
        book = _open(book, start, max(start, book.weeks[-1].end + DAY))
    return _settle(book, today)


def replan(book: Book, today: date, today_closed: bool) -> tuple[Book, Replanned | None]:
    """The book with the rest of its week replanned, and what changed; None if there is nothing to replan."""
    frame = replan_problem(book, today, today_closed)
    week = week_at_hand(book, today)
    if frame is None or week is None:
        return book, None
    problem, first = frame.problem, frame.first_day
    days = tuple(first + DAY * n for n in range(len(problem.planned)))
    answer = solve(problem)
    standing = replace(week, sessions=tuple(s for s in book.plan if week.holds(s.day)))
    placed = within_return(book, dated(standing, days, answer.x, problem.long_run))
    after = tuple(walk_run.labelled(book, session) for session in placed)
    x = tuple(next((session.minutes for session in after if session.day == day), 0) for day in days)
    before = tuple(session for session in book.plan if first <= session.day <= week.end)
    rest = tuple(session for session in book.plan if not first <= session.day <= week.end)
    return replace(book, plan=tuple(sorted((*rest, *after)))), Replanned(
        first_day=first,
        before=before,
        after=after,
        let_go=max(0, problem.target - sum(x)),
        lost=frame.let_go,
        binding=answer.binding,
        only_together=answer.only_several_limits_together,
        gap_days=tuple(
            day for n in gap_days_of(problem, x) if not _is_open_still(book, week.end, day := first + DAY * n)
        ),
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
        book = _open(book, book.monday(last.end + DAY), last.end + DAY)
        coming.append(book.weeks[-1])
    return tuple(coming)


def review(book: Book, week: Week) -> Review:
    """What a week came to, and the week after it as the log stands now."""
    start = week.end + DAY
    before = replace(book, weeks=tuple(w for w in book.weeks if w.start <= week.start))
    opened, figures = _opened(before, book.monday(start), start)
    done = counted_minutes(book.log, week.start)
    share = 100 * done // week.target if week.target else 100
    return Review(done, week.target, share, opened.weeks[-1], figures.why)


def return_after(book: Book, day: date) -> Book:
    """The book of a runner who may run again from `day` on: the return table, and the week laid out again.

    The standing is the caller's to change first. Who never ran with us begins as after the intake.
    """
    if len(book.weeks) == 1 and book.weeks[-1].start > day:
        return begin(book, day, now_closed=False)  # the first week has not begun
    new = all(week.kind in season.CALM for week in book.weeks)
    if new and isinstance(book.standing, Training) and walk_run.starts_on_walk_run(book.profile):
        book = replace(book, walk_run=book.walk_run or WalkRun(0, 0, day))
    return _relaid(_come_back(book, day), day)


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
    return _relaid(roll(book, today), today)


def screening_is_due(book: Book, today: date) -> bool:
    """Whether the break was so long (over 56 days) that the screening is asked again."""
    return limits.days_off(book, today) > SCREEN_AFTER.value


def _is_open_still(book: Book, end: date, day: date) -> bool:
    """Whether a gap on `day`, after the week that ends on `end`, can be bridged by a run of the week to come."""
    return any(open_on(book, end + DAY * n) >= SESSION_MIN for n in range(1, (day - end).days + 1))


def _minute(wall: time) -> int:
    return wall.hour * 60 + wall.minute


def _come_back(book: Book, today: date) -> Book:
    return season.coming_back(walk_run.climb(book, today), today)


def _figures(book: Book, start: date) -> Figures:
    """The figures of the week that begins on `start`: the season's, with what an event asks of them."""
    return event_weeks.shaped(book, start, season.next_week(book, start))


def _opened(book: Book, start: date, first_day: date) -> tuple[Book, Figures]:
    book = walk_run.step_down(_come_back(book, first_day), first_day)
    figures = _figures(book, start)
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


def _open(book: Book, start: date, first_day: date) -> Book:
    return _opened(book, start, first_day)[0]


def _settle(book: Book, today: date) -> Book:
    """The week of `today` as it should stand: emptied, laid out again, or left as it is."""
    week = book.week_of(today)
    if week is None:
        return book
    if isinstance(book.standing, OnHold | Ill):
        return pause(book, today)
    came = _come_back(book, today)
    # A break that goes on moves the return: the week is laid out again with it.
    moved = week.kind is not WeekKind.RETURN or came.returning != book.returning
    back = came.returning is not None and moved and came.walk_run is None
    restarted = came.walk_run is not None and book.walk_run is None
    if back or restarted or week.kind is WeekKind.PAUSE:
        relaid = _relaid(came, today)
        if back and week.kind is WeekKind.RETURN and not relaid.weeks[-1].target:
            return came  # no day of its pattern is left: the week stays as it was, and does not fall to nothing
        return relaid if week.kind is WeekKind.PAUSE or restarted else _no_longer_than(relaid, week.target, today)
    book = _relabelled(came, today)
    if _touched(book, week):
        return book
    before = replace(book, weeks=book.weeks[:-1], plan=())
    if not before.weeks:
        return book
    anew = lay(before, week.start, _figures(before, week.start), week.start)
    if anew == week:
        return book
    return replace(book, weeks=(*before.weeks, anew), plan=anew.sessions)


def _touched(book: Book, week: Week) -> bool:
    """Whether something in the week was run, replanned, or said about its days."""
    return (
        any(week.holds(entry.day) for entry in book.log if entry.counts)
        or any(week.holds(limit.day) for limit in book.limits)
        or tuple(session for session in book.plan if week.holds(session.day)) != week.sessions
        or week is not book.weeks[-1]
        or week.kind in season.CALM
    )


def _relaid(book: Book, today: date) -> Book:
    """The book with the rest of the current week laid out again; its past days stay as they are."""
    week = book.week_of(today)
    if week is None or week is not book.weeks[-1] or not isinstance(book.standing, Training | Walking):
        return book
    first_day = today + DAY if today in limits.running_days(book) else today
    before = replace(book, weeks=book.weeks[:-1])
    figures = _figures(before, week.start)
    # The week's own sessions say how long a run on the way back was planned: that is how long it counts.
    counted = replace(before, log=limits.as_planned(book).log)
    anew = lay(counted, week.start, figures, first_day) if first_day <= week.end else replace(week, sessions=())
    past = tuple(session for session in book.plan if session.day < first_day)
    ran_days = {s.day for s in week.sessions if s.day < first_day and counted_minutes(book.log, s.day, 1)}
    dropped = ran_days - {session.day for session in past}  # by a hold or an illness of the same day
    done = counted_minutes(book.log, week.start, (first_day - week.start).days)
    plan = tuple(sorted((*past, *anew.sessions)))
    # The target holds what was done and what is to come: in a return that moves on, what was missed is in neither.
    stood = (*past, *(s for s in week.sessions if s.day in dropped))
    ran = (s for s in stood if anew.kind is not WeekKind.RETURN or counted_minutes(book.log, s.day, 1))
    laid = replace(
        anew, target=done + sum(s.minutes for s in anew.sessions), sessions=tuple(sorted((*ran, *anew.sessions)))
    )
    return replace(book, weeks=(*before.weeks, laid), plan=plan)


def _no_longer_than(book: Book, target: int, today: date) -> Book:
    """The book whose current week, laid out again without a word of the runner's, holds no more than `target` minutes.

    The longest session to come gives way, by the grid, then the last: silence never raises the load. One stays.
    """
    week = book.weeks[-1]
    sessions = list(week.sessions)
    spare = target - week.target
    while spare < 0:
        coming = [s for s in sessions if s.day >= today]
        if len(coming) < 2 and all(s.minutes <= SESSION_MIN for s in coming):
            break
        longest = max(coming, key=lambda s: (s.minutes, s.day))
        place = sessions.index(longest)
        if longest.minutes > SESSION_MIN:
            sessions[place] = replace(longest, minutes=longest.minutes - STEP)
            spare += STEP
        else:
            del sessions[place]
            spare += longest.minutes
    if tuple(sessions) == week.sessions:
        return book
    cut = sum(s.minutes for s in week.sessions) - sum(s.minutes for s in sessions)
    long_run = max((s.minutes for s in sessions if s.kind is SessionKind.LONG), default=0)
    shorter = replace(week, target=week.target - cut, long_run=long_run, sessions=tuple(sessions))
    past = tuple(s for s in book.plan if s.day < today)
    return replace(
        book, weeks=(*book.weeks[:-1], shorter), plan=(*past, *(s for s in shorter.sessions if s.day >= today))
    )


def _relabelled(book: Book, today: date) -> Book:
    """The book with the sessions to come named after where the runner is on the walk-run ladder."""
    return replace(book, plan=tuple(s if s.day < today else walk_run.labelled(book, s) for s in book.plan))


def _as_if_run(book: Book, today: date) -> Book:
    """The book with every session still to come run as planned."""
    ran = tuple(
        LogEntry(f"as planned {session.day}", session.day, session.minutes, in_place_of_run=True)
        for session in book.plan
        if session.day >= today and not counted_minutes(book.log, session.day, 1)
    )
    return replace(book, log=tuple(sorted((*book.log, *ran), key=lambda entry: entry.day)))
