"""The short version of `python -m tests.faults.workers`."""

from __future__ import annotations

from pathlib import Path

from tests import postgres
from tests.faults import workers


def test_workers_that_are_killed_cut_off_or_late_lose_nothing_double_nothing_and_keep_each_chats_order(
    tmp_path: Path,
) -> None:
    with postgres.database() as url:
        report = workers.soak(rounds=3, runners=4, seed=7, folder=tmp_path, url=url, burst=14, pause=0.4)
    assert report.kept, report
    assert report.lines > 10
