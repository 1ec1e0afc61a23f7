"""How well lines are read: the figures that docs/replies.md gives, with their intervals."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

from nudgebot.domain.text.log_lines.result import Intent, Reading
from tests.corpus.lines import ORDINARY, Labelled

PLAN = frozenset((Intent.SKIP, Intent.MOVE, Intent.BUSY, Intent.AWAY, Intent.UNDO, Intent.SETTINGS))  # change the plan
Pair = tuple[Labelled, Reading]


@dataclass(frozen=True, slots=True)
class Share:
    """How many of how many."""

    name: str
    held: int
    of: int

    @property
    def value(self) -> float:
        """The share, 0-1; 0 if there is nothing to share."""
        return self.held / self.of if self.of else 0.0

    def interval(self, z: float = 1.96) -> tuple[float, float]:
        """The interval of Wilson (1927) that holds the true share in 95 of 100 samples."""
        if not self.of:
            return 0.0, 1.0
        n, p = self.of, self.value
        middle = (p + z * z / (2 * n)) / (1 + z * z / n)
        half = z / (1 + z * z / n) * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        return max(0.0, middle - half), min(1.0, middle + half)


def right_minutes(label: Labelled) -> frozenset[int | None]:
    """The minutes that are right."""
    return frozenset((label.minutes, *label.minutes_ok))


def tells_run(label: Labelled) -> bool:
    """Whether the line tells of a finished run with its minutes."""
    return label.intent is Intent.LOG and (label.minutes is not None or bool(label.logs))


def intent_right(label: Labelled, reading: Reading) -> bool:
    """Whether the intent, asked about or not, is one of the right ones."""
    return reading.intent in label.intents


def minutes_right(label: Labelled, reading: Reading) -> bool:
    """Whether the minutes, those of each of several runs, are right."""
    if label.logs:
        return tuple((run.day, run.minutes) for run in reading.logs) == label.logs
    if reading.logs:
        return sum(run.minutes for run in reading.logs) in right_minutes(label)
    return reading.minutes in right_minutes(label)


def stores(reading: Reading) -> bool:
    """Whether a run would be stored without asking."""
    has_minutes = reading.minutes is not None or bool(reading.logs)
    return reading.intent is Intent.LOG and not reading.ask_back and has_minutes


def offered_right(label: Labelled, reading: Reading) -> bool:
    """Whether one of the buttons of a question holds the right reading."""
    return any(
        choice.intent in label.intents and (not tells_run(label) or minutes_right(label, choice))
        for choice in reading.choices
    )


def is_clear(label: Labelled) -> bool:
    """Whether a careful person would not have to ask."""
    if label.ask_back or label.intent is Intent.UNKNOWN:
        return False
    return label.intent is not Intent.LOG or tells_run(label)


def figures(pairs: Sequence[Pair]) -> list[Share]:
    """The figures of replies as they are defined in docs/replies.md."""
    runs = [pair for pair in pairs if tells_run(pair[0])]
    read_as_run = [pair for pair in runs if stores(pair[1])]
    no_run = [(label, reading) for label, reading in pairs if Intent.LOG not in label.intents]
    acts = [(label, reading) for label, reading in pairs if reading.intent in PLAN and not reading.ask_back]
    # a line that is none of the intents is answered by "something else"
    asked = [(label, reading) for label, reading in pairs if reading.choices and label.intent is not Intent.UNKNOWN]
    clear = [pair for pair in pairs if is_clear(pair[0])]

    def share(
        name: str, check: Callable[[Labelled, Reading], bool], among: Sequence[Pair], of: int | None = None
    ) -> Share:
        return Share(name, sum(check(*pair) for pair in among), len(among) if of is None else of)

    return [
        share("intent", intent_right, pairs),
        share("minutes of a run read as a run", minutes_right, read_as_run),
        share("stored right", lambda a, b: stores(b) and minutes_right(a, b), runs),
        share("stored wrong", lambda a, b: stores(b) and not minutes_right(a, b), runs),
        share("lost", lambda _, b: not stores(b) and not b.ask_back, runs),
        share("false runs", lambda _, b: stores(b), no_run),
        share("plan changed unasked", lambda a, b: b.intent not in a.intents, acts, len(pairs)),
        share("asked needlessly", lambda _, b: b.ask_back, clear),
        share("right among three buttons", offered_right, asked),
    ]


def of_traffic(pairs: Sequence[Pair]) -> dict[str, list[Share]]:
    """The figures of all lines, and of ordinary traffic alone where lines are sorted."""
    ordinary = [pair for pair in pairs if pair[0].traffic == ORDINARY]
    return {"all": figures(pairs), **({"ordinary": figures(ordinary)} if ordinary else {})}
