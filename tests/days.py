"""The tests that start processes, as if it were other days: `python -m tests.days`.

Sunday noon and evening (the week review follows an answer; joining gives a one-day week), the other weekdays, New Year,
and the nights in which summer time begins and ends in Lisbon and Berlin. With `--busy N` that many processes keep the
machine busy beside them. Prints a row a moment; exit status 1 if any is red.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import time
from pathlib import Path

from tests.servers.moment import VARIABLE

ROOT = Path(__file__).parents[1]
MOMENTS = (
    ("Sunday noon", "2027-03-07T12:00:00+00:00"),
    ("Sunday 19:40", "2027-03-07T19:40:00+00:00"),
    ("Monday 06:40", "2027-03-08T06:40:00+00:00"),
    ("Tuesday 21:50", "2027-03-09T21:50:00+00:00"),
    ("Wednesday 06:40", "2027-03-10T06:40:00+00:00"),
    ("Thursday 19:40", "2027-03-11T19:40:00+00:00"),
    ("Friday 06:40", "2027-03-12T06:40:00+00:00"),
    ("Saturday 19:40", "2027-03-13T19:40:00+00:00"),
    ("1 January 00:10", "2027-01-01T00:10:00+00:00"),
    ("summer time begins", "2027-03-28T00:55:00+00:00"),
    ("summer time ends", "2027-10-31T00:55:00+00:00"),
)
TESTS = ("tests/channels", "tests/app/test_scheduler.py", "tests/test_three_weeks.py", "tests/test_cli.py")


def run(moment: str, workers: int) -> tuple[bool, str]:
    """Whether the tests pass at `moment`, and what they said last."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", str(workers), "-p", "no:cacheprovider", *TESTS],
        cwd=ROOT,
        env=os.environ | {VARIABLE: moment},
        capture_output=True,
        text=True,
    )
    failed = re.findall(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)
    last = done.stdout.strip().splitlines()[-1] if done.stdout.strip() else done.stderr.strip()[-200:]
    return done.returncode == 0, " ".join([last, *failed])


def main() -> int:
    """0 if green at every moment."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--workers", type=int, default=2)
    options.add_argument("--busy", type=int, default=0, help="processes that only burn time beside the tests")
    options.add_argument("--only", help="only moments whose name holds this")
    chosen = options.parse_args()
    burning = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(chosen.busy)]
    red = 0
    try:
        for name, moment in MOMENTS:
            if chosen.only and chosen.only not in name:
                continue
            begun = time.monotonic()
            green, last = run(moment, chosen.workers)
            red += not green
            print(
                f"{name:20} {moment}  {'green' if green else 'RED'}  {time.monotonic() - begun:.0f} s  {last}",
                flush=True,
            )
    finally:
        for process in burning:
            process.kill()
            process.wait()
    return 1 if red else 0


if __name__ == "__main__":
    sys.exit(main())
