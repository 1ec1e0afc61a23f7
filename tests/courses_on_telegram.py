"""Courses of illness, holds and weather by `serve` over HTTP: `python -m tests.courses_on_telegram [FILE ...]`.

Plays dialogue files in the terminal channel and, side by side, against `serve` with a Bot API server on 127.0.0.1;
everybody must be told the same. Without files it takes every so-manieth of tests/dialogues that one person speaks in.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.both_channels import Terminal, compare
from tests.talking import MARTA, START
from tests.test_dialogues import HEAD, HERE


def script(path: Path) -> tuple[Terminal, list[str]] | None:
    """Who begins where and when, and what is typed; None for a coach's file, whose group has a past of its own."""
    first, *rest = path.read_text(encoding="utf-8").splitlines()
    head = HEAD.fullmatch(first)
    if head is None or head[2] not in {"new", "joined"}:
        return None
    speaker, kind, at, zone = head.groups()
    begin = datetime.fromisoformat(at).replace(tzinfo=ZoneInfo(zone))
    typed = [line[2:] for line in rest if line.startswith("> ")]
    if any(line.startswith(("@ dump", "@@", "@ as ", "@ in ")) for line in typed):
        return None
    if kind == "new":
        return Terminal(begin, zone, speaker), typed
    return Terminal(START, "UTC", speaker), [*MARTA.splitlines(), f"@ {begin:%Y-%m-%d %H:%M}", *typed]


def chosen(files: list[Path], most: int) -> Iterator[tuple[Path, Terminal, list[str]]]:
    """At most `most` of the files that can be played, evenly spread."""
    found = [(path, *played) for path in files if (played := script(path)) is not None]
    step = max(1, len(found) // most)
    yield from found[::step][:most]


def main() -> int:
    """0 if everybody was told the same, else 1."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--most", type=int, default=10)
    options.add_argument("files", nargs="*", type=Path)
    asked = options.parse_args()
    files = asked.files or sorted(HERE.rglob("*/*.txt"))
    bad = 0
    for path, terminal, typed in chosen(files, asked.most):
        found = compare(terminal, typed)
        print(f"{path.parent.name}/{path.stem}: {found.messages} messages, {found.differences} differences", flush=True)
        bad += found.differences + found.wrong
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
