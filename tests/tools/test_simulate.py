"""The simulation: repeatable, and all as it must be."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from nudgebot.tools.simulate import command, report
from nudgebot.tools.simulate.judge.findings import ILLNESSES, Breach, Meant
from nudgebot.tools.simulate.lives import LANGUAGES, SLOT, Event, Life, Voice, invent, lines
from nudgebot.tools.simulate.living import live
from nudgebot.tools.simulate.tally import Tally
from tests.at_the_shell import nudgebot

WEEKS = 21
SIGNS = (Meant.CLINICIAN, Meant.URGENT, Meant.EMERGENCY)
PEOPLE = 6  # of each kind of life: 1,512 runner-weeks in all; docs/season.md has the long command


def lives_of(life: Life, people: int, weeks: int) -> Tally:
    tally = Tally()
    for number in range(people):
        live(invent(life, number, 77, weeks), weeks, tally, twice=False)
    return tally


def told(seed: int) -> str:
    """The page and the object of a small simulation."""
    out = io.StringIO()
    lives = command.simulate(12, 1, seed)
    command.report_lives(lives, 1, seed, out, out)
    command.report_lives(lives, 1, seed, out, out, as_json=True)
    return out.getvalue()


def test_the_same_seed_gives_the_same_output_and_another_seed_another() -> None:
    first = told(5)
    assert told(5) == first
    assert told(6) != first


@pytest.mark.parametrize("twice", [True, False])
def test_the_second_life_is_told_of_where_there_was_one(twice: bool) -> None:
    lives, out = {Life.PERFECT: Tally(runners=1, weeks=2, minutes=60, without=40)}, io.StringIO()
    command.report_lives(lives, 2, 1, out, out, twice=twice)
    command.report_lives(lives, 2, 1, out, out, twice=twice, as_json=True)
    page, _, values = out.getvalue().rpartition("\n{")
    assert ("each lived twice" in page) == twice
    assert ("+10.0" in page) == twice
    assert json.loads(f"{{{values}")["all"]["minutes_left_alone"] == (40 if twice else None)


def test_who_is_invented_does_not_depend_on_how_many_there_are_or_how_long_they_live() -> None:
    few, many = invent(Life.BUSY, 3, 9, 4), invent(Life.BUSY, 3, 9, 40)
    assert few.intake == many.intake
    assert few.days == many.days[: len(few.days)]


@pytest.mark.parametrize("life", Life)
def test_all_is_as_it_must_be(life: Life) -> None:
    tally = lives_of(life, PEOPLE, WEEKS)
    assert tally.faults == {}, list(tally.found)
    assert tally.weeks == PEOPLE * WEEKS
    assert tally.plans > 0 < tally.nudges


def test_a_perfect_runner_does_every_week_and_gets_no_gap_warning() -> None:
    """The check value of the nudge rules: a perfect week gets no gap warning at all."""
    tally = Tally()
    for number in range(4):
        live(invent(Life.PERFECT, number, 3, 5), 5, tally)
    assert tally.on_target == tally.weeks
    assert tally.gaps_skipped == 0
    assert tally.minutes == tally.without
    assert tally.sent["gap_warning"] == tally.held_back["gap_warning"] == 0


def test_replanning_gives_minutes_back_to_the_busy() -> None:
    tally = Tally()
    for number in range(8):
        live(invent(Life.BUSY, number, 11, 6), 6, tally)
    assert tally.minutes > tally.without


def test_summer_time_is_crossed_and_nudges_fall_near_it() -> None:
    """Twenty weeks from either start cross the changes of both hemispheres."""
    tally = Tally()
    people = (invent(Life.TRAVELLING, number, 2, 20) for number in range(40))
    by_night = [each for each in people if each.intake[15] in {"01:30", "02:30"} and each.intake[13] != "Kolkata"]
    for person in by_night[:4]:
        live(person, 20, tally, twice=False)
    assert tally.changes > 0 < tally.near_changes
    assert tally.faults == {}, list(tally.found)


def test_every_kind_of_event_happens_to_somebody() -> None:
    seen = {day.event for life in Life for number in range(3) for day in invent(life, number, 1, 20).days}
    assert seen == set(Event)


def test_own_words_are_counted_by_what_they_were_read_as() -> None:
    tally = lives_of(Life.BUSY, 3, 8)
    tally.add(lives_of(Life.SICK, 3, 8))
    runs = {what: count for what, count in tally.read.items() if what.startswith("run: ")}
    assert runs["run: as it was"] > sum(runs.values()) / 2
    assert len(runs) > 1  # what was read as something else is shown, not hidden
    assert {Meant(what.split(":")[0]) for what in tally.read} & {*ILLNESSES, *SIGNS}


@pytest.mark.parametrize("language", LANGUAGES)
def test_there_are_lines_of_every_kind_in_every_language(language: str) -> None:
    spoken = (Meant.RUN, Meant.SKIP, Meant.BUSY, Meant.CHAT, Meant.QUESTION, Meant.NIGGLE, Meant.FEVER, *SIGNS)
    assert [told for told in spoken if len(lines().get((told, language), ())) < 3] == []


def test_a_run_told_in_own_words_names_its_minutes_and_no_other_line_has_a_slot() -> None:
    for (about, _), texts in lines().items():
        assert all((text.count(SLOT) == 1) == (about is Meant.RUN) for text in texts)
    assert "37" in Voice("pt", "somebody").own(Meant.RUN, 37)


@pytest.mark.parametrize("breach", Breach)
def test_what_must_be_0_and_is_not_ends_with_1_and_one_line(breach: Breach) -> None:
    tally = Tally(runners=1, weeks=2)
    tally.breaches[breach.name] = 3
    tally.found["something"] = 3
    out, err = io.StringIO(), io.StringIO()
    assert command.report_lives({Life.PERFECT: tally}, 2, 1, out, err) == 1
    assert err.getvalue().count("\n") == 1
    assert f"3 {breach}" in err.getvalue()
    assert f"       3 {breach}" in out.getvalue()


def test_the_object_holds_what_the_page_says_and_the_picture_is_drawn(tmp_path: Path) -> None:
    lives, out, err = command.simulate(12, 2, 1), io.StringIO(), io.StringIO()
    command.report_lives(lives, 2, 1, out, err, as_json=True, drawn=tmp_path / "a.svg")
    values = json.loads(out.getvalue())
    assert set(values["lives"]) == set(Life)
    assert values["all"]["runner_weeks"] == 24
    assert set(values["must_be_0"]) == {breach.name.lower() for breach in Breach}
    assert values["must_be_0"]["single_session"] == 0
    assert sum(each["minutes"] for each in values["lives"].values()) == values["all"]["minutes"]
    command.report_lives(lives, 2, 1, out, err, drawn=tmp_path / "b.svg")
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    err = io.StringIO()
    assert (
        command.report_lives({Life.PERFECT: lives[Life.PERFECT]}, 2, 1, out, err, drawn=tmp_path / "no folder/c.svg")
        == 1
    )
    assert err.getvalue().count("\n") == 1


def test_a_long_simulation_goes_on_where_it_was_broken_off(tmp_path: Path) -> None:
    kept = command.Kept(tmp_path, 1, 4)
    runners = command.CHUNK * len(Life)
    seen: list[int] = []

    def break_off(done: int) -> None:
        seen.append(done)
        if done > command.CHUNK:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        command.simulate(runners, 1, 4, twice=False, kept=kept, progress=break_off)
    assert [path.name for path in tmp_path.iterdir()] == ["seed4-weeks1-perfect-0.json"]
    first = kept.read(Life.PERFECT, 0)
    assert first is not None
    assert first.runners == command.CHUNK
    marked = Tally.of({**first.values(), "minutes": 123_456})
    kept.write(Life.PERFECT, 0, marked)
    again = command.simulate(command.CHUNK, 1, 4, twice=False, kept=kept)
    assert again[Life.PERFECT].minutes != 123_456  # fewer runners of that kind: no whole chunk is asked for
    for life in (life for life in Life if life is not Life.PERFECT):
        kept.write(life, 0, Tally(runners=command.CHUNK))
    whole = command.simulate(runners, 1, 4, twice=False, kept=kept)
    assert whole[Life.PERFECT].minutes == 123_456


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("err", "shown"), [(io.StringIO(), False), (Terminal(), True)])
def test_progress_is_shown_on_a_terminal_and_nowhere_else(err: io.StringIO, shown: bool) -> None:
    command.run(2, 1, 1, io.StringIO(), err, iter(range(9)).__next__, twice=False)
    assert ("2 of 2 runner-weeks" in err.getvalue()) == shown
    assert ("\r" in err.getvalue()) == shown
    assert "runner-weeks a second" in err.getvalue()


def test_on_the_command_line_a_seed_is_a_seed_in_every_process() -> None:
    line = ("simulate", "--runners", "12", "--weeks", "1", "--json", "--once")
    other = str(int(os.environ.get("PYTHONHASHSEED", "0").replace("random", "0")) + 1)  # sets come in another order
    done = subprocess.run(
        [sys.executable, "-m", "nudgebot", *line],
        capture_output=True,
        text=True,
        timeout=120,
        env={"PYTHONHASHSEED": other, "PYTHONPATH": "."},
    )
    assert done.returncode == 0
    assert json.loads(done.stdout)["all"]["runner_weeks"] == 12
    assert done.stdout == nudgebot(*line).stdout
    assert "runner-weeks a second" in done.stderr


def test_a_picture_without_matplotlib_is_refused_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    done = nudgebot("simulate", "--picture", str(tmp_path / "a.svg"))
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "`pictures`" in done.stderr


def test_the_report_names_the_first_breaches_so_that_they_can_be_lived_again() -> None:
    tally = Tally(runners=1, weeks=1)
    tally.breaches[Breach.HEAT.name] = 1
    tally.found["too hot, hot-3 on 2027-07-01"] = 1
    assert "hot-3 on 2027-07-01" in report.fault(tally)
