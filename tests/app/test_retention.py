"""For how long things are kept: the host says so, runners are told thirty days before, and then it goes."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from sqlalchemy import insert, select

from nudgebot.app import scheduler
from nudgebot.domain.model.parameters import DEFAULT_MONTHS_KEPT, MONTHS_KEPT, TOLD_BEFORE, kept_since, months_in
from nudgebot.storage import schema
from nudgebot.storage.letter import Letter
from tests.company import ANA, BEN, CHAT, CLEO, COACH, DAN, HOST, NOW, World

MONTH = timedelta(days=31)


def swept(people: World, at: datetime) -> list[Letter]:
    """What the hourly sweep at `at` has to say; nudges of the runners are left alone."""
    people.now = at
    people.deliver()
    scheduler.sweep(people.engine, at)
    return people.deliver(at + timedelta(days=1))


def heard(people: World, *users: str) -> None:
    """These people write something."""
    for user in users:
        people.say(user, "hello")


def days(people: World, user: str) -> list[int]:
    """Years of somebody's log entries as they are on the disk."""
    number = people.number(user)
    with people.engine.begin() as conn:
        rows = conn.scalars(select(schema.log.c.day).where(schema.log.c.runner_id == number))
        return sorted(day.year for day in rows)


def log_old(people: World, user: str, year: int) -> None:
    entry = {"key": f"old{year}", "day": NOW.date().replace(year=year), "minutes": 31, "activity": "run"}
    row = insert(schema.log).values(runner_id=people.number(user), in_place_of_run=False, hard=False, cap=0, **entry)
    with people.engine.begin() as conn:
        conn.execute(row)


@pytest.mark.parametrize(
    ("said", "months"),
    [("18 months", 18), ("18", 18), ("2 years", 24), ("1 y", 12), ("6 months.", 6), ("soon", None), ("", None)],
)
def test_the_host_says_it_in_months_or_years(said: str, months: int | None) -> None:
    assert months_in(said) == months


def test_a_month_is_a_twelfth_of_a_year() -> None:
    assert NOW - kept_since(NOW, 12) == timedelta(days=365)
    # The planner looks 140 days back (docs/operations.md); the least that can be set leaves it that.
    assert NOW - kept_since(NOW, MONTHS_KEPT[0]) > timedelta(days=140)


def test_the_host_shows_changes_and_cannot_undercut_it(people: World) -> None:
    assert "for 2 years" in people.texts(HOST, "/retention")[0]
    assert "It stays at 2 years." in people.texts(HOST, "/retention 3 months")[0]
    assert people.texts(HOST, "/retention 18 months")[0].startswith("Kept for 18 months from now on. Whoever has")
    assert "18 months" in people.texts(ANA, "/privacy")[0]
    assert "30 days before" in people.texts(ANA, "/privacy")[0]


def test_what_is_old_goes_thirty_days_after_its_runner_was_told(people: World) -> None:
    log_old(people, ANA, 2024)
    people.say(ANA, "20 easy")
    letters = swept(people, NOW)
    assert [letter.user for letter in letters] == [ANA]
    assert "older than 2 years" in letters[0].text
    assert days(people, ANA) == [2024, 2027]
    heard(people, ANA)
    assert swept(people, NOW + TOLD_BEFORE - timedelta(hours=1)) == []
    assert days(people, ANA) == [2024, 2027]
    assert swept(people, NOW + TOLD_BEFORE) == []
    assert days(people, ANA) == [2027]


def test_a_host_who_keeps_less_has_everybody_told_anew(people: World) -> None:
    log_old(people, ANA, 2026)
    assert swept(people, NOW) == []
    people.say(HOST, "/retention 6 months")
    people.deliver()
    (letter,) = swept(people, NOW + timedelta(days=1))
    assert (letter.user, "older than 6 months" in letter.text) == (ANA, True)
    assert days(people, ANA) == [2026]


def test_whoever_is_silent_is_told_and_then_erased_with_everything(people: World) -> None:
    end = NOW + timedelta(days=DEFAULT_MONTHS_KEPT * 365 // 12)
    heard(people, ANA)
    assert swept(people, end - TOLD_BEFORE - timedelta(days=1)) == []
    heard(people, BEN)
    told = swept(people, end - TOLD_BEFORE + timedelta(hours=1))
    # Kim and Lou coach; whoever the settings name hosts the bot with or without a book.
    assert sorted({letter.user for letter in told if "everything" in letter.text}) == [HOST, ANA, CLEO, DAN]
    assert people.book(ANA) is not None
    assert ANA not in {letter.user for letter in swept(people, end)}
    assert people.book(ANA) is not None
    swept(people, end + timedelta(hours=2))
    assert people.book(ANA) is None
    assert people.book(BEN) is not None
    assert "Ana" not in people.texts(COACH, "/roster")[0]
    assert people.book(COACH) is not None  # others hang on a coach


def test_a_word_keeps_it_all_and_the_next_silence_is_told_anew(people: World) -> None:
    end = NOW + timedelta(days=DEFAULT_MONTHS_KEPT * 365 // 12)
    heard(people, ANA)
    swept(people, end)
    people.say(ANA, "still here")
    swept(people, end + TOLD_BEFORE + timedelta(days=1))
    assert people.book(ANA) is not None
    later = people.now + timedelta(days=DEFAULT_MONTHS_KEPT * 365 // 12)
    assert ANA in {letter.user for letter in swept(people, later)}
    assert people.book(ANA) is not None


def test_who_said_stop_is_told_once_since_it_is_theirs(people: World) -> None:
    people.say(ANA, "stop")
    end = NOW + timedelta(days=DEFAULT_MONTHS_KEPT * 365 // 12)
    assert ANA in {letter.user for letter in swept(people, end)}
    assert ANA not in {letter.user for letter in swept(people, end + timedelta(days=1))}


def test_the_notice_waits_for_the_end_of_quiet_hours(people: World) -> None:
    log_old(people, ANA, 2024)
    night = NOW.replace(hour=23)
    people.now = night
    scheduler.sweep(people.engine, night)
    assert people.deliver(night + timedelta(hours=1)) == []
    assert [letter.user for letter in people.deliver(night + timedelta(hours=8))] == [ANA]


def test_a_book_that_was_trimmed_still_rolls_and_plans(people: World) -> None:
    people.say(HOST, "/retention 6 months")
    people.say(ANA, "20 easy")
    for month in range(1, 14):
        people.now = NOW + month * MONTH
        assert people.texts(ANA, "20 easy")
        people.deliver()
        scheduler.sweep(people.engine, people.now)
    number = people.number(ANA)
    with people.engine.begin() as conn:
        oldest = conn.scalar(select(schema.weeks.c.start).where(schema.weeks.c.runner_id == number).limit(1))
    assert oldest is not None
    assert people.now.date() - oldest < timedelta(days=6 * 31 + 7)
    assert "This week" in people.texts(ANA, "/week")[0]
    assert not [letter for letter in people.deliver() if letter.chat == CHAT]
