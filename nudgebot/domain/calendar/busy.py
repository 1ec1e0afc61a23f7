"""Busy times out of a calendar (RFC 5545), and what they leave of each day.

icalendar reads the file and recurring-ical-events says when its events fall; both are kept from what would take them
for ever. Titles, places and people are never looked at.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from nudgebot.domain.calendar.feed import UID_ENDING
from nudgebot.domain.model.logbook import BusyTime, BusyTimes, FileFault
from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import SESSION_MIN, STEP

LOOKED_AHEAD: Final = Rule("days that are looked through for busy ones", 28, "days", "house")
AROUND_A_RUN: Final = Rule("free time that a run needs beside its minutes", 30, "min", "house")
LARGEST: Final = 5_000_000  # bytes
MOST_EVENTS: Final = 20_000
MOST_REPEATS: Final = 100  # of one event on one day
MOST_TIMES: Final = 5_000
MOST_SEARCHED: Final = 200  # events whose rules take a search, up to half a second each
OLDEST: Final = 1970  # year in which what repeats may have begun
_DAY: Final = timedelta(days=1)
_TOO_OFTEN: Final = frozenset({"SECONDLY", "MINUTELY", "HOURLY"})
_SEARCHED: Final = frozenset({"BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYSETPOS"})
_LONGEST_MONTHS: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)  # days
_LISTS: Final = ("BYHOUR", "BYMINUTE", "BYSECOND")


def read_busy(content: bytes, now: datetime) -> BusyTimes | FileFault:
    """The busy times of the next four weeks in a calendar, or why none are taken. Total, and bounded in time."""
    import recurring_ical_events
    from icalendar import Calendar

    if len(content) > LARGEST:
        return FileFault.TOO_LARGE
    if len(re.findall(rb"(?im)^BEGIN:VEVENT", content)) > MOST_EVENTS:
        return FileFault.TOO_LARGE
    try:
        calendar = Calendar.from_ical(content)
        _forget_others(calendar)
        first = (now - _DAY).astimezone(UTC)
        last = first + (LOOKED_AHEAD.value + 2) * _DAY
        events = recurring_ical_events.of(calendar, skip_bad_series=True).between(first, last)
        times = [each for event in events if (each := _time(event)) is not None]
    # What the libraries say of a broken one; a RuntimeError is too deep a nesting.
    except (ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError):
        return FileFault.BROKEN
    if len(times) > MOST_TIMES:
        return FileFault.TOO_LARGE
    return BusyTimes(tuple(times))


def _forget_others(calendar: Any) -> None:
    """Leaves only the events that keep somebody busy, and whose repeats are found soon."""
    kept: list[Any] = []
    costly = 0
    for part in calendar.subcomponents:
        if part.name != "VTIMEZONE" and not (part.name == "VEVENT" and _counts(part)):
            continue
        costly += any(rule.keys() & _SEARCHED for rule in _rules(part))
        if costly <= MOST_SEARCHED:
            kept.append(part)
    calendar.subcomponents = kept


def _counts(event: Any) -> bool:
    """Whether an event keeps its owner busy: neither cancelled, nor marked as leaving them free, nor one of ours."""
    if str(event.get("TRANSP", "")).upper() == "TRANSPARENT" or str(event.get("STATUS", "")).upper() == "CANCELLED":
        return False
    if str(event.get("UID", "")).endswith(UID_ENDING):
        return False
    rules = _rules(event)
    return not any(map(_is_absurd, rules)) and not (rules and event.start.year < OLDEST)


def _rules(event: Any) -> list[Any]:
    rules = event.get("RRULE", [])
    return rules if isinstance(rules, list) else [rules]


def _is_absurd(rule: Any) -> bool:
    """Whether a rule repeats too often for an appointment, or may never be met, and would be searched to the year 9999.

    No calendar program writes such a rule.
    """
    freq = {str(each).upper() for each in rule.get("FREQ", ())}
    a_day = math.prod(max(1, len(rule.get(name, ()))) for name in _LISTS)
    if freq & _TOO_OFTEN or a_day > MOST_REPEATS:
        return True
    if not freq <= {"MONTHLY", "YEARLY"} and rule.keys() & {*_SEARCHED, "BYMONTH"}:
        return True
    if any(abs(int(place)) > 5 for place in rule.get("BYSETPOS", ())):
        return True
    months, days = rule.get("BYMONTH", ()), rule.get("BYMONTHDAY", ())
    met = any(abs(int(day)) <= _LONGEST_MONTHS[int(month) - 1] for month in months for day in days)
    return bool(months and days) and not met


def _time(event: Any) -> BusyTime | None:
    start, end = event.start, event.end
    if not isinstance(start, datetime):  # whole days, on whatever clock the reader has
        begin = datetime.combine(start, time())
        until = datetime.combine(end, time()) if end > start else begin + _DAY
        return BusyTime(begin, until)
    if isinstance(end, datetime) and (end.tzinfo is None) == (start.tzinfo is None) and end > start:
        return BusyTime(start, end) if start.tzinfo is None else BusyTime(start.astimezone(UTC), end.astimezone(UTC))
    return None


def limited_days(book: Book, found: BusyTimes, today: date) -> Mapping[date, int]:
    """The days on which a calendar leaves less than the runner's week has room for, with the minutes it leaves.

    A run needs one stretch of free time, outside quiet hours, half an hour longer than itself. A day that leaves less
    than the shortest session is closed.
    """
    profile = book.profile
    limits: dict[date, int] = {}
    for n in range(LOOKED_AHEAD.value):
        day = today + n * _DAY
        wanted = profile.open_minutes[day.weekday()]
        left = _longest_free(found, day, profile.quiet_to, profile.quiet_from, profile.tz) - AROUND_A_RUN.value
        left = left // STEP * STEP if left >= SESSION_MIN else 0
        said = book.limit_on(day)
        if left < wanted and (said is None or left < said.minutes):
            limits[day] = left
    return limits


def _longest_free(found: BusyTimes, day: date, wake: time, rest: time, zone: ZoneInfo) -> int:
    """Minutes of the longest stretch of `day` between `wake` and `rest` in which nothing stands."""
    begin, end = datetime.combine(day, wake), datetime.combine(day, rest)
    if end <= begin:  # quiet hours that end and begin after each other, or none
        begin, end = datetime.combine(day, time()), datetime.combine(day, time()) + _DAY
    longest, free_from = timedelta(), begin
    for start, until in sorted((_wall(each.start, zone), _wall(each.end, zone)) for each in found.times):
        if until <= begin or start >= end:
            continue
        longest = max(longest, start - free_from)
        free_from = max(free_from, until)
    return int(max(longest, end - free_from).total_seconds() // 60)


def _wall(moment: datetime, zone: ZoneInfo) -> datetime:
    """A moment on the runner's wall clock."""
    return moment if moment.tzinfo is None else moment.astimezone(zone).replace(tzinfo=None)
