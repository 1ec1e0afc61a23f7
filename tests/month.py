"""A month of a group of twelve with its coach: who they are, and the four weeks as scripts. (tests/dialogues/month)

The people are invented. Each has joined by Kim's invitation on the Sunday before; what they answered is below.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from tests.talking import Played, talk

COACH: Final = "Kim"
ZONE: Final = "Europe/Lisbon"
BEGIN: Final = datetime(2027, 2, 28, 16, 0, tzinfo=ZoneInfo(ZONE))
WEEKS: Final = sorted((Path(__file__).parent / "dialogues" / "month").glob("week_*.txt"))


def _answers(
    *,
    goal: str = "health",
    weekly: int = 60,
    longest: int = 30,
    days: str = "any 60",
    long_day: str = "sat",
    run_time: str = "18:00",
    remind_at: str = "07:00",
    quiet: str = "21:30-06:30",
    birth_year: int,
    pregnancy: str = "no",
    commute: str = "no",
) -> tuple[str, ...]:
    """What somebody answered, in the order of the questions."""
    return (
        *("yes", "yes", "no", "no", pregnancy, "no", goal, str(weekly), str(longest), commute),
        *(days, long_day, "Lisbon", run_time, remind_at, quiet, "Portugal", str(birth_year)),
    )


PEOPLE: Final[dict[str, tuple[str, ...]]] = {
    # A nurse on nights: sleeps until three in the afternoon.
    "Ana": _answers(
        birth_year=1982, days="mon 40, wed 40, fri 40, sat 60", run_time="17:00", remind_at="15:30", quiet="08:00-15:00"
    ),
    # Goes silent.
    "Ben": _answers(birth_year=1969, weekly=40, days="tue 45, thu 45, sun 60", long_day="sun"),
    # Has a child of four months; walks until a clinician has cleared running.
    "Clara": _answers(
        birth_year=1985, weekly=0, longest=0, days="any 30", long_day="sun", run_time="10:00", pregnancy="yes"
    ),
    # Would rather run every day.
    "Dieter": _answers(
        birth_year=1964, goal="endurance", weekly=150, longest=60, days="any 90", long_day="sun",
        run_time="06:30", remind_at="06:00", quiet="21:00-05:30",
    ),
    # Travels to New York for work.
    "Eva": _answers(
        birth_year=1978, weekly=90, longest=40, days="any 60", long_day="sun", run_time="07:00", remind_at="06:30"
    ),
    # A calf that speaks up.
    "Farid": _answers(birth_year=1974, weekly=75, longest=35, days="mon 45, wed 45, sat 60"),
    # Catches the fever that goes round.
    "Greta": _answers(birth_year=1980, days="tue 45, thu 45, sat 60", run_time="12:30"),
    # Comes to know a warning sign.
    "Hugo": _answers(
        birth_year=1966, goal="fat loss", weekly=100, longest=45, days="mon 60, wed 60, fri 60, sun 90", long_day="sun"
    ),
    # Would rather not be named.
    "Ines": _answers(birth_year=1971, weekly=70, days="tue 45, thu 45, sun 60", long_day="sun", commute="bike 100"),
    # Leaves in the second week.
    "Jonas": _answers(birth_year=1979, goal="endurance", weekly=120, longest=50, days="mon 60, wed 60, sat 90"),
    # Writes everything in the group.
    "Luis": _answers(birth_year=1970, weekly=80, longest=40, days="tue 45, thu 45, sat 60"),
    # An ordinary busy month.
    "Mara": _answers(birth_year=1976, weekly=75, longest=35, days="mon 45, tue 45, wed 45, thu 45, sat 90, sun 90"),
}  # fmt: skip


def gathered(engine: Engine) -> None:
    """Kim coaches, and the twelve have joined and answered the questions, each at a time of their own."""
    invited = talk(
        f"/coach\n/zone {ZONE.rpartition('/')[2]}\n/invite", at=BEGIN, engine=engine, speaker=COACH, owner=COACH
    )
    code = invited.texts[-1].partition("/start ")[2].split()[0]
    for name, answers in PEOPLE.items():
        talk([f"/start {code}", *answers], at=BEGIN, engine=engine, speaker=name)


def played(engine: Engine, week: str) -> Played:
    """One week's script: its first line says from when on; the lines that begin with "> " are typed."""
    first, *rest = week.splitlines()
    at = datetime.fromisoformat(first.split()[2]).replace(tzinfo=ZoneInfo(ZONE))
    typed = [line[2:] for line in rest if line.startswith("> ")]
    return talk(typed, at=at, engine=engine, speaker=COACH, zone=ZONE, as_json=False, owner=COACH)
