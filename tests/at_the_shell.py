"""A command as somebody types it, run in this process: a new one for each would spend its time on imports."""

from __future__ import annotations

import io
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass

from nudgebot.cli import main


@dataclass(frozen=True)
class Ended:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


def nudgebot(*arguments: str, typed: str | bytes = "") -> Ended:
    """`nudgebot ARGUMENTS`, with `typed` on standard input."""
    given = io.TextIOWrapper(io.BytesIO(typed.encode() if isinstance(typed, str) else typed), encoding="utf-8")
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    before, sys.stdin = sys.stdin, given
    try:
        with redirect_stdout(out), redirect_stderr(err):
            status = main(arguments)
    except SystemExit as end:
        status = int(end.code or 0)
    finally:
        sys.stdin = before
    said, faults = (each.buffer.getvalue().decode() for each in (out, err) if isinstance(each.buffer, io.BytesIO))
    return Ended(status, said, faults)
