"""What /export hands over is all there is, as docs/export.md says, and readable by anybody's tools."""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from pathlib import Path

import pytest
from sqlalchemy import Connection, insert

from nudgebot.domain.model.runner import Runner
from nudgebot.domain.model.speech import Say
from nudgebot.domain.overview.group import Share
from nudgebot.storage import book_repository, coach_repository, export, group_repository, inbox, outbox, schema
from tests.storage.examples import NOW, SECRET, full_book

pytestmark = pytest.mark.both_engines

DOC = (Path(__file__).parent.parent.parent / "docs" / "export.md").read_text(encoding="utf-8")
ROWS = dict(re.findall(r"^- `(\w+)`, [^:]+: ((?:`\w+`,?\s+)+)", DOC, re.MULTILINE))


@pytest.fixture
def ana(conn: Connection) -> Runner:
    """Somebody of whom every table holds something."""
    coach = book_repository.create(conn, "telegram", "8", "Kim", NOW).runner
    runner = book_repository.create(conn, "telegram", "7", "Ana", NOW).runner
    book_repository.save(conn, book_repository.load(conn, runner.id), full_book(runner))
    group_repository.join(conn, runner.id, coach_repository.begin(conn, coach, NOW, NOW), NOW)
    group_repository.share(conn, runner.id, Share.PULSE, NOW, on=True)
    group_repository.note(conn, runner.id, coach.id, NOW, "prefers mornings")
    inbox.receive(conn, [inbox.Update("tg:1", "telegram", "", "7", '{"text": "42 easy"}')], NOW)
    outbox.put(conn, runner, Say("on its way"), key="k", now=NOW)
    return book_repository.load(conn, runner.id).runner


def test_every_table_that_names_a_person_is_exported_and_described() -> None:
    named = {t.name for t in schema.metadata.sorted_tables if export.owner_column(t) is not None}
    assert set(ROWS) == {*named, "runner", "inbox"}
    for name, fields in ROWS.items():
        table = schema.metadata.tables["runners" if name == "runner" else name]
        assert re.findall(r"`(\w+)`", fields) == list(export.columns(table)), name


def test_the_json_is_one_object_with_every_row_of_the_person(conn: Connection, ana: Runner) -> None:
    found = json.loads(export.as_json(export.everything(conn, ana.id)))
    assert found["format"] == "nudgebot export 1"
    assert found["runner"]["name"] == "Ana"
    assert set(found) == {*ROWS, "format", "coached_by"}
    assert found["coached_by"] == [{"name": "Kim", "since": NOW.isoformat()}]
    for name, table in schema.metadata.tables.items():
        column = export.owner_column(table)
        if column is not None and name != "runners":
            rows = conn.execute(table.select().where(column == ana.id)).all()
            assert len(found[name]) == len(rows), name
    assert found["notes"] == [{"at": NOW.isoformat(), "text": "prefers mornings"}]
    assert "42 easy" in found["inbox"][0]["raw"]
    assert found["outbox"][0]["text"] == "on its way"


def test_the_log_is_csv_that_a_csv_reader_reads(conn: Connection, ana: Runner) -> None:
    book = book_repository.load(conn, ana.id)
    found = list(csv.DictReader(io.StringIO(export.log_csv(export.everything(conn, ana.id)))))
    assert [(row["day"], int(row["minutes"]), row["activity"]) for row in found] == [
        (entry.day.isoformat(), entry.minutes, entry.activity.value) for entry in book.log
    ]
    for column in export.CSV_COLUMNS:
        assert f"| `{column}` |" in DOC


def test_the_file_is_a_zip_of_everything_and_each_list_as_csv(conn: Connection, ana: Runner) -> None:
    found = export.everything(conn, ana.id)
    packed = export.as_zip(found)
    assert packed == export.as_zip(found)
    with zipfile.ZipFile(io.BytesIO(packed)) as files:
        assert files.testzip() is None
        assert set(files.namelist()) == {
            "about.txt",
            "everything.json",
            "coached_by.csv",
            *(f"{n}.csv" for n in ROWS if found[n] and n != "runner"),
        }
        assert "Coached by: Kim" in files.read("about.txt").decode()
        assert json.loads(files.read("everything.json")) == json.loads(export.as_json(found))
        assert files.read("log.csv").decode("utf-8-sig") == export.log_csv(found)
        for name in {name for name in ROWS if found[name]} - {"runner", "log"}:
            assert files.read(f"{name}.csv").startswith("\ufeff".encode()), name
            rows = list(csv.DictReader(io.StringIO(files.read(f"{name}.csv").decode("utf-8-sig"), newline="")))
            assert len(rows) == len(found[name]), name
            assert all(list(row) == re.findall(r"`(\w+)`", ROWS[name]) for row in rows), name
        notes = list(csv.DictReader(io.StringIO(files.read("notes.csv").decode("utf-8-sig"))))
        assert [row["text"] for row in notes] == ["prefers mornings"]


def test_older_rows_than_a_book_reaches_back_are_exported_too(conn: Connection, ana: Runner) -> None:
    old = {"key": "old", "day": NOW.date().replace(year=2020), "minutes": 31, "activity": "run"}
    conn.execute(insert(schema.log).values(runner_id=ana.id, in_place_of_run=False, hard=False, cap=0, **old))
    assert "old" not in [entry.key for entry in book_repository.load(conn, ana.id).log]
    assert "old" in [row["key"] for row in export.everything(conn, ana.id)["log"]]


def test_nobody_elses_rows_are_in_it(conn: Connection, ana: Runner) -> None:
    coach = book_repository.find(conn, "telegram", "8")
    assert coach is not None
    text = export.as_json(export.everything(conn, coach.runner.id))
    assert "mornings" not in text
    assert SECRET not in text
    assert "Ana" not in text


FORMULAS = ["=HYPERLINK(1)", "+1+2", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "＝1", "－A1"]


@pytest.mark.parametrize("text", FORMULAS)
def test_no_cell_of_any_table_is_taken_for_a_formula(conn: Connection, ana: Runner, text: str) -> None:
    """OWASP, "CSV Injection": a cell that begins with one of these signs is run by a spreadsheet."""
    found = export.everything(conn, ana.id)
    for name, rows in found.items():
        if isinstance(rows, list):
            found[name] = [{key: text if isinstance(value, str) else value for key, value in r.items()} for r in rows]
    with zipfile.ZipFile(io.BytesIO(export.as_zip(found))) as files:
        names = [name for name in files.namelist() if name.endswith(".csv")]
        for name in names:
            for row in csv.reader(io.StringIO(files.read(name).decode("utf-8-sig"), newline="")):
                assert not [cell for cell in row if cell[:1] in "=+-@\t\r＝＋－＠" and cell], name
    assert len(names) > 10


def test_a_number_below_nothing_stays_one(conn: Connection, ana: Runner) -> None:
    found = {**export.everything(conn, ana.id), "limits": [{"day": "2027-01-04", "minutes": "-5", "reason": "- 5"}]}
    with zipfile.ZipFile(io.BytesIO(export.as_zip(found))) as files:
        assert files.read("limits.csv").decode("utf-8-sig").splitlines()[1] == "2027-01-04,-5,'- 5"
