"""The simulation: repeatable, all as it must be, and able to find it where it is not."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.runner import Book, Nudged, NudgeKind, Outcome, Profile, Runner
from nudgebot.domain.model.week import Session
from nudgebot.domain.nudging.times import quiet_until
from nudgebot.domain.planning import limits
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.domain.solver.solve import Problem, solve
from nudgebot.tools.simulate import command, judging, report
from nudgebot.tools.simulate.conversation import Chat
from nudgebot.tools.simulate.lives import HOURS, Event, Life, invented
from nudgebot.tools.simulate.living import lived
from nudgebot.tools.simulate.tally import MUST_BE_0, Tally
from tests import replan_judges
from tests.replan_problems import mixed

DAY = timedelta(days=1)
WEEKS = 5


def told(seed: int) -> str:
    """The page and the object of a small simulation."""
    lives, out = command.simulated(7, WEEKS, seed), io.StringIO()
    command.told(lives, WEEKS, seed, out, out)
    command.told(lives, WEEKS, seed, out, out, as_json=True)
    return out.getvalue()


def begun(life: Life = Life.PERFECT, number: int = 0) -> Chat:
    """A chat whose intake is done, on the third Tuesday of running to plan."""
    person = invented(life, number, 1, 4)
    chat = Chat(person.name, person.joined, Tally())
    for line in person.intake:
        chat.says(line)
    while len(chat.book.weeks) < 3 or chat.today.weekday() != 1:
        session = chat.morning()
        if session is not None:
            chat.says(f"{session.minutes} min easy")
        chat.wait(chat.now + DAY)
    return chat


def test_the_same_seed_gives_the_same_output_and_another_seed_another() -> None:
    first = told(5)
    assert told(5) == first
    assert told(6) != first


def test_who_is_invented_does_not_depend_on_how_many_there_are_or_how_long_they_live() -> None:
    few, many = invented(Life.BUSY, 3, 9, 4), invented(Life.BUSY, 3, 9, 40)
    assert few.intake == many.intake
    assert few.days == many.days[: len(few.days)]


@pytest.mark.parametrize("life", Life)
def test_all_is_as_it_must_be(life: Life) -> None:
    tally = Tally()
    for number in range(2):
        lived(invented(life, number, 77, WEEKS), WEEKS, tally)
    assert tally.faults == {}
    assert tally.weeks == 2 * WEEKS
    assert tally.plans > 0 < tally.nudges


def test_a_perfect_runner_does_every_week_and_gets_no_gap_warning() -> None:
    """The check value of the nudge rules: a perfect week gets no gap warning at all."""
    tally = Tally()
    for number in range(4):
        lived(invented(Life.PERFECT, number, 3, WEEKS), WEEKS, tally)
    assert tally.on_target == tally.weeks
    assert tally.gaps_skipped == 0
    assert tally.minutes == tally.without
    assert tally.sent["gap_warning"] == tally.held_back["gap_warning"] == 0


def test_replanning_gives_minutes_back_to_the_busy() -> None:
    tally = Tally()
    for number in range(6):
        lived(invented(Life.BUSY, number, 11, WEEKS), WEEKS, tally)
    assert tally.minutes > tally.without


def test_summer_time_is_crossed_and_nudges_fall_near_it() -> None:
    """Twenty weeks from either start cross the changes of both hemispheres."""
    tally = Tally()
    people = (invented(Life.TRAVELLING, number, 2, 20) for number in range(40))
    by_night = [each for each in people if each.intake[15] in {"01:30", "02:30"} and each.intake[13] != "Kolkata"]
    for person in by_night[:5]:
        lived(person, 20, tally)
    assert tally.changes > 0 < tally.near_changes
    assert tally.faults == {}


@pytest.mark.parametrize("seed", range(140))
def test_the_fewest_gap_days_found_by_trying_all_are_the_replanners(seed: int) -> None:
    problem = mixed(seed, 1 + seed % 7)
    assert judging.fewest_gap_days(problem) == solve(problem).objective.gap_days
    runs = [minutes > 0 for minutes in problem.planned]
    assert judging.gap_days(problem, runs) == len(replan_judges.gap_days_of(problem, problem.planned))


def test_a_plan_with_a_needless_gap_is_caught() -> None:
    # Last run two days ago; day 0 is open and left empty.
    open_days = (60, 60, 60)
    worse = Problem((45, 0), (0, 0, 45), open_days, after=(45, 0, 0), target=45, session_max=60, window_max=180)
    assert judging.has_needless_gaps(worse)
    assert not judging.has_needless_gaps(replace(worse, planned=(45, 0, 0)))
    assert not judging.has_needless_gaps(replace(worse, available=(0, 0, 60)))


def test_a_worse_plan_that_is_shown_is_counted() -> None:
    chat = begun()
    chat.says("/week")
    assert chat.tally.faults == {}
    today = chat.today
    chat.book = replace(chat.book, plan=tuple(s for s in chat.book.plan if s.day < today))
    chat.wait(chat.now + 3 * DAY)
    chat.book = replace(chat.book, plan=tuple(s for s in chat.book.plan if s.day < chat.today))
    chat.says("/help")
    assert chat.tally.needless_gaps == 1
    assert "more gap days" in report.fault(chat.tally)


def test_a_plan_over_a_limit_is_counted() -> None:
    chat = begun()
    tomorrow = chat.today + DAY
    chat.book = replace(chat.book, plan=(*chat.book.plan, Session(tomorrow, 303), Session(tomorrow + DAY, 300)))
    chat.says("/help")
    assert chat.tally.broken_limits > 0
    assert any("single session" in what for what in chat.tally.found)
    assert any("grid" in what for what in chat.tally.found)


def test_nudges_twice_in_quiet_hours_or_too_many_are_counted() -> None:
    chat = begun()
    profile = replace(chat.book.profile, quiet_from=time(21, 30), quiet_to=time(6, 30), remind_at=time(7))
    chat.book = replace(chat.book, profile=profile)
    day = chat.today + 20 * DAY
    night = datetime.combine(day, time(23), profile.tz).astimezone(UTC)
    nudged = Nudged(NudgeKind.CHECK_IN, day, "", night, night, Outcome.SENT, "due")
    for each in (nudged, nudged, replace(nudged, kind=NudgeKind.GAP_WARNING)):
        chat._settle(each)
    assert chat.tally.faults == {"quiet_nudges": 3, "double_nudges": 1, "crowded_nudges": 1}
    chat._settle(replace(nudged, outcome=Outcome.HELD_BACK))
    assert chat.tally.held_back["check_in"] == 1


@given(
    hours=st.sampled_from(HOURS),
    zone=st.sampled_from(("Europe/Lisbon", "America/Santiago", "Australia/Lord_Howe", "Africa/Cairo", "Asia/Tokyo")),
    minute=st.integers(0, 365 * 24 * 12),
)
def test_quiet_hours_read_off_the_wall_clock_are_those_of_the_nudge_rules(
    hours: tuple[str, str, time], zone: str, minute: int
) -> None:
    """Never in quiet hours; a reminder time that the runner chose inside them ends them there that day."""
    told = intake_codec.from_rows({"remind_at": hours[0], "quiet": hours[1], "zone": zone})
    joined = datetime(2027, 1, 1, tzinfo=UTC)
    book = Book(Runner(1, "talk", "ana", "Ana", joined, joined), intake.profile(told), intake=told)
    at = joined + timedelta(minutes=5 * minute)
    assert judging.is_quiet(book, at) == (quiet_until(book, at) is not None)


@pytest.mark.parametrize(
    ("longest", "cap"), [(0, 30), (25, 30), (30, 35), (49, 50), (50, 55), (60, 65), (90, 95), (100, 110)]
)
def test_the_single_session_cap_by_its_table(longest: int, cap: int) -> None:
    """max(30, L + 5, 10 % more on the grid), docs/season.md; worked out by hand, and as the caps have it."""
    assert judging.session_cap(longest) == cap
    joined = datetime(2027, 1, 1, tzinfo=UTC)
    book = Book(Runner(1, "talk", "ana", "Ana", joined, joined), Profile(longest=longest))
    assert limits.session_max(book, date(2027, 1, 4)) == cap


def test_a_third_nudge_of_a_day_or_a_ninth_of_seven_days_is_too_many() -> None:
    noon = datetime(2027, 1, 4, 12, tzinfo=UTC)
    two = [(noon, noon.date()), (noon + timedelta(hours=4), noon.date())]
    assert judging.too_many(two, noon + timedelta(hours=8), noon.date())
    assert not judging.too_many(two, noon + DAY, noon.date() + DAY)
    eight = [(noon + n * timedelta(hours=20), date(2027, 2, n + 1)) for n in range(8)]
    assert judging.too_many(eight, noon + 6 * DAY, date(2027, 1, 10))
    assert not judging.too_many(eight, noon + 7 * DAY, date(2027, 1, 11))


def test_every_kind_of_event_happens_to_somebody() -> None:
    seen = {day.event for life in Life for number in range(3) for day in invented(life, number, 1, 20).days}
    assert seen == set(Event)


@pytest.mark.parametrize("name", MUST_BE_0)
def test_what_must_be_0_and_is_not_ends_with_1_and_one_line(name: str) -> None:
    tally = Tally(runners=1, weeks=2)
    setattr(tally, name, 3)
    tally.found["something"] = 3
    out, err = io.StringIO(), io.StringIO()
    assert command.told({Life.PERFECT: tally}, 2, 1, out, err) == 1
    assert err.getvalue().count("\n") == 1
    assert f"3 {MUST_BE_0[name]}" in err.getvalue()
    assert f"       3 {MUST_BE_0[name]}" in out.getvalue()


def test_the_object_holds_what_the_page_says_and_the_picture_is_drawn(tmp_path: Path) -> None:
    lives, out, err = command.simulated(7, 2, 1), io.StringIO(), io.StringIO()
    assert command.told(lives, 2, 1, out, err, as_json=True, drawn=tmp_path / "a.svg") == 0
    values = json.loads(out.getvalue())
    assert set(values["lives"]) == set(Life)
    assert values["all"]["runner_weeks"] == 14
    assert values["must_be_0"] == dict.fromkeys(MUST_BE_0, 0)
    assert sum(each["minutes"] for each in values["lives"].values()) == values["all"]["minutes"]
    command.told(lives, 2, 1, out, err, drawn=tmp_path / "b.svg")
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert command.told(lives, 2, 1, out, err, drawn=tmp_path / "no folder" / "c.svg") == 1
    assert err.getvalue().count("\n") == 1


def test_on_the_command_line_a_seed_is_a_seed_in_every_process() -> None:
    line = [sys.executable, "-m", "nudgebot", "simulate", "--runners", "7", "--weeks", "2", "--json"]
    runs = [
        subprocess.run(
            line, capture_output=True, text=True, timeout=120, env={"PYTHONHASHSEED": seed, "PYTHONPATH": "."}
        )
        for seed in ("1", "2")
    ]
    assert [done.returncode for done in runs] == [0, 0]
    assert runs[0].stdout == runs[1].stdout
    assert "runner-weeks a second" in runs[0].stderr


def test_a_picture_without_matplotlib_is_refused_in_one_line(tmp_path: Path) -> None:
    code = "import sys; sys.modules['matplotlib'] = None; from nudgebot.cli import main; sys.exit(main(sys.argv[1:]))"
    done = subprocess.run(
        [sys.executable, "-c", code, "simulate", "--picture", str(tmp_path / "a.svg")], capture_output=True, text=True
    )
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "nudgebot[pictures]" in done.stderr
