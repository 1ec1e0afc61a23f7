"""Lines of somebody who is ill that hold no minutes: answered like on any day, and never with a crash."""

from __future__ import annotations

import pytest

from tests.talking import joined


@pytest.mark.parametrize(
    "line", ["went for a run", "quiet 22:00-07:00", "ran 4 km", "did my run, forgot the time", "gelaufen"]
)
def test_a_run_without_minutes_is_asked_about_while_ill_too(line: str) -> None:
    played = joined(f"temperature of 38.6 since noon\n{line}\n@ dump")
    assert played.status == 0
    assert played.dump["standing"] == "ill"
    assert played.texts[-1]
