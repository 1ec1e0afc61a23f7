"""What `understand` takes for a line, here and at another commit in the same run: `python -m tests.bench.understand`.

    python -m tests.bench.understand --against COMMIT

Both versions read the same lines by turns, each turn in a process of its own, and the least time of each line counts:
what else the machine does then falls on both alike. CPU time in ms; the lines are those of the corpus here, every
fortieth, and hostile ones of 4,096 characters in every kind of script and digit.
"""

from __future__ import annotations

import argparse
import gc
import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import mean, median
from time import process_time
from typing import TypeVar

from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.reply import read
from nudgebot.domain.text.triage import triage
from nudgebot.tools.understand import understood
from tests.bench.commits import HOME, copy_of

TODAY = date(2027, 3, 10)
STEP = 40  # every so manieth line of the corpus is read
LONGEST = 4096  # characters
SEEDS = (
    "a ", "1 ", "ran 30 and ", "not ", "monday 30 ", "quarter of an hour ", "'", "½", "out of ", "km/", "1:", "1.1.",
    "no pain ", "chest ", "c h e s t ", "my dad ", "if i get chest pain ", "6/10 38.5 180/120 ", "3 days ago ", "2-",
    "\u0301", "ﷺ", "👨\u200d👩\u200d👧 ", "٣", "४ ", "жизнь ", "日本", "éß ", "x1 ", "until friday ",
)  # fmt: skip
Times = dict[str, list[float]]
T = TypeVar("T")


def corpus() -> list[str]:
    """The lines of the corpus that are read."""
    files = sorted((HOME / "tests" / "corpus" / "lines").glob("*.jsonl"))
    return [json.loads(line)["text"] for file in files for line in file.read_text("utf-8").splitlines()][::STEP]


def one_turn(lines: list[str]) -> Times:
    """CPU time in ms of this version for each of `lines`, and of its readers for each hostile line."""
    for line in lines:
        understood(line.encode(), TODAY)
    gc.collect()
    gc.freeze()  # as `serve` does: else one hostile line pays for a look through all the lexicons
    took: Times = {"a line": []}
    took |= {f"hostile, {work}": [] for work in ("rules", "rules and learned", "triage", "whole")}

    def timed(name: str, work: Callable[[], T]) -> T:
        start = process_time()
        done = work()
        took[name].append((process_time() - start) * 1e3)
        return done

    for line in lines:
        raw = (line + " ").encode()  # nothing is kept of it
        timed("a line", lambda raw=raw: understood(raw, TODAY))  # type: ignore[misc]
    for seed in SEEDS:
        for name, work in (("rules", parsed), ("rules and learned", read)):
            text = (seed * LONGEST)[len(name) : LONGEST]  # a text that no reader has kept
            timed(f"hostile, {name}", lambda text=text, work=work: work(text, TODAY))  # type: ignore[misc]
        text = (seed * LONGEST)[:LONGEST]
        timed("hostile, triage", lambda text=text: triage(text))  # type: ignore[misc]
        timed("hostile, whole", lambda text=text: understood(text.encode(), TODAY))  # type: ignore[misc]
    return took


def least(turns: list[Times]) -> Times:
    """The least time of each line."""
    return {name: [min(times) for times in zip(*(turn[name] for turn in turns), strict=True)] for name in turns[0]}


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="understand", description=__doc__)
    parser.add_argument("--against", default="HEAD", metavar="COMMIT", help="the other version (default: %(default)s)")
    parser.add_argument("--turns", type=int, default=3, help="turns of each version (default: %(default)s)")
    parser.add_argument("--turn", action="store_true", help="one turn: lines in, times out")
    told = parser.parse_args()
    if told.turn:
        json.dump(one_turn(json.load(sys.stdin)), sys.stdout)
        return 0
    lines = json.dumps(corpus())
    with tempfile.TemporaryDirectory() as folder:
        other = copy_of(told.against, Path(folder), "nudgebot")
        turns: dict[str, list[Times]] = {"here": [], told.against: []}
        for _ in range(told.turns):
            for name, home in (("here", HOME), (told.against, other)):
                program = [sys.executable, __file__, "--turn"]
                done = subprocess.run(
                    program, cwd=home, env={"PYTHONPATH": str(home)}, input=lines, text=True, check=True,
                    capture_output=True,
                )  # fmt: skip
                turns[name].append(json.loads(done.stdout))
    for name, taken in turns.items():
        times = least(taken)
        line = sorted(times.pop("a line"))
        print(f"{name}: a line {mean(line):.3f} ms, median {median(line):.3f}, p99 {line[-len(line) // 100]:.3f}")
        for kind, each in times.items():
            worst = max(range(len(SEEDS)), key=each.__getitem__)
            print(f"  {kind}: median {median(each):.1f} ms, worst {each[worst]:.1f} ms ({SEEDS[worst]!r})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
