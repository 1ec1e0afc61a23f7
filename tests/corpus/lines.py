"""Lines by invented people with their labels; what they are stands in `lines/README.md`."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from nudgebot.domain.text.reply import Intent

TODAY = date(2027, 3, 10)  # a Wednesday: the day every line was written on
HOME = Path(__file__).parent / "lines"
ORDINARY, TEMPTING, COMPLAINT = "o", "t", "s"  # kinds of traffic


@dataclass(frozen=True, slots=True)
class Labelled:
    """One line with its label.

    `author` wrote the lines of several invented people; `person` is one of them. `intents` are all that are right, the
    first the likeliest; `minutes_ok` are others (None: none) right beside `minutes`. `logs`: the day (None: untold)
    and the minutes of each of several runs. `triage` and `triage_ok` are levels by name. `traffic` is one letter, ""
    where nobody sorted the line.
    """

    text: str
    language: str
    author: str
    person: str
    intents: tuple[Intent, ...]
    minutes: int | None = None
    minutes_ok: tuple[int | None, ...] = ()
    day: date | None = None
    days: tuple[date, ...] = ()
    heart_rate: int | None = None
    distance_km: float | None = None
    effort: float | None = None
    logs: tuple[tuple[date | None, int], ...] = ()
    triage: str = "none"
    triage_ok: tuple[str, ...] = ()
    fever: bool = False
    ask_back: bool = False
    kind: str = ""
    traffic: str = ""

    @property
    def intent(self) -> Intent:
        """The likeliest right intent."""
        return self.intents[0]

    @property
    def is_trap(self) -> bool:
        """Whether the line is harmless and tempts a reader of signs."""
        return self.traffic == TEMPTING or self.kind.startswith("trap") or "-trap" in self.person


def labelled(written: str) -> Labelled:
    """The line of one JSON object; a badly written one is a ValueError or a KeyError."""
    row = json.loads(written)
    person = row["person"]
    return Labelled(
        text=row["text"],
        language=row["lang"],
        author=row.get("lot") or person.split("-")[0],
        person=person,
        intents=tuple(Intent(name) for name in (row["intent"], *(row.get("intent_ok") or ()))),
        minutes=row.get("minutes"),
        minutes_ok=tuple(row.get("minutes_ok") or ()),
        day=_date(row.get("day")),
        days=tuple(date.fromisoformat(day) for day in row.get("days") or ()),
        heart_rate=row.get("heart_rate"),
        distance_km=row.get("distance_km"),
        effort=row.get("effort"),
        logs=tuple((_date(run.get("day")), run["minutes"]) for run in row.get("logs") or ()),
        triage=row.get("triage") or "none",
        triage_ok=tuple(row.get("triage_ok") or ()),
        fever=bool(row.get("fever")),
        ask_back=bool(row.get("ask_back")),
        kind=row.get("kind") or "",
        traffic=row.get("cat") or (TEMPTING if row.get("trap") else ""),
    )


def _date(written: str | None) -> date | None:
    return date.fromisoformat(written) if written else None


def read_file(path: Path) -> list[Labelled]:
    """The lines of one file, in order."""
    return [labelled(line) for line in path.read_text(encoding="utf-8").split("\n") if line]


def read_files(paths: Iterable[Path]) -> list[Labelled]:
    """The lines of several files, file after file."""
    return [line for path in paths for line in read_file(path)]


def all_lines() -> list[Labelled]:
    """Every line there is to train on, file after file in the order of their names."""
    return read_files(sorted(HOME.glob("*.jsonl")))
