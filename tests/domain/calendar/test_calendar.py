"""The plan as a calendar, read by a second parser; busy times out of calendars. RFC 5545 is named by section."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from nudgebot.domain.calendar.busy import limited_days, read_busy
from nudgebot.domain.calendar.feed import KEPT, UID_ENDING, CalendarEvent, as_ics, published
from nudgebot.domain.model.logbook import BusyTime, BusyTimes, FileFault
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason, Profile, Runner, Training
from nudgebot.domain.model.week import Session

NOW = datetime(2027, 3, 8, 9, tzinfo=UTC)  # a Monday
TODAY = date(2027, 3, 8)
DAY = timedelta(days=1)
LISBON = Profile(zone="Europe/Lisbon", run_time=time(18, 30), open_minutes=(60,) * 7)


def book(profile: Profile = LISBON, limits: tuple[DayLimit, ...] = ()) -> Book:
    return Book(Runner(1, "talk", "Ana", "Ana", NOW, NOW), profile, Training(), limits=limits)


def uids() -> Any:
    numbers = itertools.count(1)
    return lambda: f"{next(numbers)}"


def plan(*days: int, minutes: int = 30) -> tuple[Session, ...]:
    return tuple(Session(TODAY + n * DAY, minutes) for n in days)


def first_of(*days: int) -> tuple[CalendarEvent, ...]:
    return published((), plan(*days), TODAY, NOW, uids())


def test_a_session_that_moves_twice_is_the_same_event_with_sequence_two() -> None:
    # 3.8.7.4: "SEQUENCE:2 … has been revised two times"; the UID of a session stays.
    (event,) = first_of(1)
    once = published((event,), plan(2), TODAY, NOW + DAY, uids())
    (twice,) = published(once, plan(3), TODAY, NOW + 2 * DAY, uids())
    assert (twice.uid, twice.sequence, twice.day) == (event.uid, 2, TODAY + 3 * DAY)
    assert twice.changed_at == NOW + 2 * DAY


def test_what_did_not_change_is_not_revised() -> None:
    events = first_of(1, 3, 6)
    assert published(events, plan(1, 3, 6), TODAY, NOW + DAY, uids()) == events


def test_other_minutes_are_a_revision() -> None:
    (event,) = first_of(1)
    (after,) = published((event,), plan(1, minutes=20), TODAY, NOW, uids())
    assert (after.uid, after.sequence, after.minutes) == (event.uid, 1, 20)


def test_a_session_that_is_gone_is_cancelled_for_two_weeks_and_then_dropped() -> None:
    (event,) = first_of(2)
    gone = published((event,), (), TODAY, NOW, uids())
    assert [(each.uid, each.sequence, each.cancelled) for each in gone] == [(event.uid, 1, True)]
    assert published(gone, (), event.day + KEPT, NOW, uids()) == gone
    assert published(gone, (), event.day + KEPT + DAY, NOW, uids()) == ()


def test_a_session_of_next_week_is_not_the_one_that_was_called_off_in_this() -> None:
    (event,) = first_of(2)
    after = published((event,), plan(9), TODAY, NOW, lambda: "new")
    assert [(each.cancelled, each.sequence) for each in after] == [(True, 1), (False, 0)]
    assert len({each.uid for each in after}) == 2


def test_what_is_past_stays_as_it_was() -> None:
    events = first_of(0, 2)
    after = published(events, plan(2), TODAY + DAY, NOW + DAY, uids())
    assert after == events


@settings(max_examples=60)
@given(st.lists(st.sets(st.integers(0, 20), max_size=6), min_size=1, max_size=6))
def test_however_a_plan_changes_uids_stay_apart_and_sequences_only_rise(plans: list[set[int]]) -> None:
    make = uids()
    events: tuple[CalendarEvent, ...] = ()
    known: dict[str, int] = {}
    for step, days in enumerate(plans):
        today = TODAY + step * DAY
        sessions = plan(*sorted(day for day in days if day >= step))
        events = published(events, sessions, today, NOW + step * DAY, make)
        assert len({each.uid for each in events}) == len(events)
        live = sorted(each.day for each in events if not each.cancelled and each.day >= today)
        assert live == [session.day for session in sessions]
        for each in events:
            assert each.sequence >= known.get(each.uid, 0)
            known[each.uid] = each.sequence


def test_a_second_parser_reads_the_same_sessions_in_the_same_zone() -> None:
    # vobject 0.9, which shares no code with the library that wrote it.
    events = published((), plan(1, 3, 24), TODAY, NOW, uids())  # summer time begins on 28 March 2027
    read = vobject.readOne(as_ics(events, LISBON, 20).decode())
    found = [(e.dtstart.value.astimezone(UTC), e.dtend.value.astimezone(UTC)) for e in read.vevent_list]
    wanted = [datetime(2027, 3, 9, 18, 30, tzinfo=UTC), datetime(2027, 3, 11, 18, 30, tzinfo=UTC)]
    wanted.append(datetime(2027, 4, 1, 17, 30, tzinfo=UTC))
    assert found == [(each, each + timedelta(minutes=30)) for each in wanted]
    assert [e.uid.value for e in read.vevent_list] == [each.uid for each in events]
    assert {e.summary.value for e in read.vevent_list} == {"30 min easy run"}
    assert {e.valarm.trigger.value for e in read.vevent_list} == {timedelta(minutes=-20)}


def test_the_file_is_what_the_standard_asks_for() -> None:
    (event,) = first_of(1)
    content = as_ics((event, replace(event, uid=f"b{UID_ENDING}", cancelled=True, sequence=1)), LISBON, 30)
    lines = content.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)  # 3.1, in octets
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert content.count(b"BEGIN:VTIMEZONE") == 1  # 3.6.5: one for each TZID that is used
    assert b"effort 4 of 10 or less" in content.replace(b"\r\n ", b"")
    assert b"full sentences\\, effort" in content.replace(b"\r\n ", b"")  # 3.3.11
    one, other = Calendar.from_ical(content).events
    assert (one["STATUS"], other["STATUS"], other["SEQUENCE"]) == ("CONFIRMED", "CANCELLED", 1)
    assert one.DTSTAMP == NOW
    assert [len(each.walk("VALARM")) for each in (one, other)] == [1, 0]


def ics(*events: str) -> bytes:
    stamped = (f"UID:{n}\r\nDTSTAMP:20270301T000000Z\r\n{each}" for n, each in enumerate(events))
    body = "\r\n".join(f"BEGIN:VEVENT\r\n{each}\r\nEND:VEVENT" for each in stamped)
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//EN\r\n{body}\r\nEND:VCALENDAR\r\n".encode()


def times(content: bytes) -> tuple[BusyTime, ...]:
    found = read_busy(content, NOW)
    assert isinstance(found, BusyTimes), found
    return found.times


def test_a_weekly_event_keeps_its_wall_time_over_a_change_of_the_clock() -> None:
    # 3.8.5.3 gives rules in local time: "9:00 AM EDT" before, "9:00 AM EST" after; New York changes on 14 March 2027.
    found = times(
        ics("DTSTART;TZID=America/New_York:20270309T090000\r\nDURATION:PT1H\r\nRRULE:FREQ=WEEKLY;COUNT=2;BYDAY=TU")
    )
    assert [each.start for each in found] == [
        datetime(2027, 3, 9, 14, tzinfo=UTC),
        datetime(2027, 3, 16, 13, tzinfo=UTC),
    ]


def test_exceptions_and_moved_instances_are_followed() -> None:
    # 3.8.5.1 (EXDATE) and 3.8.4.4 (RECURRENCE-ID)
    base = "DTSTART:20270308T120000Z\r\nDTEND:20270308T130000Z"
    content = ics(f"{base}\r\nRRULE:FREQ=DAILY;COUNT=4\r\nEXDATE:20270309T120000Z").decode()
    instance = "UID:0\r\nDTSTAMP:20270301T000000Z\r\nRECURRENCE-ID:20270310T120000Z\r\nDTSTART:20270310T170000Z"
    moved = f"BEGIN:VEVENT\r\n{instance}\r\nDTEND:20270310T180000Z\r\nEND:VEVENT\r\nEND:VCALENDAR"
    found = times(content.replace("END:VCALENDAR", moved).encode())
    assert sorted((each.start.day, each.start.hour) for each in found) == [(8, 12), (10, 17), (11, 12)]


def test_free_cancelled_and_own_events_keep_nobody_busy() -> None:
    span = "DTSTART:20270310T060000Z\r\nDTEND:20270310T220000Z"
    ours = as_ics(first_of(1, 2), LISBON, None)
    assert times(ics(f"{span}\r\nTRANSP:TRANSPARENT", f"{span}\r\nSTATUS:CANCELLED")) == ()
    assert times(ours) == ()


def limits(*events: str, profile: Profile = LISBON, said: tuple[DayLimit, ...] = ()) -> dict[date, int]:
    found = read_busy(ics(*events), NOW)
    assert isinstance(found, BusyTimes)
    return dict(limited_days(book(profile, said), found, TODAY))


def test_a_whole_day_closes_its_day_and_no_other() -> None:
    assert limits("DTSTART;VALUE=DATE:20270310\r\nDTEND;VALUE=DATE:20270312") == {
        date(2027, 3, 10): 0,
        date(2027, 3, 11): 0,
    }
    assert limits("DTSTART;VALUE=DATE:20270310") == {date(2027, 3, 10): 0}


def test_a_day_is_limited_to_its_longest_free_stretch_less_half_an_hour() -> None:
    # Awake 06:30 to 21:30: free until 07:00 and from 20:17 on, 73 minutes, of which a run may take 40.
    assert limits("DTSTART:20270310T070000Z\r\nDTEND:20270310T201700Z") == {date(2027, 3, 10): 40}
    assert limits("DTSTART:20270310T070000Z\r\nDTEND:20270310T203000Z") == {date(2027, 3, 10): 30}
    assert limits("DTSTART:20270310T070000Z\r\nDTEND:20270310T204500Z") == {date(2027, 3, 10): 0}
    assert limits("DTSTART:20270310T090000Z\r\nDTEND:20270310T170000Z") == {}
    halves = (
        "DTSTART:20270310T070000Z\r\nDTEND:20270310T140000Z",
        "DTSTART:20270310T133000Z\r\nDTEND:20270310T203000Z",
    )
    assert limits(*halves) == {date(2027, 3, 10): 30}


def test_a_time_without_a_zone_is_the_runners_own_clock() -> None:
    tokyo = replace(LISBON, zone="Asia/Tokyo")
    floating = "DTSTART:20270310T070000\r\nDTEND:20270310T203000"
    assert limits(floating, profile=tokyo) == {date(2027, 3, 10): 30}
    utc = "DTSTART:20270309T220000Z\r\nDTEND:20270310T113000Z"  # 07:00 to 20:30 in Tokyo
    assert limits(utc, profile=tokyo) == {date(2027, 3, 10): 30}


def test_a_day_that_the_runner_closed_further_is_not_opened() -> None:
    said = (DayLimit(date(2027, 3, 10), 20, LimitReason.BUSY),)
    assert limits("DTSTART:20270310T070000Z\r\nDTEND:20270310T203000Z", said=said) == {}
    assert limits("DTSTART;VALUE=DATE:20270310", said=said) == {date(2027, 3, 10): 0}


def test_nothing_but_times_is_kept() -> None:
    found = read_busy(ics("DTSTART:20270310T060000Z\r\nDTEND:20270310T220000Z\r\nSUMMARY:dinner with Bo"), NOW)
    assert "Bo" not in repr(found)


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=SECONDLY",
        "FREQ=MINUTELY;INTERVAL=1",
        "FREQ=HOURLY",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=31",
        "FREQ=YEARLY;BYMONTH=2,4;BYMONTHDAY=31",
        "FREQ=MONTHLY;BYDAY=MO;BYSETPOS=6",
        f"FREQ=DAILY;BYHOUR={','.join(map(str, range(24)))};BYMINUTE={','.join(map(str, range(60)))}",
    ],
)
def test_what_repeats_without_end_or_sense_is_left_out(rule: str) -> None:
    endless = f"DTSTART:20270101T000000Z\r\nDURATION:PT1M\r\nRRULE:{rule}"
    assert len(times(ics(endless, "DTSTART:20270310T060000Z\r\nDTEND:20270310T070000Z"))) == 1


def test_rules_that_people_have_are_followed() -> None:
    # 3.8.5.3 has the like of each: the first Monday of a month, the 10th, every other Tuesday, a birthday.
    for start, rule, days in (
        ("20270104", "FREQ=MONTHLY;BYDAY=1MO", ["0405"]),
        ("20270110", "FREQ=MONTHLY;BYMONTHDAY=10", ["0310"]),
        ("20270112", "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU", ["0309", "0323", "0406"]),
        ("20000310", "FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=10", ["0310"]),
    ):
        found = times(ics(f"DTSTART:{start}T080000Z\r\nDURATION:PT1H\r\nRRULE:{rule}"))
        assert [f"{each.start:%m%d}" for each in found] == days, rule


HOSTILE = (
    b"BEGIN:VCALENDAR",
    b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nEND:VCALENDAR",
    ics("DTSTART:nonsense"),
    ics("DTSTART:20270310T060000Z\r\nDTEND:20270309T060000Z"),
    ics("DTSTART:20270310T060000Z\r\nDTEND;VALUE=DATE:20270311"),
    ics("DTSTART;TZID=Nowhere/Land:20270310T060000\r\nDURATION:PT1H"),
    ics("DTSTART:00010101T000000Z\r\nDTEND:99991231T235959Z"),
    ics("DTSTART:20270310T060000Z\r\nRRULE:FREQ=NEVER"),
    ics("SUMMARY:no start"),
    ics("DTSTART:20270310T060000Z\r\nDURATION:P99999999999999W"),
    b"BEGIN:VCALENDAR\r\n" + bytes(range(256)) + b"\r\nEND:VCALENDAR",
)


@pytest.mark.parametrize("content", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_calendar_comes_to_times_or_to_a_fault(content: bytes) -> None:
    assert isinstance(read_busy(content, NOW), BusyTimes | FileFault)


def test_too_large_a_calendar_is_a_fault_before_it_is_read() -> None:
    assert read_busy(b"BEGIN:VCALENDAR" + b" " * 5_000_000, NOW) is FileFault.TOO_LARGE
    assert read_busy(b"BEGIN:VEVENT\r\n" * 20_001, NOW) is FileFault.TOO_LARGE


@settings(max_examples=40)
@given(st.data())
def test_any_damage_to_a_calendar_comes_to_times_or_to_a_fault(data: st.DataObject) -> None:
    content = bytearray(
        ics(
            "DTSTART;TZID=Europe/Lisbon:20270309T090000\r\nDURATION:PT1H\r\nRRULE:FREQ=WEEKLY;BYDAY=TU\r\nEXDATE:20270316"
        )
    )
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.integers(0, len(content) - 1))
        content[place : place + data.draw(st.integers(0, 12))] = data.draw(st.binary(max_size=12))
    assert isinstance(read_busy(bytes(content), NOW), BusyTimes | FileFault)
