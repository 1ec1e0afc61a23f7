"""Nudges on the runner's clock: quiet hours, late rounds, and the traps of time zones.

The instants of the zone cases follow RFC 5545 section 3.3.5 (a repeated wall time is its first occurrence, a
skipped one is read with the offset before the gap) and the IANA time zone database.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from nudgebot.domain.model.actions import Later
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.runner import at_wall
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.times import quiet_until, snoozed_until, stale_at
from tests.domain.drawn_weeks import BERLIN, MONDAY, does, drawn, play, sent, settle, unsent, utc


def clocked(text: str) -> time:
    """The wall time of "07:00"."""
    return time.fromisoformat(text)


@pytest.mark.parametrize(
    ("zone", "remind", "day", "instant"),
    [
        # Skipped: New York 2007-03-11 02:30 is 07:30Z, which the wall then calls 03:30 (RFC 5545's own example).
        ("America/New_York", "02:30", date(2007, 3, 11), "2007-03-11T07:30"),
        # Repeated: New York 2007-11-04 01:30 is 05:30Z, the first of the two (RFC 5545's own example).
        ("America/New_York", "01:30", date(2007, 11, 4), "2007-11-04T05:30"),
        ("Europe/Berlin", "02:30", date(2026, 10, 25), "2026-10-25T00:30"),
        ("Europe/Berlin", "02:30", date(2026, 3, 29), "2026-03-29T01:30"),
        ("Europe/London", "01:30", date(2026, 3, 29), "2026-03-29T01:30"),
        # Days without a midnight.
        ("Africa/Cairo", "00:30", date(2026, 4, 24), "2026-04-23T22:30"),
        ("Asia/Beirut", "00:30", date(2026, 3, 29), "2026-03-28T22:30"),
        ("America/Santiago", "00:30", date(2026, 9, 6), "2026-09-06T04:30"),
        # Half an hour skipped: Lord Howe 2026-10-04 02:15 reads 02:45.
        ("Australia/Lord_Howe", "02:15", date(2026, 10, 4), "2026-10-03T15:45"),
        ("Asia/Kathmandu", "07:00", date(2026, 3, 29), "2026-03-29T01:15"),
    ],
)
def test_a_reminder_falls_due_once_whatever_the_clock_does(zone: str, remind: str, day: date, instant: str) -> None:
    monday = day - timedelta(days=day.weekday())
    name = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[day.weekday()]
    there = replace(BERLIN, zone=zone, remind_at=clocked(remind))
    book = play(drawn(f"{name} 45", profile=there, monday=monday), "Wed 12:00 hello", days=9, monday=monday)
    mornings = [n for n in book.nudges if n.kind is NudgeKind.MORNING]
    assert [(n.for_day, n.at, n.outcome) for n in mornings] == [(day, utc(instant), Outcome.SENT)]


def test_a_date_that_the_zone_does_not_have_calls_for_nothing() -> None:
    # Samoa moved across the date line and had no 30 December 2011 (IANA time zone database, Pacific/Apia).
    monday = date(2011, 12, 26)
    apia = replace(BERLIN, zone="Pacific/Apia")
    book = play(drawn("Wed 45, Fri 45, Sat 45", profile=apia, monday=monday), "Wed 18:50 ran 45", 7, monday)
    assert [n.for_day for n in book.nudges if n.kind is NudgeKind.MORNING] == [date(2011, 12, 28), date(2011, 12, 31)]
    assert len({n.at for n in book.nudges}) == len(book.nudges)


def test_no_day_is_reminded_twice_when_the_runner_changes_zone_in_the_week() -> None:
    book = drawn("Mon 45, Tue 45", past="Sun")
    now = at_wall(MONDAY, time(7), book.profile)
    book = settle(book, now)
    for hours in range(30):
        zone = "America/Los_Angeles" if hours >= 5 else "Europe/Berlin"
        book = replace(book, profile=replace(book.profile, zone=zone))
        book = settle(book, now + timedelta(hours=hours))
    mornings = [(n.for_day, n.at) for n in book.nudges if n.kind is NudgeKind.MORNING and n.outcome is Outcome.SENT]
    assert mornings == [(MONDAY, utc("2027-01-04T06:00"))]
    book = settle(book, at_wall(MONDAY + timedelta(days=1), time(7), book.profile))
    assert [n.for_day for n in book.nudges if n.kind is NudgeKind.MORNING][-1] == MONDAY + timedelta(days=1)


@pytest.mark.parametrize(
    ("quiet", "at", "until"),
    [
        ("21:30-06:30", "2027-01-04T20:29", None),  # Berlin is an hour ahead of UTC
        ("21:30-06:30", "2027-01-04T20:30", "2027-01-05T05:30"),
        ("21:30-06:30", "2027-01-05T03:00", "2027-01-05T05:30"),
        ("21:30-06:30", "2027-01-05T05:30", None),
        ("08:00-15:00", "2027-01-04T07:00", "2027-01-04T14:00"),
        ("08:00-15:00", "2027-01-04T14:00", None),
        ("22:00-00:00", "2027-01-04T22:00", "2027-01-04T23:00"),
        ("07:00-07:00", "2027-01-04T06:00", None),
        # Quiet until 02:30 in a night that has 02:30 twice: from the second 02:10 the end is the second 02:30.
        ("21:30-02:30", "2026-10-25T01:10", "2026-10-25T01:30"),
    ],
)
def test_quiet_hours_hold_from_their_first_minute_to_their_last(quiet: str, at: str, until: str | None) -> None:
    start, end = (clocked(part) for part in quiet.split("-"))
    book = drawn("", profile=replace(BERLIN, quiet_from=start, quiet_to=end))
    assert quiet_until(book, utc(at)) == (None if until is None else utc(until))


@pytest.mark.parametrize(
    ("quiet", "run_time", "plan", "lines"),
    [
        # Quiet hours by day (shift work): what is usual inside them comes just before.
        ("14:00-22:00", "12:00", "Mon 45", ["Mon 07:00 morning", "Mon 13:55 check_in"]),
        ("18:30-04:00", "17:00", "Mon 45", ["Mon 07:00 morning", "Mon 18:25 check_in"]),
        # Just before would be before the run can be over: the end of quiet hours, while it is still that day.
        ("17:00-23:00", "17:30", "Mon 45", ["Mon 07:00 morning", "Mon 23:00 check_in"]),
        ("19:30-04:00", "18:45", "Mon 45", ["Mon 07:00 morning"]),
        # A reminder that nobody chose is usual as well; by night it waits for the end of quiet hours.
        ("06:00-13:00", "14:30", "Mon 45", ["Mon 05:55 morning", "Mon 16:30 check_in"]),
        ("21:30-08:00", "18:00", "Mon 45", ["Mon 08:00 morning", "Mon 20:00 check_in"]),
    ],
)
def test_a_usual_time_inside_quiet_hours_moves(quiet: str, run_time: str, plan: str, lines: list[str]) -> None:
    start, end = (clocked(part) for part in quiet.split("-"))
    profile = replace(BERLIN, quiet_from=start, quiet_to=end, run_time=clocked(run_time))
    assert sent(play(drawn(plan, profile=profile, past="Sun"), days=1)) == lines


def test_the_gap_warning_and_the_review_move_to_just_before_quiet_hours() -> None:
    profile = replace(BERLIN, quiet_from=time(18), quiet_to=time(4))
    assert "Wed 17:55 gap_warning" in sent(play(drawn("Mon 45", profile=profile), "Mon 17:50 ran 45", days=3))
    done = "Mon 17:50 ran 45, Wed 17:00 ran 45, Sat 17:00 ran 90"
    assert sent(play(drawn("Mon 45, Wed 45, Sat 90", profile=profile), done))[-1] == "Sun 17:55 week_review"


@pytest.mark.parametrize(("remind", "line"), [("05:15", "Mon 05:15 morning"), ("06:29", "Mon 06:29 morning")])
def test_a_reminder_time_chosen_inside_quiet_hours_ends_them_that_day(remind: str, line: str) -> None:
    profile = replace(BERLIN, remind_at=clocked(remind))
    book = play(drawn("Mon 45", profile=profile, past="Sun"), days=1)
    assert sent(book)[0] == line
    assert quiet_until(book, at_wall(MONDAY, clocked(remind), profile)) is None
    assert quiet_until(book, at_wall(MONDAY, time(5, 10), profile)) is not None


def test_the_usual_reminder_time_counts_as_chosen_once_it_was_said() -> None:
    late = replace(BERLIN, quiet_to=time(8))
    book = replace(drawn("Mon 45", profile=late, past="Sun"), intake=Intake(remind_at=time(7)))
    assert sent(play(book, days=1))[0] == "Mon 07:00 morning"


@pytest.mark.parametrize(
    ("plan", "said", "late", "kind", "outcome"),
    [
        ("Mon 45", "", "Mon 10:00", NudgeKind.MORNING, Outcome.SENT),
        ("Mon 45", "", "Mon 10:01", NudgeKind.MORNING, Outcome.DROPPED),
        ("Mon 45", "", "Mon 21:29", NudgeKind.CHECK_IN, Outcome.SENT),
        ("Mon 45", "", "Mon 21:30", NudgeKind.CHECK_IN, Outcome.DROPPED),  # quiet until long after 23:00
        ("", "", "Mon 21:29", NudgeKind.GAP_WARNING, Outcome.SENT),
        ("", "", "Mon 22:00", NudgeKind.GAP_WARNING, Outcome.DROPPED),
        ("", "Sat 12:00 ran 45", "Sun 21:00", NudgeKind.WEEK_REVIEW, Outcome.SENT),
        ("", "Sat 12:00 ran 45", "2Mon 06:40", NudgeKind.WEEK_REVIEW, Outcome.SENT),
        ("", "Sat 12:00 ran 45", "2Mon 07:31", NudgeKind.WEEK_REVIEW, Outcome.DROPPED),
    ],
)
def test_stale_is_worse_than_silent(plan: str, said: str, late: str, kind: NudgeKind, outcome: Outcome) -> None:
    name, clock = late.split()
    day = MONDAY + timedelta(days={"Mon": 0, "Sun": 6, "2Mon": 7}[name])
    now = at_wall(day, clocked(clock), BERLIN)
    past = "Sat" if kind is NudgeKind.GAP_WARNING else "Sat Sun"
    book = drawn(plan, past=past)
    if said:
        saturday, at, what = said.split(maxsplit=2)
        book = does(book, what, at_wall(MONDAY + timedelta(days=5), clocked(at), BERLIN))
        assert saturday == "Sat"
    nudged = next(n for n in settle(book, now).nudges if n.kind is kind)
    assert nudged.outcome is outcome


@pytest.mark.parametrize(
    ("kind", "hours"),
    [
        (NudgeKind.MORNING, 3),
        (NudgeKind.CHECK_IN, 3),
        (NudgeKind.GAP_WARNING, 6),
        (NudgeKind.COACH_DIGEST, 6),
        (NudgeKind.WEEK_REVIEW, 12),
        (NudgeKind.SILENCE, 24),
    ],
)
def test_how_late_each_kind_still_helps(kind: NudgeKind, hours: int) -> None:
    at = utc("2027-01-04T06:00")
    assert stale_at(kind, at) == at + timedelta(hours=hours)


def test_after_an_outage_nobody_gets_more_than_one_nudge() -> None:
    # Down from Sunday 19:00 on: the review, the gap warnings of evening and morning, the morning's reminder.
    book = does(drawn("2Mon 45", past="Sat Sun"), "ran 30", at_wall(MONDAY + timedelta(days=4), time(12), BERLIN))
    back = at_wall(MONDAY + timedelta(days=7), time(7, 20), BERLIN)
    settled = settle(book, back)
    assert len(sent(settled)) == 1
    assert len(unsent(settled)) >= 1
    snoozed = does(
        settle(drawn("Mon 45", past="Sun"), at_wall(MONDAY, time(7), BERLIN)), "snooze 30 min", utc("2027-01-04T06:05")
    )
    snoozed = does(snoozed, "snooze 2 h", utc("2027-01-04T06:06"))
    assert len([v for v in nudges.settle_due(snoozed, utc("2027-01-04T08:30")) if v.payload is not None]) == 1


@pytest.mark.parametrize(
    ("change", "true"),
    [
        ("hello", True),
        ("ran 45", False),
        ("off", False),
        ("moved Mon Tue", False),
        ("hold", False),
        ("stop", False),
        ("away Mon Tue", False),
    ],
)
def test_a_letter_is_held_against_the_book_once_more_before_it_leaves(change: str, true: bool) -> None:
    now = at_wall(MONDAY, time(7), BERLIN)
    ready = settle(drawn("Mon 45", past="Sun"), now)
    book = does(ready, change, now + timedelta(seconds=1))
    assert (nudges.why_withdrawn(book, NudgeKind.MORNING, MONDAY, "", now + timedelta(seconds=2)) is None) is true


def test_a_letter_that_waited_too_long_or_into_quiet_hours_stays() -> None:
    book = drawn("Mon 45", past="Sun")
    asked = (NudgeKind.CHECK_IN, MONDAY, "")
    assert nudges.why_withdrawn(book, *asked, at_wall(MONDAY, time(19, 59), BERLIN))
    assert nudges.why_withdrawn(book, *asked, at_wall(MONDAY, time(20), BERLIN)) is None
    assert nudges.why_withdrawn(book, *asked, at_wall(MONDAY, time(21, 29), BERLIN)) is None
    assert nudges.why_withdrawn(book, *asked, at_wall(MONDAY, time(21, 30), BERLIN))
    awake = replace(book, profile=replace(BERLIN, quiet_from=time(3), quiet_to=time(4)))
    assert nudges.why_withdrawn(awake, *asked, at_wall(MONDAY, time(23), BERLIN)) is None
    assert nudges.why_withdrawn(awake, *asked, at_wall(MONDAY, time(23), BERLIN) + timedelta(seconds=1))


@pytest.mark.parametrize(
    ("asked_at", "later", "again"),
    [
        ("07:00", Later.HALF_HOUR, "2027-01-04T06:30"),
        ("07:00", Later.ONE_HOUR, "2027-01-04T07:00"),
        ("07:00", Later.TWO_HOURS, "2027-01-04T08:00"),
        ("07:00", Later.THIS_EVENING, "2027-01-04T18:00"),
        ("18:45", Later.THIS_EVENING, "2027-01-04T19:45"),
        ("20:00", Later.THIS_EVENING, "2027-01-05T05:30"),  # two hours on would be in quiet hours
        ("07:00", Later.TOMORROW, "2027-01-05T06:00"),
        ("21:15", Later.HALF_HOUR, "2027-01-05T05:30"),
    ],
)
def test_a_snooze_comes_back_when_asked_and_never_in_quiet_hours(asked_at: str, later: Later, again: str) -> None:
    now = at_wall(MONDAY, clocked(asked_at), BERLIN)
    assert snoozed_until(drawn(""), later, now) == utc(again)


def test_what_is_due_but_not_settled_is_looked_at_at_once() -> None:
    book, now = drawn("Mon 45", past="Sun"), at_wall(MONDAY, time(7), BERLIN)
    late = now + timedelta(seconds=20)
    look = nudges.next_look(book, late)
    assert isinstance(look, datetime)
    assert late < look <= late + timedelta(seconds=1)


def test_the_book_is_looked_at_when_the_runners_day_turns() -> None:
    book, now = drawn(""), at_wall(MONDAY, time(21), BERLIN)
    idle = replace(book, log=(*drawn("", past="Sun").log,))
    assert nudges.next_look(idle, now) == at_wall(MONDAY + timedelta(days=1), time(3), BERLIN)
