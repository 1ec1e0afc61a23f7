"""Random books and random replies over three weeks: what restraint promises holds whatever happens."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.runner import Book, Profile, at_wall
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.times import quiet_until, stale_at
from tests.domain.drawn_weeks import ALL_OPEN, DAYS, MONDAY, does, drawn, play, sent

ZONES = (
    "UTC",
    "Europe/Berlin",
    "America/New_York",
    "Australia/Lord_Howe",
    "Asia/Kathmandu",
    "Pacific/Apia",
    "Africa/Cairo",
)
# The weeks begin where clocks change: in Europe, in America, on Lord Howe, in Cairo, and in none of them.
MONDAYS = (MONDAY, *(MONDAY + timedelta(days=7 * n) for n in (-40, 9, 11, 38, 42)))
LIMITLESS = frozenset({NudgeKind.SNOOZED, NudgeKind.SAFETY_FOLLOWUP})
walls = st.builds(time, st.integers(0, 23), st.sampled_from([0, 15, 30, 59]))
profiles = st.builds(
    Profile,
    zone=st.sampled_from(ZONES),
    open_minutes=st.sampled_from([ALL_OPEN, (0, 45, 0, 45, 0, 0, 90), (60, 0, 60, 0, 0, 90, 0)]),
    run_time=walls,
    remind_at=st.one_of(st.just(time(7)), walls),
    quiet_from=st.one_of(st.just(time(21, 30)), walls),
    quiet_to=st.one_of(st.just(time(6, 30)), walls),
    day_turn=st.sampled_from([time(3), time(0), time(5)]),
    commute=st.just(""),
)
verbs = st.sampled_from(
    ["hello", "ran 45", "ran 5", "walked 20", "off", "sore", "hold", "cleared", "stop", "snooze 2 h", "snooze tomorrow"]
)


@st.composite
def plans(draw: st.DrawFn) -> str:
    """Sessions on some days of each of three weeks."""
    days = draw(st.lists(st.sampled_from(DAYS), unique=True, max_size=5))
    return ", ".join(f"{week}{day} {draw(st.sampled_from([20, 45, 90]))}" for week in ("", "2", "3") for day in days)


@st.composite
def replies(draw: st.DrawFn) -> list[tuple[timedelta, str]]:
    """What is heard in three weeks, each after so much time from the first Monday."""
    some = st.tuples(st.integers(0, 21 * 24 * 4).map(lambda n: timedelta(minutes=15 * n + 7)), verbs)
    return sorted(draw(st.lists(some, max_size=12)))


def lived(book: Book, said: list[tuple[timedelta, str]], start: datetime) -> Book:
    """Three weeks from look to look, with what is `said` in between; the looks must move on."""
    now, looks, end = start, 0, start + timedelta(days=21)
    said = [*said, (timedelta(days=21), "")]
    for after, what in said:
        at = min(start + after, end)
        while True:
            look = nudges.next_look(book, now)
            if look is None or look > at:
                break
            assert look > now
            looks += 1
            assert looks < 400
            now = look
            verdicts = nudges.settle_due(book, now)
            assert verdicts == nudges.settle_due(book, now)
            for verdict in verdicts:
                nudged = verdict.nudged
                assert (verdict.payload is not None) is (nudged.outcome is Outcome.SENT)
                if verdict.payload is not None:
                    assert nudges.why_withdrawn(book, nudged.kind, nudged.for_day, nudged.slot, now) is None
                    assert quiet_until(book, now) is None
                    assert stale_at(nudged.kind, nudged.due_at) >= now
            book = replace(book, nudges=(*book.nudges, *(verdict.nudged for verdict in verdicts)))
        now = at
        answerable = any(n.kind is not NudgeKind.SNOOZED and n.outcome is Outcome.SENT for n in book.nudges)
        if what and (answerable or not what.startswith("snooze")):
            book = does(book, what, now)
    return book


@settings(max_examples=100, deadline=None)
@given(profiles, plans(), replies(), st.sampled_from(MONDAYS))
def test_restraint_holds_whatever_is_planned_and_replied(
    profile: Profile, plan: str, said: list[tuple[timedelta, str]], monday: date
) -> None:
    """ "At most 2 nudges a day and 8 a week", "only the strongest", "sent at most once", "never in quiet hours"."""
    book = lived(drawn(plan, profile=profile, monday=monday), said, at_wall(monday, time(3), profile))
    went = [n for n in book.nudges if n.outcome is Outcome.SENT]
    keys = Counter((n.kind, n.for_day, n.slot) for n in book.nudges)
    assert not [key for key, times in keys.items() if times > 1]
    counted = [n for n in went if n.kind not in LIMITLESS]
    assert max(Counter(book.local(n.at).date() for n in counted).values(), default=0) <= 2
    assert max(Counter(book.today(n.at) for n in counted).values(), default=0) <= 2
    for place, first in enumerate(counted):
        assert sum(n.at - first.at < timedelta(days=7) for n in counted[place:]) <= 8
    assert all(b.at - a.at > timedelta(hours=3) for a, b in pairwise(counted))
    per_date = Counter((n.kind, n.for_day) for n in counted)
    assert max(per_date.values(), default=0) <= 1
    assert sum(n.kind is NudgeKind.SAFETY_FOLLOWUP for n in went) <= 3 * max(1, sum("hold" in w for _, w in said))


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(["Mon Wed Sat", "Tue Thu Sun"]),
    st.lists(st.integers(7 * 4 + 1, 19 * 4 - 1), min_size=9, max_size=9),
    st.sampled_from(ZONES[:5]),
)
def test_a_perfect_week_gets_no_gap_warning_and_no_check_in(days: str, quarters: list[int], zone: str) -> None:
    """ "So a perfect Mon-Wed-Sat or Tue-Thu-Sun week gets no gap warning at all." """
    runs = [f"{week}{day}" for week in ("", "2", "3") for day in days.split()]
    plan = ", ".join(f"{day} 45" for day in runs)
    said = ", ".join(f"{day} {n // 4:02}:{n % 4 * 15:02} ran 45" for day, n in zip(runs, quarters, strict=True))
    profile = Profile(zone=zone, open_minutes=ALL_OPEN, run_time=time(18))
    book = play(drawn(plan, profile=profile, past=days.rsplit(maxsplit=1)[-1]), said, days=21)
    kinds = {line.split()[-1] for line in sent(book)}
    assert kinds <= {"morning", "week_review"}
    assert [line for line in sent(book) if "review" in line] == [f"{w}Sun 19:30 week_review" for w in ("", "2", "3")]
