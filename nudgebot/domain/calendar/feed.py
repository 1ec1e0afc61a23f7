"""The plan as a calendar (RFC 5545): which event each session is, across its moves, and the file.

A session has no number of its own, so what was published is kept: a session of the same day is the same event, and one
that is gone and one that came in the same week are one that moved. Its UID stays and its SEQUENCE rises (3.8.7.4).

icalendar is imported as it is needed: loading it takes a tenth of a second, and most commands never do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from nudgebot.domain.messages.common import EASY, SESSION_WORDS
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Profile
from nudgebot.domain.model.week import Session, SessionKind
from nudgebot.domain.planning import planner

if TYPE_CHECKING:
    from icalendar import Event

WEEKS: Final = 3  # beside the current one; what comes later changes too much to stand in a calendar
KEPT: Final = timedelta(days=14)  # how long what is past or cancelled stays in the file
UID_ENDING: Final = "@plan.nudgebot"
NAME: Final = "Running plan"


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """A session as it was published: its UID, how often it changed since, and when it did last (UTC)."""

    uid: str
    sequence: int
    day: date
    minutes: int
    kind: SessionKind
    cancelled: bool
    changed_at: datetime


def sessions_ahead(book: Book, today: date) -> tuple[Session, ...]:
    """The sessions of this week and of the next three, as things stand; none while nothing is planned."""
    if isinstance(book.standing, OnHold | Ill | Joining):
        return ()
    week = book.week_of(today)
    current = [s for s in book.plan if s.day >= today]
    last = max((s.day for s in current), default=today)
    last = max(last, week.end) if week is not None else last
    later = (s for week in planner.forecast(book, today, WEEKS) for s in week.sessions if s.day > last)
    return tuple(sorted((*current, *later)))


def published(
    before: Iterable[CalendarEvent], sessions: Sequence[Session], today: date, now: datetime, new_uid: Callable[[], str]
) -> tuple[CalendarEvent, ...]:
    """What the calendar holds now, given what it held before, in the order of days.

    What is past stays as it was for two weeks; a session of today that is over does so too.
    """
    kept = [event for event in before if event.day >= today - KEPT and (event.day < today or event.cancelled)]
    live = {event.day: event for event in before if event.day >= today and not event.cancelled}
    left: list[Session] = []
    for session in sessions:
        event = live.pop(session.day, None)
        if event is None:
            left.append(session)
        else:
            kept.append(_changed(event, session, now))
    for session in left:
        moved = next((day for day in sorted(live) if day.isocalendar()[:2] == session.day.isocalendar()[:2]), None)
        if moved is not None:
            kept.append(_changed(live.pop(moved), session, now))
        else:
            uid = f"{new_uid()}{UID_ENDING}"
            kept.append(CalendarEvent(uid, 0, session.day, session.minutes, session.kind, False, now))
    kept += [replace(event, cancelled=True, sequence=event.sequence + 1, changed_at=now) for event in live.values()]
    return tuple(sorted(kept, key=lambda event: (event.day, event.uid)))


def _changed(event: CalendarEvent, session: Session, now: datetime) -> CalendarEvent:
    to = replace(event, day=session.day, minutes=session.minutes, kind=session.kind)
    return event if to == event else replace(to, sequence=event.sequence + 1, changed_at=now)


def as_ics(events: Sequence[CalendarEvent], profile: Profile, alarm: int | None) -> bytes:
    """The file: each session at the runner's usual time, in their zone; `alarm` minutes before it, None for none."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//nudgebot//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("name", NAME)  # RFC 7986, 5.1
    calendar.add("refresh-interval", timedelta(hours=3), {"value": "DURATION"})  # RFC 7986, 5.7
    for event in events:
        calendar.add_component(_event(event, profile, alarm))
    if events:
        days = [event.day for event in events]
        calendar.add_missing_timezones(min(days) - timedelta(days=366), max(days) + timedelta(days=366))
    content: bytes = calendar.to_ical()
    return content


def _event(event: CalendarEvent, profile: Profile, alarm: int | None) -> Event:
    from icalendar import Alarm, Event

    start = datetime.combine(event.day, profile.run_time, profile.tz)
    words = f"{event.minutes} min {SESSION_WORDS[event.kind]}"
    made = Event()
    made.add("uid", event.uid)
    made.add("dtstamp", event.changed_at)  # without a METHOD: the last revision (3.8.7.2)
    made.add("sequence", event.sequence)
    made.add("dtstart", start)
    made.add("dtend", start + timedelta(minutes=event.minutes))
    made.add("summary", words)
    made.add("description", EASY)
    made.add("status", "CANCELLED" if event.cancelled else "CONFIRMED")
    if alarm is not None and not event.cancelled:
        bell = Alarm()
        bell.add("action", "DISPLAY")
        bell.add("trigger", timedelta(minutes=-alarm))
        bell.add("description", words)
        made.add_component(bell)
    return made
