"""The two-day rule, counted one way: rest days so far, the last day that keeps it, gaps the runner announced.

At most two days in a row without activity: American Diabetes Association, "Physical Activity/Exercise and
Diabetes: a position statement", Diabetes Care 2016;39:2065-2079. Its reason is glucose (one session improves
insulin action for 2-72 h: ACSM/ADA joint statement, Diabetes Care 2010;33:e147-e167); for everyone else it is a
rhythm. Counted on the runner's calendar dates, never in blocks of 24 hours.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from nudgebot.domain.model.logbook import AEROBIC, LogEntry, active_days
from nudgebot.domain.model.parameters import COMMUTES_A_WEEK, REST_GAP, RUN_DAY_FROM
from nudgebot.domain.model.runner import Book, LimitReason
from nudgebot.domain.model.week import SESSION_MIN, Session, SessionKind

COMMUTING_DAYS = COMMUTES_A_WEEK.value  # Monday to Friday
# A gap is judged so many days after its last allowed one and no later: past that day it is simply open.
_IN_SIGHT = 4


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Where the runner stands in the two-day rule on `today`.

    `rest_days` are the whole days since `last_active`, today not counted; `last_allowed` is the last day on which
    activity keeps the rule, and without it the gap is open from `opens` on.
    """

    last_active: date
    rest_days: int
    last_allowed: date
    opens: date


def rhythm(book: Book, today: date) -> Rhythm | None:
    """The rule as it stands for `book` on the runner's day `today`; None once the gap has long been open.

    The day of joining counts like activity, so a new runner starts without a debt.
    """
    last = last_active(book, today)
    if last is None:
        return None
    allowed = _days_on(last, REST_GAP.value + 1, book.profile.zone)
    rest = 0
    day = _days_on(last, 1, book.profile.zone)
    while day < today:
        rest += 1
        day = _days_on(day, 1, book.profile.zone)
    return Rhythm(last, rest, allowed, _days_on(allowed, 1, book.profile.zone))


def last_active(book: Book, today: date) -> date | None:
    """The newest day that ended a gap (a log, a habitual commute, the day of joining); None if none is in sight."""
    reach = REST_GAP.value + _IN_SIGHT
    horizon = today - timedelta(days=reach)
    recent: list[LogEntry] = []
    for entry in reversed(book.log):
        if entry.day < horizon:
            break
        recent.append(entry)
    days = set(active_days(recent))
    days.add(book.today(book.runner.joined_at))
    for back in range(reach + 1 if book.profile.commute else 0):
        day = today - timedelta(days=back)
        if commutes_on(book, day):
            days.add(day)
            break
    newest = max(days)
    return newest if newest >= horizon else None


def commutes_on(book: Book, day: date) -> bool:
    """Whether a habitual commute of ten minutes or more ends a gap on `day` (a weekday on which nothing is closed)."""
    profile = book.profile
    if not profile.commute or profile.commute_minutes < RUN_DAY_FROM.value * COMMUTING_DAYS or day.weekday() > 4:
        return False
    limit = book.limit_on(day)
    return limit is None or limit.reason not in (LimitReason.AWAY, LimitReason.ILL, LimitReason.PAIN)


def open_on(book: Book, day: date) -> int:
    """The most the runner can do on `day` (min): the newest word on it, else the weekly pattern."""
    limit = book.limit_on(day)
    return book.profile.open_minutes[day.weekday()] if limit is None else limit.minutes


def away_on(book: Book, day: date) -> bool:
    """Whether the runner is away on `day`."""
    limit = book.limit_on(day)
    return limit is not None and limit.reason is LimitReason.AWAY


def open_session(book: Book, day: date) -> Session | None:
    """The session of `day` if it was neither called off nor done; a session that asks for walking is done by a walk."""
    session = book.session_on(day)
    if session is None:
        return None
    limit = book.limit_on(day)
    if (limit is not None and limit.minutes == 0) or book.off_outside(day):
        return None
    walks = session.kind in (SessionKind.WALK, SessionKind.WALK_RUN)
    for entry in reversed(book.log):
        if entry.day < day:
            break
        if entry.day == day and entry.minutes > 0 and (entry.counts or (walks and entry.activity in AEROBIC)):
            return None
    return session


def announced(book: Book, state: Rhythm) -> bool:
    """Whether the runner announced this gap: closed its last allowed day, and left no session that would prevent it.

    Such a gap was named when it was announced. A session of these days that was neither called off nor run is
    another matter: the gap that follows from it was never named.
    """
    if open_on(book, state.last_allowed) >= RUN_DAY_FROM.value:
        return False
    day = state.last_active + timedelta(days=1)
    while day <= state.last_allowed:
        if _planned_on(book, day) and not _called_off(book, day):
            return False
        day += timedelta(days=1)
    return True


def open_days(book: Book, first: date, last: date) -> tuple[date, ...]:
    """Days from `first` to `last` on which a run of the shortest useful length fits, in order."""
    count = (last - first).days + 1
    days = (first + timedelta(days=offset) for offset in range(count))
    return tuple(day for day in days if open_on(book, day) >= SESSION_MIN and not book.off_outside(day))


def _called_off(book: Book, day: date) -> bool:
    limit = book.limit_on(day)
    return limit is not None and limit.minutes < RUN_DAY_FROM.value


def _planned_on(book: Book, day: date) -> bool:
    week = book.week_of(day)
    laid_out = week is not None and any(session.day == day for session in week.sessions)
    return laid_out or book.session_on(day) is not None


@lru_cache(maxsize=4096)
def day_exists(day: date, zone: str) -> bool:
    """Whether the calendar of `zone` has `day` at all: a move across the date line skips one (Apia, 2011-12-30)."""
    noon = datetime.combine(day, time(12), ZoneInfo(zone)).astimezone(UTC)
    return noon.astimezone(ZoneInfo(zone)).date() == day


def _days_on(day: date, count: int, zone: str) -> date:
    while count:
        day += timedelta(days=1)
        if day_exists(day, zone):
            count -= 1
    return day
