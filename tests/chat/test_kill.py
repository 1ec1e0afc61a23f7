"""The short version of `python -m tests.faults.kill`."""

from __future__ import annotations

from pathlib import Path

from tests.faults.kill import soak


def test_kills_at_random_moments_break_no_promise(tmp_path: Path) -> None:
    report = soak(kills=8, runners=4, seed=7, folder=tmp_path)
    assert report.kept, report
    assert report.lines > 20
