"""The corpus of symptoms: lines with the level they should get, and how triage does on them.

`python -m tests.corpus.symptoms [--errors PART]` prints, for each part, recall by level, lines told too little or
too much, and false alarms. `held.tsv` was written before the table was tuned and was not used to tune it.
"""

import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from nudgebot.domain.text.triage import Level, triage

HOME = Path(__file__).parent / "symptoms"
PARTS = ("look", "held", "third", "fourth", "fifth", "es", "de", "fr", "pt")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the corpus; `why` is the clause of the contract, or the reason it is harmless."""

    level: Level
    text: str
    why: str


@dataclass(frozen=True, slots=True)
class Figures:
    """How one part did."""

    lines: int
    recall: dict[Level, tuple[int, int]]  # right or higher, of all
    exact: int
    two_under: int  # lines told two levels too little, or more
    harmless: int
    alarmed: int  # harmless lines answered with urgent or above
    levelled: int  # harmless lines answered with any level


def lines(part: str) -> list[Line]:
    """The lines of one of `PARTS`."""
    rows = (HOME / f"{part}.tsv").read_text("utf-8").splitlines()
    cells = (row.split("\t") for row in rows if row and not row.startswith("#"))
    return [Line(Level(level), text, why) for level, text, why in cells]


def figures(cases: list[Line]) -> Figures:
    """Triage held against `cases`."""
    told = [(case, triage(case.text).level) for case in cases]
    all_of = Counter(case.level for case in cases)
    enough = Counter(case.level for case, level in told if level.rank >= case.level.rank)
    harmless = [level for case, level in told if case.level is Level.NONE]
    return Figures(
        lines=len(cases),
        recall={level: (enough[level], all_of[level]) for level in Level if all_of[level] and level is not Level.NONE},
        exact=sum(case.level is level for case, level in told),
        two_under=sum(case.level.rank - level.rank >= 2 for case, level in told),
        harmless=len(harmless),
        alarmed=sum(level.rank >= Level.URGENT.rank for level in harmless),
        levelled=sum(level is not Level.NONE for level in harmless),
    )


def main() -> None:
    """Prints the figures, and with `--errors PART` the lines that got another level than their own."""
    for part in PARTS:
        if not (HOME / f"{part}.tsv").exists():
            continue
        got = figures(lines(part))
        recall = ", ".join(f"{level} {n}/{of}" for level, (n, of) in got.recall.items())
        print(f"{part}: {got.lines} lines; level or higher: {recall}; exact {got.exact / got.lines:.1%}")
        print(f"  two levels too little: {got.two_under}; of {got.harmless} harmless lines", end=" ")
        print(f"urgent or above {got.alarmed}, any level {got.levelled}")
    if "--errors" in sys.argv:
        for case in lines(sys.argv[sys.argv.index("--errors") + 1]):
            verdict = triage(case.text)
            if verdict.level is not case.level:
                print(f"{case.level:9} told {verdict.level:9} {verdict.sign}: {case.text}")


if __name__ == "__main__":
    main()
