"""The door: help, exit statuses, one line for a fault."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.servers.fake_telegram import PATIENCE
from tests.talking import MARTA

COMMANDS = ("demo", "talk", "serve", "owner", "replan", "understand", "why-nudge", "simulate", "read", "import")


def nudgebot(*arguments: str, typed: str = "", env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "nudgebot", *arguments],
        input=typed,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=PATIENCE,
        env=env,
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
        ("talk", "--db", "postgresql://nowhere/x"),
        ("simulate", "--runners", "0"),
        ("simulate", "--runners", "1_000"),
        ("simulate", "--weeks", "many"),
        ("simulate", "--seed", "1.5"),
        ("simulate", "--picture", "season.txt"),
        ("simulate", "--picture", "no such folder/season.svg"),
    ],
)
def test_bad_usage_is_one_line_and_status_two_or_one(arguments: tuple[str, ...]) -> None:
    done = nudgebot(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr


def test_the_code_for_the_host_is_printed_and_opens_once(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'n.db'}"
    first, second = (nudgebot("owner", "--db", url) for _ in range(2))
    assert (first.returncode, first.stderr) == (0, "")
    codes = [re.findall(r"^/claim ([A-Za-z0-9_-]{22})$", done.stdout, re.MULTILINE) for done in (first, second)]
    assert [len(found) for found in codes] == [1, 1]
    assert codes[0] != codes[1]
    assert "within one hour" in first.stdout


def test_no_code_is_made_where_the_settings_name_the_host(tmp_path: Path) -> None:
    done = nudgebot("owner", "--db", f"sqlite:///{tmp_path / 'n.db'}", env={**os.environ, "NUDGEBOT_OWNER": "7"})
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


def test_talk_refuses_the_database_of_serve(tmp_path: Path) -> None:
    from nudgebot.storage.database import hold

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
    done = subprocess.run(
        [sys.executable, "-m", "nudgebot", "talk", "--json"],
        input=b"/start\n\xff\xfe\n",
        capture_output=True,
        timeout=PATIENCE,
    )
    assert done.returncode == 0
    assert len(done.stdout.splitlines()) == 2
