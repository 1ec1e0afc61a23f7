"""The corpus of replies, and the table of how well it is read: `python -m tests.corpus.replies [-v] [PART ...]`.

A row is: language, line, what it says, why or who. What it says is one intent (or several that are right
where people would differ, `skip,unknown`), then the minutes if there are any, then only what differs from
the ordinary: `day=-1` (days from today; a log and a skip are of today, others have none; `?` is not
checked), `days=1,2`, `hr=138`, `rpe=3`, `km=5`, `logs=-2:30,0:45`, `ask` (must ask back), `ask=?` (may).
Every row is read on Wednesday, 6 January 2027.
"""

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from nudgebot.domain.text.reply import Intent, Reading, read

TODAY = date(2027, 1, 6)
ROWS = Path(__file__).parent / "replies"
# What rules were made from; what was only scored at first, in the order of writing.
PARTS = ("look", "held", "fresh", "later", "third", "fourth", "fifth")
LANGUAGES = ("en", "es", "de", "fr", "pt")
_ASK = {"ask": True, "ask=?": None}


def _on(offset: str) -> date:
    return TODAY + timedelta(days=int(offset))


@dataclass(frozen=True, slots=True)
class Row:
    """One line with its label. `ask` and `day` are None, and `day_checked` False, where both ways are right."""

    language: str
    text: str
    intents: frozenset[Intent]
    minutes: int | None
    day: date | None
    day_checked: bool
    days: tuple[date, ...]
    heart_rate: int | None
    rpe: int | None
    distance_km: float | None
    logs: tuple[tuple[date, int], ...]
    ask: bool | None
    why: str

    @property
    def clear(self) -> bool:
        """Whether a careful person would not have to ask."""
        return self.ask is False


def row_of(written: str) -> Row:
    """A row of a corpus file; a badly written one is a ValueError."""
    language, text, label, *why = written.split("\t")
    words = label.split()
    intents = frozenset(Intent(name) for name in words[0].split(","))
    fields = dict(word.split("=", 1) for word in words[1:] if "=" in word and word != "ask=?")
    minutes = next((int(word) for word in words[1:] if word.isdecimal()), None)
    ask = next((_ASK[word] for word in words[1:] if word in _ASK), False)
    usual = "0" if intents <= {Intent.LOG, Intent.SKIP} and "logs" not in fields else ""
    day = fields.get("day", usual)
    logs = tuple(
        (_on(part.split(":")[0]), int(part.split(":")[1])) for part in fields.get("logs", "").split(",") if part
    )
    return Row(
        language=language,
        text=text,
        intents=intents,
        minutes=minutes,
        day=_on(day) if day not in {"", "?"} else None,
        day_checked=day != "?" and len(intents) == 1 and ask is False,
        days=tuple(_on(part) for part in fields.get("days", "").split(",") if part),
        heart_rate=int(fields["hr"]) if "hr" in fields else None,
        rpe=int(fields["rpe"]) if "rpe" in fields else None,
        distance_km=float(fields["km"]) if "km" in fields else None,
        logs=logs,
        ask=ask,
        why=why[0] if why else "",
    )


def rows(part: str) -> list[Row]:
    """The rows of one part of the corpus."""
    lines = (ROWS / f"{part}.tsv").read_text(encoding="utf-8").splitlines()
    return [row_of(line) for line in lines if line and not line.startswith("#")]


def _logs(reading: Reading) -> tuple[tuple[date, int], ...]:
    return tuple((run.day, run.minutes) for run in reading.logs)


def intent_right(row: Row, reading: Reading) -> bool:
    """Whether the intent is one of the right ones."""
    return reading.intent in row.intents


def minutes_right(row: Row, reading: Reading) -> bool:
    """Whether the minutes, or every one of several runs, are exactly what was said."""
    return reading.minutes == row.minutes and _logs(reading) == row.logs


def days_right(row: Row, reading: Reading) -> bool:
    """Whether the day and the days are right."""
    return (not row.day_checked or reading.day == row.day) and (reading.days == row.days or not row.day_checked)


def asking_right(row: Row, reading: Reading) -> bool:
    """Whether it asks back where it must and only there."""
    return row.ask is None or reading.ask_back == row.ask


def extras_right(row: Row, reading: Reading) -> bool:
    """Whether heart rate, effort and distance are right."""
    far = reading.distance_km
    far_right = far is None if row.distance_km is None else far is not None and abs(far - row.distance_km) < 0.01
    return reading.heart_rate == row.heart_rate and reading.rpe == row.rpe and (far_right or row.ask is not False)


def stored_falsely(row: Row, reading: Reading) -> bool:
    """Whether a number would be stored that the runner did not mean: the worst mistake."""
    if reading.intent is not Intent.LOG or reading.ask_back:
        return False
    return not (Intent.LOG in row.intents and minutes_right(row, reading))


def asked_needlessly(row: Row, reading: Reading) -> bool:
    """Whether a clear line is asked about."""
    return row.clear and reading.ask_back


Check = Callable[[Row, Reading], bool]
SHARES: tuple[tuple[str, Check], ...] = (
    ("intent", intent_right),
    ("minutes", minutes_right),
    ("day", days_right),
    ("extras", extras_right),
    ("asking", asking_right),
)


def share(check: Check, read_rows: Iterable[tuple[Row, Reading]]) -> float:
    """The share of rows for which a check holds, 0-1."""
    held = [check(row, reading) for row, reading in read_rows]
    return sum(held) / len(held)


def read_all(part: str, language: str | None = None) -> list[tuple[Row, Reading]]:
    """The rows of a part (in one language) with how they are read."""
    return [(row, read(row.text, TODAY)) for row in rows(part) if language in {None, row.language}]


def main(arguments: list[str]) -> int:
    """Print the table; with `-v` also every row that is read wrongly."""
    parts = [part for part in PARTS if part in arguments] or list(PARTS)
    names = "".join(f"{name:>9}" for name, _ in SHARES)
    print(f"{'part':6}{'lang':6}{'rows':>5}{names}{'false':>7}{'asked':>8}")
    for part in parts:
        for language in LANGUAGES:
            pairs = read_all(part, language)
            if not pairs:
                continue
            shares = "".join(f"{share(check, pairs):9.1%}" for _, check in SHARES)
            false = sum(stored_falsely(row, reading) for row, reading in pairs)
            clear = [pair for pair in pairs if pair[0].clear]
            print(f"{part:6}{language:6}{len(pairs):5}{shares}{false:7}{share(asked_needlessly, clear):8.1%}")
    if "-v" in arguments:
        for part in parts:
            for row, reading in read_all(part):
                wrong = [name for name, check in SHARES if not check(row, reading)]
                if wrong:
                    got = f"{reading.intent} {reading.minutes} {reading.day} ask={reading.ask_back}"
                    days = [str(day) for day in reading.days]
                    print(f"{part} {row.language} {row.text!r}: {' '.join(wrong)}: {got} {days} {_logs(reading)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
