"""The command: invented runners through weeks of life, a report, and whether all is as it must be."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TextIO

from nudgebot.tools.simulate import picture, report
from nudgebot.tools.simulate.lives import Life, invented
from nudgebot.tools.simulate.living import lived
from nudgebot.tools.simulate.tally import Tally

DONE, FAILED = 0, 1


def simulated(runners: int, weeks: int, seed: int) -> dict[Life, Tally]:
    """What `runners` invented runners, shared out among the kinds of life, come to in `weeks` weeks each."""
    lives = {life: Tally() for life in Life}
    for place, (life, tally) in enumerate(lives.items()):
        for number in range(len(range(place, runners, len(lives)))):
            lived(invented(life, number, seed, weeks), weeks, tally)
    return lives


def run(
    runners: int,
    weeks: int,
    seed: int,
    out: TextIO,
    err: TextIO,
    clock: Callable[[], float],
    *,
    as_json: bool = False,
    drawn: Path | None = None,
) -> int:
    """Simulates, and tells what came of it as `told` does; `clock` counts seconds of work, which `err` gets."""
    began = clock()
    lives = simulated(runners, weeks, seed)
    took = max(clock() - began, 1e-6)
    err.write(f"{took:.1f} s of work, {runners * weeks / took:.0f} runner-weeks a second, each lived twice\n")
    return told(lives, weeks, seed, out, err, as_json=as_json, drawn=drawn)


def told(
    lives: Mapping[Life, Tally],
    weeks: int,
    seed: int,
    out: TextIO,
    err: TextIO,
    *,
    as_json: bool = False,
    drawn: Path | None = None,
) -> int:
    """Prints the report on `out`; 1, with a line on `err`, where something is not as it must be, or the picture
    cannot be written."""
    if as_json:
        out.write(json.dumps(report.values(lives, weeks, seed)) + "\n")
    else:
        out.writelines(f"{line}\n" for line in report.page(lives, weeks, seed))
    if fault := report.fault(report.whole(lives)):
        err.write(f"nudgebot: not as it must be: {fault}\n")
    if drawn is not None:
        try:
            picture.draw(lives, drawn)
        except OSError as error:
            err.write(f"nudgebot: cannot write {drawn}: {error.strerror}\n")
            return FAILED
    return FAILED if fault else DONE
