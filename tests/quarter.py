"""A quarter of the group of twelve with two coaches and a stand-in: one script, and what each of the three reads of it.

python -m tests.quarter            plays it again and compares
python -m tests.quarter --write    writes what they read again, to be read before it is committed
"""

from __future__ import annotations

import re
import sys
from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from tests.memory import in_memory
from tests.month import COACH, PEOPLE, ZONE, gathered
from tests.talking import talk

FOLDER: Final = Path(__file__).parent / "dialogues" / "quarter"
SCRIPT: Final = FOLDER / "script.txt"
READERS: Final = (COACH, "Lou", "Rui")  # who leads at first, the second coach, the stand-in
RUNS: Final = re.compile(r"\* (?P<day>\d{4}-\d{2}-\d{2})(?P<who>(?: [\w-]+=\d+)+)")  # an evening: who ran, minutes


def typed(script: str) -> list[str]:
    """The lines of a script, "* DAY Ana=20 Ben=25" as the reports of that evening."""
    lines: list[str] = []
    for line in script.splitlines():
        runs = RUNS.fullmatch(line)
        if runs is None:
            lines += [] if line.startswith("#") or not line else [line]
            continue
        lines.append(f"@ {runs['day']} 20:00")
        for each in runs["who"].split():
            name, _, minutes = each.partition("=")
            lines += [f"@ as {name}", f"{minutes} easy"]
    return lines


def played(script: str) -> str:
    """What comes out of a script, all of it."""
    engine = in_memory()
    gathered(engine)
    at = datetime(2027, 3, 1, 8, tzinfo=ZoneInfo(ZONE))
    came = talk(typed(script), at=at, engine=engine, speaker=COACH, zone=ZONE, as_json=False, owner=COACH)
    engine.dispose()
    if came.err:
        raise SystemExit(came.err)
    return came.out


def read_by(name: str, out: str) -> str:
    """What one person said and read, message by message; their buttons go without saying."""
    kept: list[str] = []
    speaker, mine = COACH, False
    for line in out.splitlines():
        if line.startswith("> "):
            speaker = line[7:] if line.startswith("> @ as ") else speaker
            mine = speaker == name and not line.startswith("> @")
        elif line.startswith("< "):
            mine = re.match(rf"< \[[^]]+\] {name}: ", line) is not None
        elif line.startswith("#"):
            continue
        if mine:
            kept.append(line)
    return "\n".join(kept) + "\n"


def main(arguments: list[str]) -> int:
    """Exit status: 1 where somebody reads something else than their file says."""
    out = played(SCRIPT.read_text(encoding="utf-8"))
    differs = False
    for name in READERS:
        path, text = FOLDER / f"{name.lower()}.txt", read_by(name, out)
        if "--write" in arguments:
            path.write_text(text, encoding="utf-8")
        differs |= path.read_text(encoding="utf-8") != text
    print("differs" if differs else f"as written: {len(PEOPLE)} runners, {out.count(chr(10) + '< ')} messages")
    return int(differs)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
