"""Past runs from a table: shown, written once, and every fault said."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from nudgebot.domain.activity.table import PastRun, RowFault, read_table
from nudgebot.domain.model.logbook import Activity
from nudgebot.storage import book_repository, export
from nudgebot.tools import run_files
from tests.talking import marta

TODAY = date(2027, 1, 5)
NOW = datetime(2027, 1, 5, 12, tzinfo=UTC)


@pytest.fixture
def engine() -> Iterator[Engine]:
    """Marta has just joined."""
    engine = marta()
    yield engine
    engine.dispose()


def played(engine: Engine, text: str, *, who: str = "Marta", write: bool = False) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status = run_files.import_runs(engine, who, text, NOW, out, err, write=write)
    return status, out.getvalue(), err.getvalue()


def log_of(engine: Engine) -> list[tuple[date, int, Activity]]:
    with engine.begin() as conn:
        book = book_repository.find(conn, "talk", "Marta")
    assert book is not None
    return [(entry.day, entry.minutes, entry.activity) for entry in book.log]


TABLE = """date,minutes,kind,heart_rate,effort
2026-12-20,40,run,131,3
2026-12-22,35,,,
2026-12-24,60,bike,,
2026-05-01,30,run,,
"""


def test_a_dry_run_shows_each_row_and_writes_nothing(engine: Engine) -> None:
    status, out, _ = played(engine, TABLE)
    assert status == 0
    assert "2026-12-20 run 40 min, heart rate 131, effort 3: new" in out
    assert "2026-05-01 run 30 min: too old" in out
    assert "To be written: 3 runs, 135 min." in out
    assert log_of(engine) == []


def test_written_twice_it_is_there_once(engine: Engine) -> None:
    assert played(engine, TABLE, write=True)[0] == 0
    assert "In the log already".casefold() in played(engine, TABLE, write=True)[1].casefold()
    assert log_of(engine) == [
        (date(2026, 12, 20), 40, Activity.RUN),
        (date(2026, 12, 22), 35, Activity.RUN),
        (date(2026, 12, 24), 60, Activity.BIKE),
    ]


def test_the_log_of_an_export_is_such_a_table(engine: Engine) -> None:
    played(engine, TABLE, write=True)
    with engine.begin() as conn:
        book = book_repository.find(conn, "talk", "Marta")
        assert book is not None
        text = export.log_csv(export.everything(conn, book.runner.id))
    assert [row for row in read_table(text, TODAY) if isinstance(row, PastRun)] == [
        PastRun(date(2026, 12, 20), 40, Activity.RUN, 131, 3),
        PastRun(date(2026, 12, 22), 35),
        PastRun(date(2026, 12, 24), 60, Activity.BIKE),
    ]


def test_all_faults_are_said_and_nothing_is_written(engine: Engine) -> None:
    wrong = "day;min;hr\n31.12.2026;0;\n2027-01-06;30;\n2026-02-30;30;12\n2026-12-31;30;120\n"
    status, out, err = played(engine, wrong, write=True)
    assert (status, out) == (2, "")
    assert err.splitlines() == [
        "nudgebot: line 2: minutes: '0' is no whole number from 1 to 600",
        "nudgebot: line 3: date: '2027-01-06' is no date like 2027-01-31, up to today",
        "nudgebot: line 4: date: '2026-02-30' is no date like 2027-01-31, up to today",
        "nudgebot: line 4: heart_rate: '12' is no whole number from 30 to 230",
    ]
    assert log_of(engine) == []


@pytest.mark.parametrize(
    ("text", "who"), [(TABLE, "Nobody"), ("", "Marta"), ("minutes\n30\n", "Marta"), ('a"b\n"', "Marta")]
)
def test_what_is_no_table_or_nobodys_is_refused(engine: Engine, text: str, who: str) -> None:
    status, _, err = played(engine, text, who=who, write=True)
    assert status == 2
    assert err.startswith("nudgebot: ")


@settings(max_examples=60)
@given(st.text(max_size=200))
def test_any_text_is_rows_or_faults(text: str) -> None:
    for rows in (read_table(text, TODAY), read_table(f"date,minutes\n{text}", TODAY)):
        assert len({type(row) for row in rows}) <= 1
        assert all(isinstance(row, PastRun | RowFault) for row in rows)
