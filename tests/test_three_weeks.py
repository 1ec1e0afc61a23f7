"""Three scripted weeks at the terminal, in a file, with restarts in the middle: nothing lost, nothing doubled."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.at_the_shell import nudgebot
from tests.talking import MARTA

# Each part is a sitting of its own, which begins with what the file holds.
SITTINGS = (
    f"{MARTA}\n@ dump\n@ 2027-01-04 19:00\n20 easy\n@ dump\n@ 2027-01-06 18:30",
    "kid sick, tomorrow?\n@ 2027-01-07 19:00\n22 min, hr 126\n@ dump\n@ 2027-01-08 12:00\nbusy tomorrow\n@ dump",
    "@ 2027-01-10 11:00\n35 min slow\n@ dump\n@ 2027-01-12 21:00\n@ dump\n20 on the treadmill\n@ dump",
    "@ 2027-01-14 20:30\n25\n@ dump\n@ 2027-01-16 10:00\nran 40 yesterday\n@ dump\n@ 2027-01-18 07:30\n@ dump",
    "away wed to fri\n@ dump\n@ 2027-01-19 19:00\n25 min\n@ dump\n@ 2027-01-23 11:00\n40 long\n@ dump\n@ +2d\n@ dump",
)
LOGGED = [
    ("2027-01-04", 20),
    ("2027-01-07", 22),
    ("2027-01-10", 35),
    ("2027-01-12", 20),
    ("2027-01-14", 25),
    ("2027-01-15", 40),
    ("2027-01-19", 25),
    ("2027-01-23", 40),
]
OPEN = {0: 45, 1: 45, 2: 45, 3: 45, 5: 90, 6: 90}  # Friday is closed
STATED_LONGEST = 35


def sitting(database: Path, lines: str, *more: str) -> list[dict[str, Any]]:
    done = nudgebot("talk", "--db", f"sqlite:///{database}", "--as", "Marta", "--json", *more, typed=lines)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """Everything that the sittings printed, in order."""
    database = tmp_path_factory.mktemp("weeks") / "talk.sqlite"
    out = sitting(database, SITTINGS[0], "--at", "2027-01-03T17:00")
    for lines in SITTINGS[1:]:
        out += sitting(database, lines)
    return out


@pytest.fixture(scope="module")
def dumps(printed: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The dumps, in order."""
    return [each for each in printed if "runner" in each]


def test_every_log_is_kept(dumps: list[dict[str, Any]]) -> None:
    assert [(entry["date"], entry["minutes"]) for entry in dumps[-1]["log"]] == LOGGED


def test_no_nudge_is_sent_twice(printed: list[dict[str, Any]]) -> None:
    nudges = [each for each in printed if str(each.get("kind", "")).startswith("nudge:")]
    assert len(nudges) > 5
    counted = Counter((each["kind"], each["at"][:10]) for each in nudges)
    # The gap warning has an evening and a morning of its own; nothing else comes twice on a date.
    assert [key for key, times in counted.items() if times > 1 and key[0] != "nudge:gap_warning"] == []
    assert max(counted.values()) <= 2


def test_no_more_than_two_nudges_a_day_and_none_in_quiet_hours(printed: list[dict[str, Any]]) -> None:
    nudges = [each for each in printed if str(each.get("kind", "")).startswith("nudge:")]
    assert max(Counter(each["at"][:10] for each in nudges).values()) <= 2
    for each in nudges:
        assert "06:30" <= each["at"][11:16] < "21:30", each


def test_no_plan_breaks_a_hard_limit(dumps: list[dict[str, Any]]) -> None:
    checked = 0
    for dump in dumps:
        today = date.fromisoformat(dump["today"])
        ran: Counter[date] = Counter()
        for entry in dump["log"]:
            ran[date.fromisoformat(entry["date"])] += entry["minutes"]
        planned = {date.fromisoformat(session["date"]): session["minutes"] for session in dump["plan"]}
        week = today - timedelta(days=today.weekday())
        for day, minutes in planned.items():
            checked += 1
            assert minutes % 5 == 0
            assert 20 <= minutes <= OPEN.get(day.weekday(), 0), (dump["today"], day)
            start = max(week, day - timedelta(days=day.weekday()))
            longest = max([ran[start - timedelta(days=n)] for n in range(1, 31)] + [STATED_LONGEST])
            assert minutes <= max(30, longest + 5, longest * 11 // 10 // 5 * 5), (dump["today"], day)
        days = sorted({*planned, *(day for day, minutes in ran.items() if minutes >= 10)})
        for first, third in zip(days, days[2:], strict=False):
            assert third - first > timedelta(days=2) or third not in planned, (dump["today"], first, third)
    assert checked > 20


def test_done_and_planned_stay_within_the_week_target(dumps: list[dict[str, Any]]) -> None:
    # But for the long run: extra easy minutes before it take nothing from it.
    for dump in dumps:
        planned = sum(session["minutes"] for session in dump["plan"] if session["kind"] != "long")
        long_run = sum(session["minutes"] for session in dump["plan"] if session["kind"] == "long")
        assert planned + long_run + min(dump["done"], dump["target"]) <= dump["target"] or not planned


def test_days_away_are_free_of_runs_and_of_nudges(printed: list[dict[str, Any]], dumps: list[dict[str, Any]]) -> None:
    away = {"2027-01-20", "2027-01-21", "2027-01-22"}
    told = [dump for dump in dumps if "2027-01-18" <= dump["today"] <= "2027-01-22"][1:]
    assert told
    assert all(session["date"] not in away for dump in told for session in dump["plan"])
    assert [
        each for each in printed if str(each.get("kind", "")).startswith("nudge:") and each["at"][:10] in away
    ] == []
