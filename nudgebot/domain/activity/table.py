"""Past runs in a table (CSV): each row a run, or every fault of it at once."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, TypeVar

from nudgebot.domain.activity.gpx import PULSE
from nudgebot.domain.activity.track import LONGEST, activity_called
from nudgebot.domain.model.logbook import Activity

MOST_ROWS: Final = 10_000
LARGEST: Final = 2_000_000  # signs
COLUMNS: Final[Mapping[str, tuple[str, ...]]] = {  # what a heading may say, the first as docs/files.md has it
    "date": ("date", "day"),
    "minutes": ("minutes", "min", "duration"),
    "kind": ("kind", "activity", "type"),
    "heart_rate": ("heart_rate", "heart rate", "hr", "pulse"),
    "effort": ("effort",),
}
_DOTTED: Final = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class PastRun:
    """One row: the date, whole minutes, what it was, average heart rate (beats a minute), effort 0-10."""

    day: date
    minutes: int
    activity: Activity = Activity.RUN
    heart_rate: int | None = None
    effort: int | None = None


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong in a line of the file (from 1), or in the whole of it (0): which column, and what was wanted."""

    line: int
    wanted: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.wanted}" if self.line else self.wanted


def read_table(text: str, today: date) -> tuple[PastRun, ...] | tuple[RowFault, ...]:
    """The runs of a table with a heading, oldest first; or all its faults, and then none of the runs."""
    if len(text) > LARGEST:
        return (RowFault(0, f"the file is longer than {LARGEST} signs"),)
    first, _, _ = text.partition("\n")
    separator = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(text.splitlines(), delimiter=separator, strict=True))
    except csv.Error as error:
        return (RowFault(0, f"this is no CSV: {error}"),)
    if len(rows) > MOST_ROWS + 1:
        return (RowFault(0, f"more than {MOST_ROWS} rows"),)
    places = _places(rows[0] if rows else [])
    if "date" not in places or "minutes" not in places:
        return (RowFault(1, "a heading with the columns date and minutes (and kind, heart_rate, effort) is wanted"),)
    runs: list[PastRun] = []
    faults: list[RowFault] = []
    for line, row in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in row):
            cells = {name: row[place].strip() if place < len(row) else "" for name, place in places.items()}
            run, wrong = _run(cells, today)
            runs += [run] if run is not None else []
            faults += [RowFault(line, each) for each in wrong]
    return tuple(faults) or tuple(sorted(runs, key=lambda run: run.day))


def _places(heading: Iterable[str]) -> dict[str, int]:
    said = [cell.strip().lstrip("\ufeff").casefold() for cell in heading]
    found = ((name, [n for n, cell in enumerate(said) if cell in words]) for name, words in COLUMNS.items())
    return {name: places[0] for name, places in found if places}


def _run(cells: Mapping[str, str], today: date) -> tuple[PastRun | None, list[str]]:
    """The run of a row, or what is wrong with it."""
    day, minutes = _date(cells["date"]), _whole(cells["minutes"], range(1, LONGEST.value + 1))
    word, pulse, felt = cells.get("kind", ""), cells.get("heart_rate", ""), cells.get("effort", "")
    kind = _kind(word) if word else Activity.RUN
    heart, effort = _whole(pulse, PULSE), _whole(felt, range(11))
    wrong = [
        f"{name}: {said!r} is {wanted}"
        for name, said, wanted, right in (
            ("date", cells["date"], "no date like 2027-01-31, up to today", day is not None and day <= today),
            ("minutes", cells["minutes"], f"no whole number from 1 to {LONGEST.value}", minutes is not None),
            ("kind", word, f"none of {', '.join(Activity)}", kind is not None),
            ("heart_rate", pulse, f"no whole number from {PULSE[0]} to {PULSE[-1]}", not pulse or heart is not None),
            ("effort", felt, "no whole number from 0 to 10", not felt or effort is not None),
        )
        if not right
    ]
    if wrong or day is None or minutes is None or kind is None:
        return None, wrong
    return PastRun(day, minutes, kind, heart, effort), []


def _kind(word: str) -> Activity | None:
    return Activity(word.casefold()) if word.casefold() in set(Activity) else activity_called(word)


def _date(text: str) -> date | None:
    dotted = _DOTTED.fullmatch(text)
    try:
        if dotted is not None:
            return date(int(dotted[3]), int(dotted[2]), int(dotted[1]))
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


def _whole(text: str, allowed: range) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 6 and int(text) in allowed else None
