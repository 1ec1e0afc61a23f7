"""How much of nudgebot one ordinary line enters, and one reminder: files, functions, changes of file on the way.

    python -m tests.bench.footprint

"42 min easy" is typed in the terminal by a runner who has joined, after the same kind of line was said before, so that
tables of words are read and statements composed. Every function of the package that is entered counts once, generator
expressions, comprehensions and lambdas too (from Python 3.12 on most comprehensions are part of the function around
them). A change of file is a function entered in another file than the one entered before it. The reminder is that of
the first Wednesday.
"""

from __future__ import annotations

import io
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from types import CodeType, FrameType
from zoneinfo import ZoneInfo

import nudgebot
from nudgebot.channels.terminal.console import Talk, ToldClock
from nudgebot.storage.database import opened
from tests.talking import MARTA, START

PACKAGE = str(Path(nudgebot.__file__).parent)
LINE = "42 min easy"
BEFORE = ("25 min easy", "undo", "31 min easy")


@dataclass
class Footprint:
    """What was entered while `of` ran: the functions, and how often the next one lay in another file."""

    functions: set[CodeType] = field(default_factory=set)
    changes: int = 0
    _last: str = ""

    def of(self, work: Callable[[], object]) -> Footprint:
        """Runs `work` and notes every function of the package that it enters."""
        sys.setprofile(self._entered)
        try:
            work()
        finally:
            sys.setprofile(None)
        return self

    @property
    def files(self) -> Counter[str]:
        """The files that were entered, with how many of their functions."""
        return Counter(code.co_filename for code in self.functions)

    def _entered(self, frame: FrameType, event: str, _: object) -> None:
        code = frame.f_code
        if event != "call" or not code.co_filename.startswith(PACKAGE):
            return
        self.functions.add(code)
        self.changes += code.co_filename != self._last
        self._last = code.co_filename


def of_one_line(line: str = LINE) -> Footprint:
    """The footprint of one line, typed on the Thursday after the runner has joined."""
    with opened("sqlite://") as engine:
        talk = Talk(engine, io.StringIO(), io.StringIO(), ToldClock(START), "Marta", ZoneInfo("UTC"), echo=False)
        thursday = START + timedelta(days=4)
        talk.play([*MARTA.splitlines(), *BEFORE, f"@ {thursday:%Y-%m-%d %H:%M}"])
        return Footprint().of(lambda: talk.play([line]))


def of_one_reminder() -> Footprint:
    """The footprint of the round that sends a morning reminder."""
    with opened("sqlite://") as engine:
        said = io.StringIO()
        talk = Talk(engine, said, io.StringIO(), ToldClock(START), "Marta", ZoneInfo("UTC"), echo=False)
        talk.play(MARTA.splitlines())
        wednesday = START + timedelta(days=3)
        talk.play([f"@ {wednesday:%Y-%m-%d} 06:30"])
        before = len(said.getvalue())
        found = Footprint().of(lambda: talk.play([f"@ {wednesday:%Y-%m-%d} 06:50"]))
        if "Today: " not in said.getvalue()[before:]:
            raise RuntimeError("no reminder came")
        return found


def main() -> int:
    """The command."""
    for name, found in ((repr(LINE), of_one_line()), ("a morning reminder", of_one_reminder())):
        print(f"{name}: {len(found.files)} files, {len(found.functions)} functions, {found.changes} changes of file")
        for file, functions in sorted(found.files.items()):
            print(f"  {Path(file).relative_to(PACKAGE)!s:45} {functions:4}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
