"""A group's twelve weeks on one sheet: in the roster's order, in words, and nothing that a coach may not see."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.channels.telegram.keyboard import MAX_CAPTION, MAX_UNITS, split, units
from nudgebot.domain.messages.group.roster import sheet_caption
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    LimitReason,
    OnHold,
    Pause,
    Profile,
    SymptomNote,
    Walking,
)
from nudgebot.domain.overview.group import Group, Member, Note, Share, State, roster
from nudgebot.domain.overview.group_report import Sheet, sheet
from tests.rendering.books import DAY, FIRST, NOON, TODAY, full_book, group_of, run, runner


def sheet_of(book: Book, *shares: Share, notes: tuple[Note, ...] = ()) -> Sheet:
    return sheet(Group(1, runner(), members=(Member(book, frozenset(shares), notes),)), NOON, TODAY)


def test_the_lines_stand_in_the_order_of_the_roster() -> None:
    group = group_of(30)
    pages = [sheet(group, NOON, TODAY, page) for page in (1, 2, 3)]
    lines = [line for page in pages for line in page.lines]
    assert [(line.number, line.state, line.days) for line in lines] == [
        (each.member.id, each.state, each.days) for each in roster(group, NOON)
    ]
    assert [line.name for line in lines if line.name.startswith("Ana")] == ["Ana #10", "Ana #1"]
    assert [line.weeks is None for line in lines] == [line.state is State.JOINING for line in lines]
    # One scale for all rows of all pages, which holds the longest week of anybody.
    assert len({page.top for page in pages}) == 1
    assert pages[0].top >= max(week.minutes or 0 for line in lines if line.weeks for week in line.weeks.weeks)
    assert [sheet(group, NOON, TODAY, page).page for page in (0, 3, 99)] == [1, 3, 3]


def test_the_words_say_what_the_sheet_shows() -> None:
    book = replace(full_book(), limits=(), pauses=(Pause(date(2026, 11, 30), date(2026, 12, 7)),))
    kim = replace(book, runner=replace(book.runner, id=2, name="Kim"), log=())
    held = replace(
        kim, runner=replace(kim.runner, id=3, name="Lou"), standing=OnHold(NOON - 2 * DAY, "urgent", "x", "y")
    )
    members = (Member(book), Member(replace(kim, pauses=())), Member(held, frozenset({Share.PAUSE})))
    group = Group(1, runner(), members=members)
    assert sheet_caption(sheet(group, NOON, TODAY)) == (
        "Wed 20 Jan, 3 runners: minutes a week from 2 Nov on (dose), then this week so far\n"
        "Pausing:\n"
        "Lou, 3 d (on hold) (150 to 180): 0 0 0 0 0 0 0 0 0 0 0, now 0; gap 2 Nov to 29 Nov, 10 Dec to 17 Jan; "
        "pausing 30 Nov to 7 Dec, 18 Jan to 20 Jan\n"
        "Gap open:\n"
        "Kim (150 to 180): 0 0 0 0 0 0 0 0 0 0 0, now 0; gap 2 Nov to 19 Jan\n"
        "In rhythm:\n"
        "Ana, Tue (150 to 180): 110 112 114 116 0 120 122 94 126 128 130, now 30; 10 long, up to 70; gap 25 Dec, "
        "26 Dec; pausing 30 Nov to 7 Dec\n"
        "A gap is from the third rest day in a row on."
    )


@pytest.mark.parametrize("many", [1, 8, 12, 30])
def test_the_words_fit_under_the_picture_and_in_what_follows_it(many: int) -> None:
    """A caption of 1024 and messages of 4096 UTF-16 units: Bot API 10.1, sendPhoto (from memory) and sendMessage."""
    text = sheet_caption(sheet(group_of(many), NOON, TODAY))
    first, *more = split(text, first=MAX_CAPTION)
    assert units(first) <= MAX_CAPTION
    assert all(units(each) <= MAX_UNITS for each in more)
    assert "\n".join([first, *more]) == text
    assert len(more) == (0 if many == 1 else 1)


DAYS = st.integers(0, (TODAY - FIRST).days)
LOGS = st.lists(st.builds(lambda n, minutes: run(FIRST + n * DAY, minutes), DAYS, st.integers(5, 90)), max_size=40)


def with_log(log: list[LogEntry]) -> Book:
    return replace(full_book(), log=tuple(sorted(log, key=lambda entry: entry.day)), limits=())


def closed(first: date, last: date, reason: LimitReason) -> tuple[DayLimit, ...]:
    return tuple(DayLimit(first + n * DAY, 0, reason) for n in range((last - first).days + 1))


@given(LOGS, st.integers(0, 30))
def test_a_hold_an_illness_and_days_away_are_the_same_to_the_coach(log: list[LogEntry], days: int) -> None:
    """ "Nothing but pausing: the same word for a hold, an illness and days away" (docs/groups.md)."""
    book, since = with_log(log), TODAY - days * DAY
    away = sheet_of(replace(book, limits=closed(since, TODAY, LimitReason.AWAY)))
    (line,) = away.lines
    assert (line.state, line.why) == (State.PAUSING, "")
    at = NOON - days * DAY
    assert sheet_of(replace(book, standing=OnHold(at, "emergency", "chest", "chest pain"))) == away
    assert sheet_of(replace(book, standing=Ill(since, TODAY), limits=closed(since, since, LimitReason.ILL))) == away
    assert "pausing" in sheet_caption(away).casefold()


@given(LOGS, DAYS, st.integers(0, 20))
def test_they_are_the_same_when_they_are_over(log: list[LogEntry], begin: int, days: int) -> None:
    first = FIRST + begin * DAY
    last = min(first + days * DAY, TODAY - DAY)
    if first > last:
        return
    book = with_log(log)
    was_away = sheet_of(replace(book, limits=closed(first, last, LimitReason.AWAY)))
    assert sheet_of(replace(book, pauses=(Pause(first, last),))) == was_away


@given(LOGS, st.sampled_from([Share.PULSE, Share.EFFORT, Share.COMPLAINTS, Share.NAMED]), st.integers(40, 220))
def test_nothing_else_of_health_is_in_the_sheet_whatever_is_shared(
    log: list[LogEntry], share: Share, pulse: int
) -> None:
    plain = sheet_of(with_log(log))
    told = [replace(e, heart_rate=pulse, effort=9, hard=True, distance_km=4.2) for e in log]
    profile = replace(full_book().profile, disease=True, signs=True, pregnancy=True, medicine=True, birth_year=1960)
    note = SymptomNote(TODAY, "rest", "niggle", "left calf", 7, NOON)
    book = replace(with_log(told), profile=profile, symptoms=(note,), intake=Intake(disease=True))
    assert sheet_of(book, share, notes=(Note(1, NOON, "has a bad knee"),)) == plain
    # Walking until a clinician clears running is no pause on the roster, so it is none here.
    assert sheet_of(replace(book, standing=Walking(NOON - timedelta(days=20), "screening")), share) == plain
    # Nor is a day closed for a cold, for pain or for a rest.
    for reason in (LimitReason.ILL, LimitReason.PAIN, LimitReason.REST, LimitReason.SKIP):
        assert sheet_of(replace(book, limits=closed(TODAY - 3 * DAY, TODAY - DAY, reason)), share) == plain


def test_why_a_runner_pauses_is_there_where_they_share_it() -> None:
    held = replace(full_book(), standing=OnHold(NOON, "emergency", "chest", "chest pain"))
    assert sheet_of(held, Share.PAUSE).lines[0].why == "on hold"
    assert "on hold" not in sheet_caption(sheet_of(held))
    assert sheet_of(replace(held, profile=Profile(disease=True))).lines[0].why == ""
