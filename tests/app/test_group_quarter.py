"""A quarter of the group, read by its two coaches and the stand-in: each reads their own, and nothing of health.

The first week is played again here, all of it by hand: `python -m tests.quarter`.
"""

from __future__ import annotations

import re

import pytest

from nudgebot.domain.messages.group.group import COACHES_ONLY
from nudgebot.domain.messages.group.roster import HEADINGS
from tests.app.test_group_month import HARD
from tests.app.test_group_privacy import OF_HEALTH
from tests.month import PEOPLE
from tests.quarter import FOLDER, READERS, SCRIPT, played, read_by, typed

MESSAGE = re.compile(r"^< \[(?P<day>\S+) \S+\] \w+: (?P<text>.*(?:\n  .*)*)", re.MULTILINE)
HARMLESS = re.compile(
    r"pausing|silent|\bgap\b(?: opens tonight)?|the usual value applies again|stop|get well|takes it away",
    re.IGNORECASE,
)


def read(name: str) -> list[tuple[str, str]]:
    """Day and text of each message that somebody read."""
    text = (FOLDER / f"{name.lower()}.txt").read_text(encoding="utf-8")
    return [(found["day"], found["text"]) for found in MESSAGE.finditer(text)]


def test_the_first_week_reads_as_it_is_written_down() -> None:
    first, again, _ = SCRIPT.read_text(encoding="utf-8").partition("@ 2027-03-08 08:00")
    assert again
    out = played(first)
    for name in READERS:
        said = read_by(name, out).rstrip("\n")
        assert (FOLDER / f"{name.lower()}.txt").read_text(encoding="utf-8").startswith(said)
    assert read_by(READERS[0], out).count("\n< [") > 3


@pytest.mark.parametrize("name", READERS)
def test_no_coach_reads_a_word_of_health_but_pausing_or_a_hard_one(name: str) -> None:
    said = read(name)
    assert len(said) >= 10
    for _, text in said:
        shared = re.sub(r"Effort: .*|\((?:ill|on hold|away)\)|one word for illness, holds and\s+days away", "", text)
        asked = re.sub(r"asked me for silence|Of health you see.*", "", shared)
        assert not OF_HEALTH.search(HARMLESS.sub("", asked)), text
        assert not HARD.search(text), text


def test_the_stand_in_reads_rosters_on_their_days_alone() -> None:
    rosters = [day for day, text in read("Rui") if re.match(r"\w{3} \d+ \w{3}, \d+ runners", text)]
    assert rosters
    assert all("2027-04-10" <= day <= "2027-04-24" for day in rosters)
    assert any(text.startswith(COACHES_ONLY[:22]) for day, text in read("Rui") if day > "2027-04-24")


def test_who_has_handed_the_group_over_reads_no_roster_any_more() -> None:
    after = [text for day, text in read("Kim") if day > "2027-05-03"]
    assert not any(heading in text for text in after for heading in HEADINGS.values())
    assert any("listens by now" in text for day, text in read("Lou") if day == "2027-05-03")


def test_each_coach_has_a_digest_of_their_own_hour() -> None:
    weekdays = {
        name: [text[:3] for _, text in read(name) if re.match(r"\w{3} \d+ \w{3}, \d+ r", text)] for name in READERS
    }
    assert weekdays["Lou"].count("Sun") >= 8
    assert weekdays["Kim"].count("Mon") >= 8
    assert "Sat" in weekdays["Rui"]


def test_who_was_erased_is_read_of_no_more() -> None:
    later = [text for name in READERS for day, text in read(name) if day > "2027-04-20"]
    assert later
    assert not any("Jonas" in text for text in later)


def test_the_script_holds_twelve_runners_and_reads_as_lines() -> None:
    lines = typed(SCRIPT.read_text(encoding="utf-8"))
    assert {name for name in PEOPLE if f"@ as {name}" in lines} == set(PEOPLE)
    assert "@ 2027-03-01 20:00" in lines
