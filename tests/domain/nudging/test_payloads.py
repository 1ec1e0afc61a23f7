"""What a nudge is about: the values its wording gets."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.parameters import TOO_LATE
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason, Walking, at_wall
from nudgebot.domain.model.week import Return, Session, SessionKind, WalkRun
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.payloads import (
    CheckIn,
    FirstWord,
    GapWarning,
    HowAreYou,
    MorningReminder,
    Payload,
    SafetyFollowup,
    ShortForm,
    Snoozed,
    WeekReview,
)
from nudgebot.domain.planning.more import may_run
from tests.domain.drawn_weeks import BERLIN, MONDAY, day_of, does, drawn, settle, utc

WALK, EASY = SessionKind.WALK, SessionKind.EASY
RAN_MONDAY = (LogEntry("a", MONDAY, 45),)


def at(name: str, clock: str) -> datetime:
    """An instant on the Berlin clock."""
    return at_wall(day_of(name), time.fromisoformat(clock), BERLIN)


def told(book: Book, now: datetime) -> list[Payload]:
    """What is said at `now`."""
    return [verdict.payload for verdict in nudges.settle_due(book, now) if verdict.payload is not None]


def test_every_kind_of_nudge_has_a_time_until_which_it_helps() -> None:
    assert set(TOO_LATE) == set(NudgeKind)


@pytest.mark.parametrize(
    ("planned", "limit", "short"),
    [
        (45, None, None),
        (45, 30, ShortForm(20, EASY)),
        (45, 20, ShortForm(20, EASY)),
        (45, 19, ShortForm(10, WALK)),
        (20, 20, None),
        (20, 10, ShortForm(10, WALK)),
    ],
)
def test_on_a_busy_day_the_shortest_useful_version_comes_first(
    planned: int, limit: int | None, short: ShortForm | None
) -> None:
    book = drawn(f"Mon {planned}", past="Sun")
    limits = () if limit is None else (DayLimit(MONDAY, limit, LimitReason.BUSY),)
    session = Session(MONDAY, planned)
    assert told(replace(book, limits=limits), at("Mon", "07:00")) == [MorningReminder(session, short, False)]


def test_the_day_that_a_run_was_moved_to_is_no_busy_day() -> None:
    book = drawn("Wed 45", past="Sun")
    closed = replace(book.profile, open_minutes=(45, 45, 0, 45, 45, 45, 45))
    moved = replace(book, profile=closed, limits=(DayLimit(day_of("Wed"), 45, LimitReason.BUSY),))
    assert told(moved, at("Wed", "07:00")) == [MorningReminder(Session(day_of("Wed"), 45), None, True)]


def test_a_day_too_busy_for_a_run_is_still_offered_a_walk() -> None:
    book = does(drawn("Mon 45", past="Sun"), "busy Mon 15", at("Mon", "06:00"))
    assert book.plan == ()
    expected = MorningReminder(Session(MONDAY, 45), ShortForm(10, WALK), False)
    assert told(book, at("Mon", "07:00")) == [expected]
    assert told(does(book, "busy Mon 5", at("Mon", "06:30")), at("Mon", "07:00")) == []
    assert told(does(book, "walked 10", at("Mon", "06:30")), at("Mon", "07:00")) == []


def test_the_reminder_of_the_last_allowed_day_says_so() -> None:
    book = replace(drawn("Thu 45"), log=RAN_MONDAY)
    (news,) = told(book, at("Thu", "07:00"))
    assert isinstance(news, MorningReminder)
    assert news.keeps_rhythm


@pytest.mark.parametrize(
    ("busy", "shortest", "open_on"),
    [
        ({}, ShortForm(20, EASY), "Wed Thu"),
        ({"Thu": 15}, ShortForm(20, EASY), "Wed"),
        ({"Wed": 0}, ShortForm(20, EASY), "Thu"),
        ({"Wed": 0, "Thu": 15}, ShortForm(10, WALK), ""),
    ],
)
def test_a_gap_warning_names_the_last_day_the_shortest_way_and_the_open_days(
    busy: dict[str, int], shortest: ShortForm, open_on: str
) -> None:
    limits = tuple(DayLimit(day_of(name), minutes, LimitReason.BUSY) for name, minutes in busy.items())
    book = replace(drawn("", profile=replace(BERLIN, run_time=time(17))), log=RAN_MONDAY, limits=limits)
    days = tuple(day_of(name) for name in open_on.split())
    expected = GapWarning(day_of("Thu"), shortest, days, "evening", None)
    assert told(book, at("Wed", "19:00")) == [expected]


def test_a_gap_warning_offers_a_walk_where_seven_days_are_full() -> None:
    # 160 min in two days, of the 90 that seven days may hold for who runs 60 a week (the cap is never under 90).
    log = tuple(LogEntry(f"r{n}", MONDAY - timedelta(days=n), 80) for n in (1, 0))
    runs = replace(BERLIN, run_time=time(17), weekly=60, longest=30)
    book = replace(drawn("", profile=runs), log=log)
    book = replace(book, weeks=tuple(replace(week, target=60, long_run=0) for week in book.weeks))
    (news,) = told(book, at("Wed", "19:00"))
    assert isinstance(news, GapWarning)
    assert (news.shortest.kind, news.open_days) == (WALK, ())


def test_a_run_tomorrow_is_offered_by_a_check_in_only_where_tomorrow_may_hold_it() -> None:
    book = replace(drawn("Wed 45"), log=(LogEntry("a", day_of("Tue"), 30),))
    (news,) = told(book, at("Wed", "20:00"))
    assert isinstance(news, CheckIn)
    assert news.tomorrow_open
    rest = replace(book, limits=(DayLimit(day_of("Thu"), 0, LimitReason.REST),))
    (news,) = told(rest, at("Wed", "20:00"))
    assert isinstance(news, CheckIn)
    assert not news.tomorrow_open
    in_a_row = replace(book, log=(LogEntry("a", day_of("Tue"), 30), LogEntry("b", day_of("Wed"), 30)))
    assert not may_run(in_a_row, day_of("Thu"))


def test_from_eight_in_the_evening_today_is_no_longer_offered() -> None:
    late = replace(BERLIN, run_time=time(19, 30))
    book = replace(drawn("Wed 45", profile=late), log=RAN_MONDAY)
    (news,) = told(book, at("Wed", "21:25"))
    assert isinstance(news, GapWarning)
    assert news.open_days == (day_of("Thu"),)


def test_coming_back_on_walk_run_and_while_walking_the_way_is_a_walk_of_twenty_minutes() -> None:
    book = replace(drawn(""), log=RAN_MONDAY)
    for slow in (
        replace(book, returning=Return(MONDAY, 14, 180, 90, 180)),
        replace(book, walk_run=WalkRun(2, 0, MONDAY)),
        replace(book, standing=Walking(utc("2027-01-01T12:00"), "screening")),
    ):
        (news,) = told(slow, at("Wed", "20:00"))
        assert isinstance(news, GapWarning)
        assert news.shortest == ShortForm(20, WALK)


def test_a_check_in_knows_whether_tomorrow_is_a_day_to_offer() -> None:
    book = drawn("Mon 45", past="Sun")
    session = Session(MONDAY, 45)
    assert told(book, at("Mon", "20:00")) == [CheckIn(session, True)]
    closed = replace(book, limits=(DayLimit(day_of("Tue"), 0, LimitReason.BUSY),))
    assert told(closed, at("Mon", "20:00")) == [CheckIn(session, False)]
    last = replace(drawn("Sun 45"), log=(LogEntry("a", day_of("Sat"), 45),))
    heard = does(last, "hello", at("Sat", "20:00"))
    assert told(heard, at("Sun", "19:30")) == [CheckIn(Session(day_of("Sun"), 45), True)]


def test_a_review_names_its_week_and_the_morning_after_that_days_session() -> None:
    book = does(drawn("2Mon 45"), "ran 45", at("Sun", "12:00"))
    assert told(book, at("Sun", "19:30")) == [WeekReview(book.weeks[0], None)]
    assert told(book, at("2Mon", "07:00")) == [WeekReview(book.weeks[0], Session(day_of("2Mon"), 45))]


def test_the_first_word_offers_the_smallest_step() -> None:
    book = drawn("")
    assert told(book, at("Sun", "12:00")) == [FirstWord(ShortForm(20, EASY), False)]
    assert told(book, at("2Sun", "12:00")) == [FirstWord(ShortForm(20, EASY), True)]


def test_how_are_you_names_the_complaint() -> None:
    assert told(does(drawn(""), "sore", at("Mon", "20:00")), at("Tue", "07:00")) == [HowAreYou("calf")]


def test_a_follow_up_comes_on_the_next_day_and_three_days_later() -> None:
    book = does(drawn(""), "hold", at("Mon", "12:00"))
    assert told(book, at("Tue", "12:00")) == [SafetyFollowup()]
    assert told(settle(book, at("Tue", "12:00")), at("Fri", "12:00")) == [SafetyFollowup()]


def test_a_snooze_says_again_what_it_put_off() -> None:
    book = settle(drawn("Mon 45", past="Sun"), at("Mon", "07:00"))
    snoozed = does(book, "snooze 30 min", at("Mon", "07:05"))
    expected = Snoozed(NudgeKind.MORNING, Session(MONDAY, 45))
    assert told(snoozed, at("Mon", "07:35")) == [expected]
    assert snoozed.snoozes[0].at - at("Mon", "07:05") == timedelta(minutes=30)
