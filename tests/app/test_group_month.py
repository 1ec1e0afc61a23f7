"""A month of a group of twelve with its coach, played again to the letter, and read for what must hold in all of it.

`python -m tests.app.test_group_month` writes the answers anew, to be read before they are committed.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.app.test_group_privacy import OF_HEALTH
from tests.memory import in_memory
from tests.month import COACH, PEOPLE, WEEKS, gathered, played

SAID = re.compile(r"< \[(?P<at>\S+ \S+)\] (?P<to>[\w ]+?)(?P<group> \(group\))?: (?P<text>.*)")
HARD = re.compile(r"\b(?:missed|failed|breach|only|streak)\b", re.IGNORECASE)


def again() -> Iterator[tuple[Path, str]]:
    """Each week's file, and how it comes out now; the weeks follow one another in one store."""
    engine = in_memory()
    gathered(engine)
    for path in WEEKS:
        text = path.read_text(encoding="utf-8")
        came = played(engine, text)
        assert not came.err, path.name
        yield path, f"{text.splitlines()[0]}\n{came.out}"
    engine.dispose()


def said(text: str) -> list[re.Match[str]]:
    """Every message of a week, with its further lines."""
    joined = re.sub(r"\n  ", " ", text)
    return [found for line in joined.splitlines() if (found := SAID.fullmatch(line))]


@pytest.fixture(scope="module")
def month() -> list[re.Match[str]]:
    return [each for path in WEEKS for each in said(path.read_text(encoding="utf-8"))]


def test_the_month_goes_as_it_is_written_down() -> None:
    weeks = list(again())
    assert len(weeks) == 4
    for path, text in weeks:
        assert text == path.read_text(encoding="utf-8"), path.name


def test_everybody_is_written_to_and_nobody_too_often(month: list[re.Match[str]]) -> None:
    # At most 2 nudges a day; answers and a coach's words come on top, as often as somebody writes.
    for name in (*PEOPLE, "Karin"):
        days = [each["at"].split()[0] for each in month if each["to"] == name]
        assert len(set(days)) >= 10, name
        assert max(days.count(day) for day in days) <= 21, name  # the day of the questions


def test_no_message_of_the_month_holds_a_hard_word(month: list[re.Match[str]]) -> None:
    for each in month:
        assert not HARD.search(each["text"]), each[0]


def test_the_group_hears_a_line_on_monday_and_a_welcome_and_nothing_of_health(month: list[re.Match[str]]) -> None:
    in_group = [each["text"] for each in month if each["group"]]
    assert 8 <= len(in_group) <= 12  # in four weeks
    assert sum(text.startswith("A new week for") for text in in_group) == 6
    assert [text for text in in_group if text.startswith("Good to have")]
    assert not [text for text in in_group if OF_HEALTH.search(text)]
    # Ines took her name back in the second week; Hugo and Clara never gave theirs.
    assert "Ines" in in_group[1]
    assert not any("Ines" in text for text in in_group[3:])
    assert not any(name in text for text in in_group for name in ("Hugo", "Clara", "Jonas", "Karin"))


def test_the_coach_reads_pausing_and_nothing_else_of_health(month: list[re.Match[str]]) -> None:
    to_coach = [each["text"] for each in month if each["to"] == COACH]
    assert any("Pausing: Hugo 2 d, Greta 1 d" in text for text in to_coach)
    harmless = re.compile(r"pausing|silent|gap open(s tonight)?|the usual value applies again", re.IGNORECASE)
    for text in to_coach:
        assert not OF_HEALTH.search(harmless.sub("", text)), text


def write() -> None:
    """Writes the answers anew."""
    for path, text in list(again()):
        path.write_text(text, encoding="utf-8")
        sys.stdout.write(f"{path.parent.name}/{path.stem}\n")


if __name__ == "__main__":
    write()
