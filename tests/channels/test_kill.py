"""The short versions of `python -m tests.faults.kill` and `python -m tests.faults.runners`."""

from __future__ import annotations

from pathlib import Path

from tests.faults import kill, runners


def test_kills_at_random_moments_break_no_promise(tmp_path: Path) -> None:
    report = kill.soak(kills=8, runners=4, seed=7, folder=tmp_path)
    assert report.kept, report
    assert report.lines > 20


def test_kills_while_runners_live_their_weeks_lose_no_run_and_double_no_nudge(tmp_path: Path) -> None:
    report = runners.soak(kills=4, runners=8, seed=7, folder=tmp_path, burst=10)
    assert report.kept, report
    assert report.logged > 3, report
    assert report.nudges > 0, report
