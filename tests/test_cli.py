"""The door: help, exit statuses, one line for a fault."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from nudgebot import __version__
from nudgebot.cli import main
from nudgebot.storage.database import open_database
from tests.at_the_shell import nudgebot
from tests.servers.fake_telegram import PATIENCE
from tests.talking import MARTA

COMMANDS = (
    *("demo", "talk", "serve", "replan", "understand", "signs", "why-nudge", "simulate"),
    *("owner", "check", "backup", "restore", "read", "import"),
)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_says_what_it_does_with_an_example(command: str) -> None:
    done = nudgebot(command, "--help")
    assert done.returncode == 0
    assert "example:" in done.stdout
    assert f"nudgebot {command}" in done.stdout


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("dance",),
        ("talk", "--at", "teatime"),
        ("talk", "--zone", "Europe/Narnia"),
        ("understand", "--today", "friday"),
        ("understand", "no such file"),
        ("replan", "no such file"),
        ("replan",),
        ("talk", "--db", "mysql://nowhere/x"),
        ("simulate", "--runners", "0"),
        ("simulate", "--runners", "1_000"),
        ("simulate", "--weeks", "many"),
        ("simulate", "--seed", "1.5"),
        ("simulate", "--picture", "season.txt"),
        ("simulate", "--picture", "no such folder/season.svg"),
        ("talk", "--db", "sqlite:///no such folder/talk.db"),
        ("backup", "copies", "--keep", "0"),
        ("restore",),
    ],
)
def test_bad_usage_is_one_line_and_status_two_or_one(arguments: tuple[str, ...]) -> None:
    done = nudgebot(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [("owner",), ("why-nudge", "Ana", "2027-01-04"), ("backup", "copies"), ("restore", "copies/none.db"), ("lines",)],
    ids=lambda arguments: arguments[0],
)
def test_a_command_that_finds_no_database_names_where_it_looked_and_makes_nothing(
    arguments: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main([*arguments, "--db", f"sqlite:///{tmp_path / 'n.db'}"]) == 1
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert re.search(r"there is no (database .*n\.db|copy copies/none\.db)", err)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", [("owner",), ("why-nudge", "Ana", "2027-01-04"), ("lines",)])
def test_an_empty_file_is_no_database_and_stays_empty(
    command: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "n.db").touch()
    assert main([*command, "--db", f"sqlite:///{tmp_path / 'n.db'}"]) == 1
    assert "there is no database" in capsys.readouterr().err
    assert [(each.name, each.stat().st_size) for each in tmp_path.iterdir()] == [("n.db", 0)]


def test_the_version_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(["--version"])
    assert end.value.code == 0
    assert capsys.readouterr().out == f"nudgebot {__version__}\n"


# A shell's background jobs, and their children, ignore Ctrl-C; the process under test must not.
LISTENING = (
    "import runpy, signal, sys\n"
    "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
    "sys.argv = ['nudgebot', 'talk']\n"
    "runpy.run_module('nudgebot', run_name='__main__')\n"
)


def test_ctrl_c_ends_with_130_and_no_traceback(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", LISTENING],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as talk:
        assert talk.stdin is not None
        assert talk.stdout is not None
        talk.stdin.write("/help\n")
        talk.stdin.flush()
        talk.stdout.readline()
        talk.send_signal(signal.SIGINT)
        _, err = talk.communicate(timeout=PATIENCE)
    assert (talk.returncode, err) == (130, "")


def test_a_copy_is_made_and_put_back_by_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("NUDGEBOT_DATABASE", f"sqlite:///{tmp_path / 'n.db'}")
    open_database(f"sqlite:///{tmp_path / 'n.db'}").dispose()
    monkeypatch.chdir(tmp_path)
    assert main(["backup", "copies"]) == 0  # beside where one stands, as people type it
    (copy,) = Path("copies").iterdir()
    assert capsys.readouterr().out == f"{copy}\n"
    assert main(["restore", str(copy)]) == 0
    said = capsys.readouterr().out
    assert str(copy) in said
    (kept,) = tmp_path.glob("n.db.replaced-*Z")
    assert f"delete {kept.name}*" in said  # what SQLite keeps beside it holds the newest rows


def test_the_code_for_the_host_is_printed_and_opens_once(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'n.db'}"
    open_database(url).dispose()
    first, second = (nudgebot("owner", "--db", url) for _ in range(2))
    assert (first.returncode, first.stderr) == (0, "")
    codes = [re.findall(r"^/claim ([A-Za-z0-9_-]{22})$", done.stdout, re.MULTILINE) for done in (first, second)]
    assert [len(found) for found in codes] == [1, 1]
    assert codes[0] != codes[1]
    assert "within one hour" in first.stdout
    assert url in first.stdout


def test_no_code_is_made_where_the_settings_name_the_host(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NUDGEBOT_OWNER", "7")
    done = nudgebot("owner", "--db", f"sqlite:///{tmp_path / 'n.db'}")
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)


def test_talk_goes_on_where_it_ended_last(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'talk.sqlite'}"
    nudgebot("talk", "--db", url, "--at", "2027-01-04T06:30", typed="/start\n@ +3h\n")
    done = nudgebot("talk", "--db", url, "--json", typed="/help\n")
    assert json.loads(done.stdout.splitlines()[0])["at"] == "2027-01-04T09:30:00+00:00"
    back = nudgebot("talk", "--db", url, "--at", "2027-01-04T06:30", typed="/help\n")
    assert back.returncode == 2
    assert "forward" in back.stderr


def test_why_nudge_explains_what_was_sent_and_what_was_not(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'talk.sqlite'}"
    nudgebot("talk", "--db", url, "--as", "Marta", "--at", "2027-01-03T17:00", typed=f"{MARTA}\n@ 2027-01-04 22:00\n")
    done = nudgebot("why-nudge", "Marta", "2027-01-04", "--db", url)
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert [(each["kind"], each["outcome"]) for each in told] == [("morning", "sent"), ("check_in", "sent")]
    assert told[0]["due"] == "2027-01-04T06:45:00+00:00"
    assert all(each["reason"] for each in told)
    assert nudgebot("why-nudge", "Nobody", "2027-01-04", "--db", url).returncode == 2
    quiet = nudgebot("why-nudge", "mARTA", "2027-01-01", "--db", url)
    assert (quiet.returncode, quiet.stdout, quiet.stderr.count("\n")) == (0, "", 1)
    assert "no nudge fell due for 2027-01-01" in quiet.stderr


def test_talk_refuses_the_database_of_serve(tmp_path: Path) -> None:
    from nudgebot.storage.holding import hold

    url = f"sqlite:///{tmp_path / 'bot.sqlite'}"
    with hold(url, alone=True):
        done = nudgebot("talk", "--db", url, typed="/start\n")
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "in use" in done.stderr


def test_the_demo_plays_and_ends_well() -> None:
    done = nudgebot("demo")
    assert done.returncode == 0
    assert done.stderr == ""
    for words in ("first week", "Counted:", "rhythm", "moves from", "112", "nudgebot talk"):
        assert words in done.stdout


def test_a_line_with_broken_utf_8_is_answered_like_any_other() -> None:
    done = nudgebot("talk", "--json", typed=b"/start\n\xff\xfe\n")
    assert done.returncode == 0
    assert len(done.stdout.splitlines()) == 2


def test_as_a_process_it_ends_with_the_status_and_says_the_same() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "nudgebot", "understand", "no such file"], capture_output=True, timeout=PATIENCE
    )
    assert done.returncode == 2
    assert done.stderr.decode() == nudgebot("understand", "no such file").stderr
