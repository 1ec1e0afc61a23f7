"""The command: invented runners through weeks of life, a report, and whether all is as it must be."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from nudgebot.tools.simulate import report
from nudgebot.tools.simulate.lives import Life, invent
from nudgebot.tools.simulate.living import live
from nudgebot.tools.simulate.tally import Tally

DONE, FAILED = 0, 1
CHUNK = 25  # runners of one kind of life


@dataclass(frozen=True, slots=True)
class Kept:
    """A folder in which a long simulation keeps what is done, one file for every so many runners of a kind of life.

    The files belong to one seed and number of weeks; started again with the same, it goes on where it was.
    """

    folder: Path
    weeks: int
    seed: int

    def at(self, life: Life, chunk: int) -> Path:
        """The file of one chunk."""
        return self.folder / f"seed{self.seed}-weeks{self.weeks}-{life.value.replace(' ', '_')}-{chunk}.json"

    def read(self, life: Life, chunk: int) -> Tally | None:
        """What was kept; None if there is nothing yet."""
        path = self.at(life, chunk)
        return Tally.of(json.loads(path.read_text(encoding="utf-8"))) if path.is_file() else None

    def write(self, life: Life, chunk: int, tally: Tally) -> None:
        """Keeps a chunk, whole or not at all."""
        path = self.at(life, chunk)
        draft = path.with_suffix(".part")
        draft.write_text(json.dumps(tally.values()), encoding="utf-8")
        draft.replace(path)


def simulate(
    runners: int,
    weeks: int,
    seed: int,
    *,
    twice: bool = True,
    kept: Kept | None = None,
    progress: Callable[[int], None] = lambda _: None,
) -> dict[Life, Tally]:
    """What `runners` invented runners, shared out among the kinds of life, come to in `weeks` weeks each.

    `twice` lives each also with weeks left alone; `progress` hears of the runners done so far.
    """
    lives = {life: Tally() for life in Life}
    done = 0
    for place, (life, tally) in enumerate(lives.items()):
        count = len(range(place, runners, len(lives)))
        for chunk, first in enumerate(range(0, count, CHUNK)):
            last = min(count, first + CHUNK)
            # The last chunk may be a part of one; it is kept only when it is whole.
            known = kept.read(life, chunk) if kept is not None and last - first == CHUNK else None
            if known is None:
                known = Tally()
                for number in range(first, last):
                    live(invent(life, number, seed, weeks), weeks, known, twice=twice)
                    progress(done + number - first + 1)
                if kept is not None and last - first == CHUNK:
                    kept.write(life, chunk, known)
            done += last - first
            progress(done)
            tally.add(known)
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
    keep: Path | None = None,
    twice: bool = True,
) -> int:
    """Simulates, and tells what came of it as `report_lives` does; `clock` counts seconds of work, which `err` gets.

    Where `err` is a terminal it shows how far it is. `keep` is the folder of a run that can be broken off.
    """
    began = clock()
    shown = err.isatty()

    def progress(done: int) -> None:
        if shown:
            err.write(f"\r{done * weeks:,} of {runners * weeks:,} runner-weeks")
            err.flush()

    kept = Kept(keep, weeks, seed) if keep is not None else None
    lives = simulate(runners, weeks, seed, twice=twice, kept=kept, progress=progress)
    took = max(clock() - began, 1e-6)
    ending = ", each lived twice" if twice else ""
    pace = f"{took:.1f} s of work, {runners * weeks / took:.0f} runner-weeks a second{ending}"
    err.write(f"{chr(13) if shown else ''}{pace}\n")
    return report_lives(lives, weeks, seed, out, err, as_json=as_json, drawn=drawn, twice=twice)


def report_lives(
    lives: Mapping[Life, Tally],
    weeks: int,
    seed: int,
    out: TextIO,
    err: TextIO,
    *,
    as_json: bool = False,
    drawn: Path | None = None,
    twice: bool = True,
) -> int:
    """Prints the report on `out`; 1, with a line on `err`, where something is not as it must be, or the picture
    cannot be written."""
    if as_json:
        out.write(json.dumps(report.values(lives, weeks, seed, twice=twice)) + "\n")
    else:
        out.writelines(f"{line}\n" for line in report.page(lives, weeks, seed, twice=twice))
    if fault := report.fault(report.add_up(lives)):
        err.write(f"nudgebot: not as it must be: {fault}\n")
    if drawn is not None:
        try:
            report.draw(lives, drawn)
        except OSError as error:
            err.write(f"nudgebot: cannot write {drawn}: {error.strerror}\n")
            return FAILED
    return FAILED if fault else DONE
