"""What a coach sees: states, their order, and one word for every pause."""

from __future__ import annotations

import textwrap
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.messages.group import coach as pages
from nudgebot.domain.messages.group import roster as roster_page
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    Joining,
    LimitReason,
    OnHold,
    Runner,
    Standing,
    SymptomNote,
    Training,
)
from nudgebot.domain.overview.chat_lines import came_back, overview
from nudgebot.domain.overview.group import Group, Member, Share, State, find, next_digest, roster, sight
from nudgebot.domain.overview.names import NAME_SHOWN, shown_name
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake, intake_codec
from tests.company import ANSWERS

JOINED = datetime(2027, 1, 4, 12, tzinfo=UTC)  # a Monday, in winter: Lisbon's clock is UTC
DAY = timedelta(days=1)
KIM = Runner(1, "talk", "Kim", "Kim", JOINED, JOINED)


def member(name: str = "Ana", number: int = 2, *, heard: int = 0, runs: tuple[int, ...] = (), **more: object) -> Member:
    """A runner who joined on Monday, ran 20 minutes on these days after it, and was heard `heard` days after it."""
    last = JOINED + max((heard, *runs)) * DAY
    runner = Runner(number, "talk", name, name, JOINED, last)
    book = Book(runner, intake.profile(intake_codec.from_rows(ANSWERS)), Training(), intake_codec.from_rows(ANSWERS))
    book = planner.begin(book, date(2027, 1, 4), now_closed=False)
    log = tuple(LogEntry(f"m{day}", date(2027, 1, 4) + day * DAY, 20) for day in runs)
    return Member(replace(book, **{"log": log, **more}))  # type: ignore[arg-type]


def on(day: int) -> datetime:
    return JOINED + day * DAY


def told(members: tuple[Member, ...], day: int) -> str:
    group = Group(1, KIM, members=members)
    return roster_page.roster(roster(group, on(day)), group.labels, on(day).date())


AWAY = tuple(DayLimit(date(2027, 1, 4) + n * DAY, 0, LimitReason.AWAY) for n in range(14))
HOLD = OnHold(JOINED, "emergency", "chest", "tight chest on the hill")
STATES = [
    ("ran on Monday, looked at on Tuesday", member(runs=(0,)), 1, State.IN_RHYTHM),
    ("ran on Monday, two rest days by Wednesday night", member(runs=(0,)), 2, State.IN_RHYTHM),
    # Diabetes Care 2016;39:2065: no more than two days in a row without activity; on the third it opens.
    ("ran on Monday, Thursday is the last day", member(runs=(0,)), 3, State.GAP_TONIGHT),
    ("ran on Monday and Thursday", member(runs=(0, 3)), 3, State.IN_RHYTHM),
    ("ran on Monday, looked at on Friday", member(runs=(0,)), 4, State.GAP_OPEN),
    ("ran on Monday, written to since", member(runs=(0,), heard=9), 9, State.GAP_OPEN),
    ("no word for six days", member(runs=(0,)), 6, State.GAP_OPEN),
    ("no word for seven days", member(runs=(0,)), 7, State.SILENT),
    ("on hold", member(runs=(0,), standing=HOLD), 3, State.PAUSING),
    ("on hold and silent", member(runs=(0,), standing=HOLD), 9, State.PAUSING),
    ("ill", member(standing=Ill(date(2027, 1, 4))), 3, State.PAUSING),
    ("away", member(limits=AWAY), 3, State.PAUSING),
    ("answering the questions", member(standing=Joining()), 0, State.JOINING),
]


@pytest.mark.parametrize(
    ("what", "who", "day", "state"), STATES, ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_runner_is_in_one_state(what: str, who: Member, day: int, state: State) -> None:
    assert sight(who, on(day)).state is state


PAUSES: tuple[tuple[Standing, tuple[DayLimit, ...]], ...] = (
    (HOLD, ()),
    (Ill(date(2027, 1, 4)), ()),
    (Training(), AWAY),
)


@given(
    st.integers(0, 13), st.frozensets(st.sampled_from([s for s in Share if s not in {Share.PAUSE, Share.COMPLAINTS}]))
)
def test_a_pause_reads_the_same_whatever_its_reason(day: int, shares: frozenset[Share]) -> None:
    """Hold, illness and away show as "pausing", the same word, and no page of the coach's tells them apart."""
    pages_seen = set()
    for standing, limits in PAUSES:
        note = SymptomNote(date(2027, 1, 4), "emergency", "chest", "chest", 7)
        paused = replace(member(runs=(0,), standing=standing, limits=limits, symptoms=(note,)), shares=shares)
        paused = replace(paused, book=planner.roll(paused.book, paused.book.today(on(day))))
        pages_seen.add((told((paused,), day), pages.runner_page(paused, "Ana", on(day))))
        for page in pages_seen:
            assert "ausing" in page[0]
    assert len(pages_seen) == 1


@pytest.mark.parametrize(
    ("standing", "limits", "why"), [(*PAUSES[0], "on hold"), (*PAUSES[1], "ill"), (*PAUSES[2], "away")]
)
def test_the_reason_shows_where_the_runner_shares_it_and_never_the_sentence(
    standing: Standing, limits: tuple[DayLimit, ...], why: str
) -> None:
    shared = replace(member(standing=standing, limits=limits), shares=frozenset(Share))
    text = told((shared,), 1)
    assert f"Ana 2 d ({why})" in text
    assert "tight" not in text + pages.runner_page(shared, "Ana", on(1))


SHOWN = [
    (Share.COMPLAINTS, "Complaints: Mon 4 Jan calf 3 of 10"),
    (Share.PULSE, "Heart rate: Mon 4 Jan 128"),
    (Share.EFFORT, "Effort: Mon 4 Jan 6"),
]


@pytest.mark.parametrize(("share", "line"), SHOWN)
def test_health_is_shown_kind_by_kind_and_by_default_not_at_all(share: Share, line: str) -> None:
    run = LogEntry("m", date(2027, 1, 4), 30, effort=6, heart_rate=128)
    ana = member(log=(run,), symptoms=(SymptomNote(date(2027, 1, 4), "rest", "niggle", "calf", 3),))
    closed = pages.runner_page(ana, "Ana", on(1))
    assert not any(each in closed for _, each in SHOWN)
    opened = pages.runner_page(replace(ana, shares=frozenset({share})), "Ana", on(1))
    assert [each for _, each in SHOWN if each in opened] == [line]


def test_the_roster_begins_with_who_needs_a_word_first() -> None:
    people = tuple(replace(who, book=replace(who.book, runner=replace(who.book.runner, id=n, name=f"R{n}")))
                   for n, (_, who, _, _) in enumerate(STATES, 1))  # fmt: skip
    states = [seen.state for seen in roster(Group(1, KIM, members=people), on(7))]
    assert states == sorted(states, key=list(State).index)


def test_thirty_runners_fit_one_phone_screen() -> None:
    # A common phone shows about 40 characters a line and 25 lines of a chat (from memory).
    names = [f"{first} {last}" for first in ("Ana", "Benedikt", "Carlota", "Dora", "Emil") for last in "ABCDEF"]
    kinds = [member(name, n, runs=(0,), heard=n % 9) for n, name in enumerate(names, 2)]
    text = told(tuple(kinds), 8)
    lines = [part for line in text.splitlines() for part in textwrap.wrap(line, 40)]
    assert len(lines) <= 25
    assert all(shown_name(m.book.runner) in text for m in kinds)
    assert "|" not in text


@given(st.text(max_size=80))
def test_no_name_breaks_a_page(name: str) -> None:
    shown = shown_name(replace(KIM, name=name))
    assert 0 < len(shown) <= max(NAME_SHOWN, len("runner 1"))
    assert shown == " ".join(shown.split())
    assert not set(shown) & set(":,\n\u202e\u200b")


def test_two_of_a_name_are_told_apart_by_their_numbers() -> None:
    two = (member("Ana", 2), member("Ana", 3), member("Anabel", 4))
    assert [m.id for m in find(two, "ana")] == [2, 3]
    assert [m.id for m in find(two, "3")] == [3]
    assert [m.id for m in find(two, "anab")] == [4]
    assert find(two, "") == ()
    assert "Ana #2, Ana #3, Anabel" in told(two, 0)


DIGESTS = [
    ("2027-01-04T07:29", "2027-01-04T07:30"),
    ("2027-01-04T07:30", "2027-01-11T07:30"),
    ("2027-01-05T12:00", "2027-01-11T07:30"),
    ("2027-03-27T12:00", "2027-03-29T07:30"),  # the day after summer time begins in Lisbon
]


@pytest.mark.parametrize(("after", "at"), DIGESTS)
def test_the_digest_comes_on_monday_at_half_past_seven_of_the_coachs_clock(after: str, at: str) -> None:
    coach = member("Kim", 1).book
    found = next_digest(coach, datetime.fromisoformat(after).replace(tzinfo=coach.profile.tz))
    assert found is not None
    assert found.astimezone(coach.profile.tz).strftime("%Y-%m-%dT%H:%M") == at


def test_a_digest_in_the_coachs_quiet_hours_waits_for_their_end() -> None:
    late = member("Kim", 1).book
    late = replace(late, profile=replace(late.profile, quiet_to=time(9), remind_at=time(10)))
    found = next_digest(late, on(1))
    assert found is not None
    assert found.astimezone(late.profile.tz).time() == time(9)


def test_the_overview_names_who_is_in_rhythm_and_agreed_and_counts_the_rest() -> None:
    named = frozenset({Share.NAMED})
    people = (
        replace(member("Ana", 2, runs=(0,)), shares=named),
        member("Ben", 3, runs=(0,)),
        replace(member("Cleo", 4, standing=HOLD), shares=named),
        replace(member("Dan", 5), shares=frozenset(Share) - named),
    )
    line = overview(Group(1, KIM, members=people), on(1))
    assert (line.names, line.runners) == (("Ana",), 4)


def test_a_note_on_coming_back_needs_a_silence_a_run_and_a_yes() -> None:
    named = replace(member(runs=(0,)), shares=frozenset({Share.NAMED}))
    run = LogEntry("new", on(9).date(), 20)
    after = replace(named.book, log=(*named.book.log, run))
    assert came_back(named, after, on(9)) is not None
    assert came_back(replace(named, shares=frozenset()), after, on(9)) is None
    assert came_back(named, named.book, on(9)) is None
    assert came_back(named, after, on(2)) is None
    new = replace(named.book, log=())
    assert came_back(replace(named, book=new), replace(new, log=(run,)), on(9)) is None
    soon = LogEntry("soon", on(6).date(), 20)
    assert came_back(named, replace(named.book, log=(*named.book.log, soon)), on(6)) is None
