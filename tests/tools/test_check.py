"""`nudgebot check` names each fault of a host's set-up with its cure, and changes nothing."""

from __future__ import annotations

import io
import zoneinfo
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from nudgebot.app import health
from nudgebot.channels.telegram.updates import VOICE
from nudgebot.domain.model.speech import Say
from nudgebot.storage import book_repository, inbox, outbox, owners
from nudgebot.storage.database import opened
from nudgebot.storage.holding import hold
from nudgebot.tools import check
from tests import postgres
from tests.servers.fake_telegram import TOKEN, FakeTelegram

NOW = datetime(2027, 3, 10, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def server() -> Iterator[FakeTelegram]:
    with FakeTelegram() as server:
        yield server


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A database that somebody hosts."""
    path = tmp_path / "n.db"
    with opened(f"sqlite:///{path}") as engine, engine.begin() as conn:
        runner = book_repository.create(conn, VOICE, "7", "Ana", NOW).runner
        owners.claim(conn, VOICE, runner.id, NOW)
    return path


def checked(path: Path, *, now: datetime = NOW, running: bool = False, **more: str) -> tuple[int, list[str]]:
    """Status and lines of a check that asks the platform nothing."""
    environ = {"NUDGEBOT_TOKEN": TOKEN, "NUDGEBOT_DATABASE": f"sqlite:///{path}", **more}
    out = io.StringIO()
    status = check.run(environ, "linux", now, out, running=running, offline="NUDGEBOT_API_BASE" not in more)
    assert TOKEN not in out.getvalue()
    return status, out.getvalue().splitlines()


def faults(lines: list[str]) -> list[str]:
    return [line for line in lines if line.startswith("fault")]


def test_a_set_up_without_a_fault_ends_with_0(path: Path) -> None:
    status, lines = checked(path)
    assert (status, faults(lines)) == (0, [])
    assert any("is of this version" in line for line in lines)
    assert any(line.startswith("ok    owner") for line in lines)


def test_wrong_settings_are_all_named_with_status_2(path: Path) -> None:
    status, lines = checked(path, NUDGEBOT_TICK_SECONDS="0", NUDGEBOT_WEBHOOK_URL="http://plain.example.org")
    assert status == 2
    assert [line.split()[1] for line in faults(lines)] == [
        "NUDGEBOT_TICK_SECONDS:",
        "NUDGEBOT_WEBHOOK_URL:",
        "NUDGEBOT_LISTEN:",
        "NUDGEBOT_WEBHOOK_SECRET:",
    ]


def test_before_the_first_start_there_is_no_database_and_none_is_made(tmp_path: Path) -> None:
    status, lines = checked(tmp_path / "new" / "n.db")
    assert status == 0
    assert any("serve makes it as it starts" in line for line in lines)
    assert list(tmp_path.iterdir()) == []
    assert checked(tmp_path / "n.db", running=True)[0] == 1


@pytest.mark.parametrize("left", [False, True], ids=["none left", "an empty file left"])
def test_a_database_that_was_in_use_and_is_gone_is_a_fault_with_its_cure(left: bool, path: Path) -> None:
    with hold(f"sqlite:///{path}", alone=True) as held:
        held.remember()
    path.unlink()
    if left:
        path.touch(0o600)
    status, lines = checked(path)
    assert status == 1
    assert not path.exists() or path.stat().st_size == 0  # a start is refused as long as it is empty
    assert "was in use and is gone" in faults(lines)[0]
    assert any("nudgebot restore" in line for line in lines)


@pytest.mark.parametrize("running", [False, True])
def test_a_server_whose_database_is_empty_is_told_like_a_file_that_is_not_there(running: bool) -> None:
    with postgres.database() as url:
        status, lines = checked(Path(), running=running, NUDGEBOT_DATABASE=url)
        assert (status, len(faults(lines))) == ((1, 1) if running else (0, 0))
        assert [line for line in lines if "there is none at postgresql" in line]
        assert checked(Path(), running=running, NUDGEBOT_DATABASE=url) == (status, lines)  # none was made


def test_a_file_that_others_can_read_and_a_newer_one_are_faults(path: Path) -> None:
    path.chmod(0o644)
    status, lines = checked(path)
    assert status == 1
    assert "can be read by others" in faults(lines)[0]
    path.chmod(0o600)
    with opened(f"sqlite:///{path}") as engine, engine.begin() as conn:
        conn.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    status, lines = checked(path)
    assert status == 1
    assert "newer nudgebot" in faults(lines)[0]


def test_what_was_put_aside_is_listed_without_its_words(path: Path) -> None:
    with opened(f"sqlite:///{path}") as engine, engine.begin() as conn:
        inbox.receive(conn, [inbox.Update("tg:1:5#ab", VOICE, "7", "7", "a secret line")], NOW)
        inbox.dead(conn, "tg:1:5#ab", "ValueError at reply.py:7", NOW)
    status, lines = checked(path)
    assert status == 0
    assert any("tg:1:5#ab" in line and "ValueError at reply.py:7" in line for line in lines)
    assert any("its words are kept for 8 days" in line for line in lines)
    assert not any("secret" in line for line in lines)


def test_nobody_who_hosts_is_a_note_with_its_cure(path: Path) -> None:
    with opened(f"sqlite:///{path}") as engine, engine.begin() as conn:
        conn.exec_driver_sql("DELETE FROM hosting")
    status, lines = checked(path)
    assert status == 0
    assert any(line.startswith("note  owner") for line in lines)
    assert not any(line.startswith("note  owner") for line in checked(path, NUDGEBOT_OWNER="77")[1])


class TestRunning:
    """`--running`: without the web listener, the same as it tells."""

    def test_nobody_on_the_file_is_a_fault(self, path: Path) -> None:
        assert "does not run on this database" in faults(checked(path, running=True)[1])[0]

    def test_a_bot_that_makes_its_rounds_keeps_up(self, path: Path) -> None:
        with hold(f"sqlite:///{path}", alone=True) as held, opened(f"sqlite:///{path}") as engine:
            held.remember()
            assert "the last round was never made" in faults(checked(path, running=True)[1])[0]
            with engine.begin() as conn:
                health.round_made(conn, VOICE, NOW)
            assert checked(path, running=True)[0] == 0
            late = faults(checked(path, running=True, now=NOW + timedelta(minutes=4))[1])
            assert late == ["fault serve: the last round was 240 s ago"]

    def test_lines_and_letters_that_wait_too_long_are_faults(self, path: Path) -> None:
        with hold(f"sqlite:///{path}", alone=True) as held, opened(f"sqlite:///{path}") as engine:
            held.remember()
            later = NOW + timedelta(minutes=16)
            with engine.begin() as conn:
                health.round_made(conn, VOICE, later)
                inbox.receive(conn, [inbox.Update("k", VOICE, "7", "7", "{}")], NOW)
                runner = book_repository.load(conn, 1).runner
                outbox.put(conn, runner, Say("…"), key="k", now=NOW)
            assert [line.split(": ")[1] for line in faults(checked(path, running=True, now=later)[1])] == [
                "a line has waited for 960 s",
                "a letter should have left 960 s ago",
            ]

    def test_a_file_that_is_no_longer_the_one_in_use_is_a_fault(self, path: Path) -> None:
        with hold(f"sqlite:///{path}", alone=True) as held:
            held.remember()
            path.rename(path.with_name("old.db"))
            with opened(f"sqlite:///{path}"):
                pass
            assert any("uses a file that is no longer at" in line for line in faults(checked(path)[1]))


class TestPlatform:
    def test_a_token_that_is_taken_and_a_clock_that_agrees(self, server: FakeTelegram, path: Path) -> None:
        now = datetime.now(UTC)  # noqa: TID251 - the server says the host's time
        status, lines = checked(path, now=now, NUDGEBOT_API_BASE=server.url)
        assert status == 0, lines
        assert any(line.startswith("ok    token: the bot is @") for line in lines)
        assert any(line.startswith("ok    clock") for line in lines)

    def test_a_clock_that_is_wrong_by_minutes_is_a_fault(self, server: FakeTelegram, path: Path) -> None:
        status, lines = checked(path, now=NOW - timedelta(days=3000), NUDGEBOT_API_BASE=server.url)
        assert status == 1
        assert any(line.startswith("fault clock: -") for line in lines)

    def test_a_refused_token_and_a_server_that_is_away_are_faults(self, server: FakeTelegram, path: Path) -> None:
        server.fail("getMe", (401, {}))
        assert "the server refuses it" in faults(checked(path, NUDGEBOT_API_BASE=server.url)[1])[0]
        assert "was not reached" in faults(checked(path, NUDGEBOT_API_BASE="http://127.0.0.1:9")[1])[0]


@pytest.mark.parametrize(
    ("system", "year", "said"),
    [
        ("# version 2020a\n", 2027, "note  zones: rules of 2020a from the system"),
        ("# version 2099a\n", 2099, "ok    zones: rules of 2099a"),
        ("# version 2099a\n", 2102, "note  zones: rules of 2099a"),
        (None, 2027, "ok    zones: rules of 20"),
    ],
)
def test_zone_rules_are_those_that_python_finds_first(
    system: str | None, year: int, said: str, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if system is not None:
        (path.parent / "tzdata.zi").write_text(system)
    monkeypatch.setattr(zoneinfo, "TZPATH", (str(path.parent),))
    _, lines = checked(path, now=NOW.replace(year=year))
    assert any(line.startswith(said) for line in lines), lines


@pytest.mark.parametrize(
    ("info", "said"),
    [
        ({"url": "", "pending_update_count": 3}, "ok    webhook: none is set; 3 updates wait"),
        ({"url": "https://x", "pending_update_count": 0}, "ok    webhook: one is set"),
        ({"url": "https://x", "last_error_message": "Connection refused"}, "fault webhook: the server cannot deliver"),
    ],
)
def test_the_webhook_is_told_as_the_platform_sees_it(info: dict[str, object], said: str) -> None:
    from nudgebot.channels.telegram.bot_api import CallDone

    assert str(check._webhook(CallDone(info))).startswith(said)
