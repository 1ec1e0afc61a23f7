"""The caps on load jumps for a book and a day, the facts of the log they rest on, and times in which no plan grows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.event import closes
from nudgebot.domain.model.logbook import Activity, LogEntry, entries_between, entries_since, run_minutes
from nudgebot.domain.model.parameters import STEADY_AFTER_EMERGENCY, STEADY_AFTER_LOW_MOOD
from nudgebot.domain.model.runner import Book, LimitReason, OnHold, Training
from nudgebot.domain.model.week import SESSION_MIN, STEP, Return, Session, SessionKind, WeekKind, floor5, week_start
from nudgebot.domain.planning.dose import longest_gap, run_days
from nudgebot.domain.profile import conditions
from nudgebot.domain.text.symptoms.table import MIND

DAY = timedelta(days=1)
NOT_COUNTED = frozenset({LimitReason.AWAY, LimitReason.ILL})


@dataclass(frozen=True, slots=True)
class Break:
    """Days in a row without a run, long enough for the return table: the first of them, and how many."""

    first: date
    days: int

    @property
    def back(self) -> date:
        """The first day after it."""
        return self.first + timedelta(days=self.days)


def session_max(book: Book, day: date) -> int:
    """The single-session cap (min, on the grid) of the training week that holds `day`."""
    longest = longest_run(book, week_start(day))
    cap = max(rules.SESSION_FLOOR.value, longest + rules.SESSION_STEP.value, floor5(rules.SESSION_GROWTH.of(longest)))
    if book.profile.coach_session:
        cap = max(SESSION_MIN, min(cap, book.profile.coach_session))
    return floor5(cap)


def longest_run(book: Book, start: date) -> int:
    """The longest single run (min) of the 30 days before `start`; one above its day's cap counts as that cap.

    What the runner told at the intake counts as a run of the day before the first training day.
    """
    reach = start - timedelta(days=rules.LONGEST_DAYS.value)
    runs = [
        min(entry.minutes, entry.cap) if entry.cap else entry.minutes
        for entry in entries_between(book.log, reach, rules.LONGEST_DAYS.value)
        if entry.is_run
    ]
    told = book.profile.longest if first_day(book, start) - DAY >= reach else 0
    return max(told, *runs) if runs else told


def window_max(book: Book, day: date) -> int:
    """The most minutes (on the grid) in the seven days that end on `day`."""
    week = book.week_of(day)
    most = 0 if _in_return(book, day) else week_max(book, day)
    return window_for(book, day, *((week.target, week.longest) if week else (0, 0)), most)


def window_for(book: Book, day: date, target: int, longest: int, most: int) -> int:
    """As `window_max`, for a week that is not laid out yet: its target and longest session, its `week_max` (min).

    Where a goal has no long run, the longest of its like sessions stands for it: the cap leaves room for one
    of them to move.
    """
    if _in_return(book, day) and book.returning is not None:
        return max(
            rules.RETURN_WINDOW_FLOOR.value, floor5(book.returning.old_week * share_on(book.returning, day) / 100)
        )
    return max(most, target + longest)


def _in_return(book: Book, day: date) -> bool:
    return book.walk_run is None and share_on(book.returning, day) < 100


def week_max(book: Book, day: date) -> int:
    """The most minutes (on the grid) that the training week of `day` may be planned with."""
    return max(rules.WINDOW_FLOOR.value, floor5(mean_week(book, day) * book.profile.coach_window / 100))


def is_jump(book: Book, entry: LogEntry) -> bool:
    """Whether a run was over its single-session cap, or the seven days that end with it over theirs.

    The caps lie on the grid: less than a step over one is rounding.
    """
    if not entry.is_run or after_event(book, entry.day):
        return False
    if entry.minutes >= (entry.cap or session_max(book, entry.day)) + STEP:
        return True
    over = sum(run_minutes(as_planned(book, instead=False).log, entry.day - 6 * DAY, 7)) - STEP
    week = book.week_of(entry.day)
    if week is not None and over < week.target + week.longest and share_on(book.returning, entry.day) == 100:
        return False  # the cap is no lower than that, whatever the mean of four weeks
    return over >= window_max(book, entry.day)


def after_event(book: Book, day: date) -> bool:
    """Whether `day` is that of an event or one of the six after it: its minutes are nobody's jump."""
    event = book.intake.event
    return event is not None and 0 <= (day - event.day).days < 7


def as_planned(book: Book, *, instead: bool = True) -> Book:
    """The book in which a run that was longer than planned, in a return or on walk-run, is as long as it was planned.

    What follows is laid by it: a longer run takes no session away, and brings none. In a return a run on a day without
    a session is as long as one that was missed before it in its week; with `instead` off it counts in full.
    """
    came_back = book.returning is not None or book.walk_run is not None
    if not came_back and WeekKind.WALK_RUN not in [week.kind for week in book.weeks]:
        return book
    planned = _planned_on_the_way_back(book)
    if instead:
        planned |= _in_place_of_missed(book)
    left: dict[date, int] = {}
    log: list[LogEntry] = []
    for entry in book.log:
        if entry.counts and entry.day in planned:
            most = left.get(entry.day, planned[entry.day])
            left[entry.day] = max(0, most - entry.minutes)
            if entry.minutes > most:
                entry = replace(entry, minutes=most)  # noqa: PLW2901 - the same run, as it counts
        log.append(entry)
    return replace(book, log=tuple(log))


def _planned_on_the_way_back(book: Book) -> dict[date, int]:
    """Minutes planned on each day of the return, and on each with a session of walk-run; the plan before the layout."""
    sessions = _sessions(book)
    ladder = {SessionKind.WALK, SessionKind.WALK_RUN}
    return {
        day: session.minutes
        for day, session in sessions.items()
        if session.kind in ladder or share_on(book.returning, day) < 100
    }


def _sessions(book: Book) -> dict[date, Session]:
    sessions = {session.day: session for week in book.weeks for session in week.sessions}
    return sessions | {session.day: session for session in reversed(book.plan)}


def _in_place_of_missed(book: Book) -> dict[date, int]:
    """Minutes of the missed session that each run of a return on a day without one stands for."""
    ran, sessions = running_days(book), _sessions(book)
    weeks = {week.start for week in book.weeks if week.kind is WeekKind.RETURN}
    missed = sorted(day for day in sessions.keys() - ran if week_start(day) in weeks)
    instead: dict[date, int] = {}
    for day in sorted(ran - sessions.keys()):
        earlier = next((other for other in missed if week_start(day) <= other < day), None)
        if earlier and share_on(book.returning, day) < 100:
            missed.remove(earlier)
            instead[day] = sessions[earlier].minutes
    return instead


def share_on(returning: Return | None, day: date) -> int:
    """Percent of the old sessions that a return allows on `day`; 100 outside one."""
    if returning is None or not returning.since <= day <= returning.end:
        return 100
    return rules.FIRST_HALF.value if day <= returning.first_half_end else rules.SECOND_HALF.value


def mean_week(book: Book, day: date) -> float:
    """Mean minutes run a week over the 28 counted days before the training week that holds `day`.

    Days away, ill, on hold, in a break or in the return after it are not counted: it reaches back further,
    then to the figure of the intake. It does not reach past a break that led to a fresh start.
    """
    return mean_before(book, week_start(day))


def mean_before(book: Book, start: date) -> float:
    """As `mean_week`, over the counted days before `start`."""
    first = max(first_day(book, start), start - rules.LOG_REACHES.span)
    span = max(0, (start - first).days)
    minutes = run_minutes(book.log, first, span)
    off = [gap for gap in breaks(book, start) if gap.first >= first]
    fresh = max((gap.back for gap in off if gap.days > rules.RETURN_UP_TO.value), default=first)
    # After more than four weeks there is no return: what is walked and run on the ladder counts.
    lasts = {gap: gap.days * (1 if gap.days > rules.RETURN_UP_TO.value else 2) for gap in off}
    skipped = {gap.first + DAY * n for gap, days in lasts.items() for n in range(days)}
    skipped |= {limit.day for limit in book.limits if limit.reason in NOT_COUNTED and limit.minutes == 0}
    if (event := book.intake.event) is not None:
        skipped |= {day for n in range(span) if closes(event, day := first + DAY * n)}
    skipped |= {pause.first + DAY * n for pause in book.pauses for n in range((pause.last - pause.first).days + 1)}
    held_from = book.local(book.standing.since).date() if isinstance(book.standing, OnHold) else date.max
    total = counted = 0
    for n in reversed(range(span)):
        on = first + timedelta(days=n)
        if counted == rules.MEAN_DAYS.value or on < fresh:
            break
        if on < held_from and on not in skipped:
            total += minutes[n]
            counted += 1
    told = book.profile.weekly / 7 if fresh == first else 0
    return (total + (rules.MEAN_DAYS.value - counted) * told) * 7 / rules.MEAN_DAYS.value


def first_day(book: Book, day: date) -> date:
    """The day of the runner's first session; `day` itself where no week has been laid out."""
    if not book.weeks:
        return day
    first = book.weeks[0]
    return min((session.day for session in first.sessions), default=first.start)


def breaks(book: Book, until: date) -> tuple[Break, ...]:
    """Every break before `until`, oldest first; the last one may still be going on there."""
    least, last, found = break_from(book), first_day(book, until) - DAY, []
    for day in (*sorted(day for day in running_days(book) if last < day < until), until):
        if (day - last).days - 1 >= least:
            found.append(Break(last + DAY, (day - last).days - 1))
        last = day
    return tuple(found)


def days_off(book: Book, today: date) -> int:
    """Days without a run up to yesterday, 0 if there was a run yesterday or today."""
    last = max((day for day in running_days(book) if day <= today), default=first_day(book, today) - DAY)
    return max(0, (today - last).days - 1)


def break_from(book: Book) -> int:
    """Days without a run from which the return table applies; more than the open days themselves ask for."""
    layout = run_days(book.profile.open_minutes, 3, book.profile.long_day)
    usual = longest_gap(layout.days)
    return max(rules.BREAK_FROM.value, usual + 1 if usual < 7 else 0)


def running_days(book: Book, since: date = date.min) -> frozenset[date]:
    """Days from `since` on with ten minutes or more of running; walks in place of a run are runs to who walks so far.

    The walks that began a ladder stay what they were once it is climbed.
    """
    walks = book.walk_run is not None or not isinstance(book.standing, Training)
    log = entries_since(book.log, since)
    others = any(entry.activity is not Activity.RUN and entry.counts for entry in log)
    walked = _ladder_walks(book) if others and not walks else frozenset()
    sums: dict[date, int] = {}
    for entry in log:
        if entry.activity is Activity.RUN or ((walks or entry.day in walked) and entry.counts):
            sums[entry.day] = sums.get(entry.day, 0) + entry.minutes
    return frozenset(day for day, minutes in sums.items() if minutes >= rules.RUN_DAY_FROM.value)


def days_in_a_row(book: Book, day: date) -> int:
    """Run days in a row that end on `day`."""
    ran, count = running_days(book), 0
    while day - count * DAY in ran:
        count += 1
    return count


def _ladder_walks(book: Book) -> frozenset[date]:
    """Days of walks that led up to walk-run sessions; walks until cleared and after an illness lead to none."""
    ladder = [week for week in book.weeks if week.kind is not WeekKind.WALKING]
    last = max((s.day for week in ladder for s in week.sessions if s.kind is SessionKind.WALK_RUN), default=None)
    if last is None:
        return frozenset()
    # A walk may have been moved within its week.
    walks = {week.start + DAY * n for week in ladder if week.kind is WeekKind.WALK_RUN for n in range(7)}
    walks |= {s.day for week in ladder for s in week.sessions if s.kind is SessionKind.WALK}
    return frozenset(day for day in walks if day < last)


def steady(book: Book, day: date) -> bool:
    """Whether the week that begins on `day` is no larger than the one before it."""
    return day < steady_until(book) or low(book, day) or conditions.keeps_level(book.intake)


def after_emergency(book: Book, today: date) -> Book:
    """The book of a runner who runs again after an emergency on `today`."""
    until = today + timedelta(days=STEADY_AFTER_EMERGENCY.value)
    return replace(book, intake=replace(book.intake, steady_until=until))


def steady_until(book: Book) -> date:
    """The first day on which the plan may grow again after an emergency; long past where there was none."""
    return book.intake.steady_until or date.min


def low(book: Book, day: date) -> bool:
    """Whether low mood was told in the two weeks up to `day`: sessions are optional then, and no gap is warned of."""
    most = timedelta(days=STEADY_AFTER_LOW_MOOD.value)
    return any(note.sign in MIND and note.day <= day < note.day + most for note in book.symptoms)
