"""A bot moves to another database whole, or not at all."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, insert, select

from nudgebot.cli import main
from nudgebot.storage import book_repository, schema
from nudgebot.storage.crew import Crew
from nudgebot.storage.database import open_database, opened, reading
from nudgebot.storage.holding import hold
from nudgebot.storage.moving import copy_tables
from tests import postgres
from tests.company import world
from tests.storage.examples import NOW, full_book


@pytest.fixture
def server() -> Iterator[str]:
    with postgres.database() as url:
        yield url


@pytest.fixture
def file(tmp_path: Path) -> str:
    """A SQLite bot with two groups, and a runner with something in every field."""
    url = f"sqlite:///{tmp_path / 'n.db'}"
    with opened(url) as engine:
        with reading(world().engine) as rows, engine.begin() as conn:
            copy_tables(rows, conn)
        with engine.begin() as conn:
            blank = book_repository.create(conn, "telegram", "77", "Ana", NOW)
            book_repository.save(conn, blank, full_book(blank.runner))
    return url


def everything(url: str) -> dict[str, list[tuple[object, ...]]]:
    with opened(url, create=False) as engine, reading(engine) as conn:
        return {
            table.name: [tuple(row) for row in conn.execute(select(table).order_by(*table.primary_key.columns))]
            for table in schema.metadata.sorted_tables
        }


def next_number(engine: Engine) -> int:
    with engine.begin() as conn:
        return book_repository.create(conn, "telegram", "new", "New", NOW).runner.id


def test_there_and_back_every_row_is_what_it_was(
    file: str, server: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = everything(file)
    assert main(["move", file, server]) == 0
    assert everything(server) == before
    assert main(["move", server, f"sqlite:///{tmp_path / 'back.db'}"]) == 0
    assert everything(f"sqlite:///{tmp_path / 'back.db'}") == before == everything(file)
    rows = sum(map(len, before.values()))
    assert capsys.readouterr().out.count(f"{rows} rows are in ") == 2


def test_a_number_that_was_given_once_is_given_to_nobody_else(file: str, server: str, tmp_path: Path) -> None:
    with opened(file) as engine:
        gone = next_number(engine)
        with engine.begin() as conn:
            book_repository.erase(conn, gone)
    back = f"sqlite:///{tmp_path / 'back.db'}"
    assert main(["move", file, server]) == main(["move", server, back]) == 0
    for url in (server, back):
        with opened(url) as engine:
            assert next_number(engine) == gone + 1


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["move", *arguments]) in {1, 2}
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    return err


def test_a_target_in_which_somebody_is_stays_as_it_is(
    file: str, server: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with opened(server) as engine:
        next_number(engine)
    before = everything(server)
    assert "is not empty" in said(capsys, file, server)
    assert everything(server) == before


def test_a_bot_that_runs_is_not_moved_whichever_end_it_is_on(
    file: str, server: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with hold(file, alone=True):
        assert "in use by another nudgebot" in said(capsys, file, server)
    engine = open_database(server)
    with Crew(engine, lambda now: now, lambda: 0.0):
        assert "in use by a nudgebot" in said(capsys, file, server)
        assert "in use by a nudgebot" in said(capsys, server, file)
    engine.dispose()


def test_nothing_is_moved_onto_itself_or_from_nowhere(
    file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "same database" in said(capsys, file, file)
    assert "there is no database" in said(capsys, f"sqlite:///{tmp_path / 'none.db'}", file)


def test_a_row_that_the_other_engine_cannot_hold_is_named_and_nothing_is_moved(
    file: str, server: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with opened(file) as engine, engine.begin() as conn:
        conn.execute(insert(schema.notes).values(runner_id=1, author_id=2, at=NOW, text="a\x00b"))
    assert "a row of notes" in said(capsys, file, server)
    assert not any(everything(server).values())


def test_a_dump_of_the_server_put_back_into_an_empty_database_is_the_whole_bot(
    file: str, server: str, tmp_path: Path
) -> None:
    dump, put_back = postgres.client("pg_dump"), postgres.client("pg_restore")
    assert main(["move", file, server]) == 0
    copy = tmp_path / "nudgebot.dump"
    plain = server.replace("+psycopg", "")
    subprocess.run([dump, "--format=custom", f"--file={copy}", plain], check=True)
    with postgres.database() as other:
        plain = other.replace("+psycopg", "")
        subprocess.run([put_back, "--exit-on-error", "--no-owner", f"--dbname={plain}", copy], check=True)
        assert everything(other) == everything(file)
        with opened(other) as engine:
            assert next_number(engine) > max(int(str(row[0])) for row in everything(file)["runners"])


@pytest.mark.parametrize(
    ("arguments", "tool"), [(("backup", "copies"), "pg_dump"), (("restore", "copy"), "pg_restore")]
)
def test_copies_of_a_server_are_its_own_affair_and_the_line_names_its_tool(
    arguments: tuple[str, ...], tool: str, server: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*arguments, "--db", server]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert tool in err
