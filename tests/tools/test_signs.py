"""The tables of signs, out for a review and back in."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from nudgebot import cli
from nudgebot.domain.profile import conditions
from nudgebot.domain.text.symptoms.table import table
from nudgebot.tools import signs


def printed() -> list[dict[str, str]]:
    """The rows of the CSV."""
    out = io.StringIO()
    assert signs.write_csv(out) == 0
    return list(csv.DictReader(io.StringIO(out.getvalue(), newline="")))


def reviewed(rows: list[dict[str, str]]) -> tuple[int, str, str]:
    """The status and what both streams say of a file that came back."""
    back, out, err = io.StringIO(newline=""), io.StringIO(), io.StringIO()
    writer = csv.DictWriter(back, signs.COLUMNS)
    writer.writeheader()
    writer.writerows(rows)
    status = signs.review(back.getvalue().splitlines(keepends=True), out, err)
    return status, out.getvalue(), err.getvalue()


def test_every_sign_is_in_the_csv_with_its_level_its_words_and_its_source() -> None:
    rows = {row["id"]: row for row in printed() if row["table"] == "sign"}
    assert set(rows) == {sign.id for sign in table()}
    for sign in table():
        row = rows[sign.id]
        assert (row["level"], row["source"], row["seen"]) == (sign.level, sign.source, sign.seen)
        assert row["words"] and not row["reviewer"]


def test_every_told_condition_is_in_it_with_what_follows_and_its_words_in_every_language() -> None:
    rows = {row["id"]: row for row in printed() if row["table"] == "condition"}
    assert set(rows) == {condition.id for condition in conditions.table()}
    for condition in conditions.table():
        row = rows[condition.id]
        assert (row["source"], row["seen"]) == (condition.source, condition.seen)
        assert (row["level"] == "clinician") == ("clinician" in condition.follows)
        assert all(word in row["words"] for words in condition.words.values() for word in words)
        assert all(what in row["words"] for what in condition.follows)


def test_a_file_that_was_printed_and_filled_in_is_read_back(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["signs", "--csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capfd.readouterr().out, newline="")))
    condition = next(row for row in rows if row["table"] == "condition" and row["level"])
    condition |= {
        "reviewer": "Dr Okafor",
        "reviewed_on": "2027-05-01",
        "new_level": "none",
        "remark": "if well treated",
    }
    back = tmp_path / "signs.csv"
    with back.open("w", encoding="utf-8-sig", newline="") as file:  # as a spreadsheet saves it
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    assert cli.main(["signs", "--reviewed", str(back)]) == 0
    said = capfd.readouterr().out
    assert f"condition {condition['id']!r}: clinician → none (Dr Okafor, 2027-05-01): if well treated" in said
    assert f"1 of {len(rows)} rows reviewed, 1 with a change" in said


def test_thresholds_and_the_answers_of_five_languages_are_in_it() -> None:
    ids = {(row["table"], row["id"]) for row in printed()}
    assert ("threshold", "pain of 10") in ids
    assert {("answer", f"urgent ({language})") for language in ("en", "es", "de", "fr", "pt")} <= ids


def test_an_untouched_file_has_nothing_reviewed() -> None:
    status, out, err = reviewed(printed())
    assert (status, err) == (0, "") and out.startswith("0 of ")


def test_a_review_says_which_rows_were_changed_and_by_whom() -> None:
    rows = printed()
    rows[0] |= {"reviewer": "Dr Costa", "reviewed_on": "2027-02-01"}
    rows[1] |= {"reviewer": "Dr Costa", "new_level": "rest", "remark": "seldom grave"}
    status, out, _ = reviewed(rows)
    assert status == 0
    assert f"sign {rows[0]['id']!r}: agreed (Dr Costa, 2027-02-01)" in out
    assert f"sign {rows[1]['id']!r}: {rows[1]['level']} → rest (Dr Costa): seldom grave" in out
    assert f"2 of {len(rows)} rows reviewed, 1 with a change" in out


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"reviewer": "Dr Costa", "new_level": "grave"}, "is no level"),
        ({"new_level": "rest"}, "nothing of who reviewed it"),
        ({"words": "other words"}, "words differs from the tables"),
        ({"id": "never heard of"}, "is none of ours"),
    ],
)
def test_a_row_that_cannot_be_taken_is_named_with_its_line(change: dict[str, str], says: str) -> None:
    rows = printed()
    rows[2] |= change
    status, _, err = reviewed(rows)
    assert status == 1 and err.startswith("line 4, ") and says in err


def test_a_row_that_is_too_short_is_named_like_any_other() -> None:
    out, err = io.StringIO(), io.StringIO()
    assert signs.review([",".join(signs.COLUMNS) + "\n", "sign\n"], out, err) == 1
    assert err.getvalue() == "line 2, sign '': is none of ours\n"


def test_a_file_without_the_columns_is_refused() -> None:
    out, err = io.StringIO(), io.StringIO()
    assert signs.review(["a,b\n", "1,2\n"], out, err) == 1
    assert "no column" in err.getvalue()


def test_the_page_says_that_nobody_has_reviewed_it() -> None:
    out = io.StringIO()
    signs.write_page(out)
    assert "No clinician has reviewed them yet" in out.getvalue()
    assert all(f"\n{sign.id} [{sign.level}]\n" in out.getvalue() for sign in table())
