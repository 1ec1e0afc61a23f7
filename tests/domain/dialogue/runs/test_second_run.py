"""What answers the question about a second run on one day, in the five languages."""

from __future__ import annotations

import pytest

from tests.talking import joined


@pytest.mark.parametrize(
    ("said", "log"),
    [
        ("das waren 37", [37]),
        ("nein, es waren 37 Minuten", [37]),
        ("era 37", [37]),
        ("ça faisait 37 minutes", [37]),
        ("foram 37 no total", [37]),
        ("eine Korrektur", [37]),
        ("una corrección", [37]),
        ("57 zusammen", [20, 37]),
        ("that makes 57 in total", [20, 37]),
        ("noch ein Lauf", [20, 37]),
        ("la segunda", [20, 37]),
        ("une autre course", [20, 37]),
        ("outra", [20, 37]),
    ],
)
def test_a_second_run_or_a_correction_is_told_in_a_word_or_a_number(said: str, log: list[int]) -> None:
    played = joined(f"@ 2027-01-05 12:00\n20\n@ 2027-01-05 13:00\n37 easy\n{said}\n@ dump")
    assert [entry["minutes"] for entry in played.dump["log"]] == log
    assert not played.texts[-1].endswith("?")
