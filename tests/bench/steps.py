"""CPU time of each step of a line that is logged and replanned, without a server; `tests.bench.echo` shows it too.

    python -m tests.bench.steps --against COMMIT

Both versions by turns, each turn in a process of its own with that commit's own steps. Rates depend on the host, and on
the hour of a shared one: the ratio is what counts.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from nudgebot.channels.telegram.updates import VOICE, BotName, TextLine, hear
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, inbox, outbox
from nudgebot.storage.database import opened
from nudgebot.storage.statement import Writer
from tests.bench.commits import HOME, copy_of
from tests.bench.store import fill
from tests.servers.fake_telegram import message

LEASE = timedelta(minutes=1)
TOLD = "from tests.bench.steps import show_steps; show_steps(print)"


def show_steps(show: Callable[[str], None], lines: int = 400) -> None:
    """The steps of a line in their order, each the median of `lines`, and their sum."""
    took: defaultdict[str, list[float]] = defaultdict(list)
    now = datetime.now(UTC)  # noqa: TID251 - the clock of the bot under test
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'steps.db'}"
        fill(url, lines, VOICE, "", now)
        with opened(url) as engine, Writer(engine) as writer:
            for number in range(1, lines + 1):
                steps = _Steps(took)
                raw = {"update_id": number, "message": message(number, number, "20 easy")}
                with writer.begin() as conn:
                    update = inbox.Update(f"u{number}", VOICE, str(number), str(number), json.dumps(raw))
                    inbox.receive(conn, [update], now)
                    steps.end("store the update")
                with writer.begin() as conn:
                    steps.begin()
                    waiting = inbox.waiting(conn, 1)
                    heard = hear(json.loads(waiting[0].raw), BotName(1, "bot"), now)
                    assert isinstance(heard, TextLine)
                    inbox.accept(conn, heard.incoming.key, now)
                    steps.end("take it up")
                    before = book_repository.find(conn, VOICE, str(number))
                    assert before is not None
                    steps.end("load the book")
                    book = planner.roll(before, before.today(now))
                    said = answer(book, Heard(heard.incoming.key, heard.incoming.text, now, now))
                    assert len(said.book.log) == 1
                    steps.end("read, log, replan, word")
                    next_look = nudges.next_look(said.book, now)
                    steps.end("find the next look")
                    book_repository.save(conn, before, said.book, next_due=next_look)
                    outbox.put(conn, said.book.runner, said.says[0], key=f"a{number}", now=now)
                    inbox.done(conn, update.key, now)
                    steps.end("save")
                    (letter,) = outbox.claim(conn, VOICE, now, 1, LEASE, unasked=False)
                    steps.end("take up the answer")
                with writer.begin() as conn:
                    steps.begin()
                    outbox.delivered(conn, letter.id, now, "1")
                    steps.end("save the outcome")
    total = 0.0
    show("CPU time of the steps of one line, without the three commits and the network")
    for name, times in took.items():
        total += median(times)
        show(f"  {name:26} {1000 * median(times):6.2f} ms")
    show(f"  {'together':26} {1000 * total:6.2f} ms")


class _Steps:
    """A stopwatch of CPU time that is read at the end of each step."""

    def __init__(self, took: defaultdict[str, list[float]]) -> None:
        self._took = took
        self.begin()

    def begin(self) -> None:
        self._at = time.thread_time()

    def end(self, name: str) -> None:
        self._took[name].append(time.thread_time() - self._at)
        self.begin()


def _together(home: Path) -> float:
    """The sum of the steps (ms) as the program in `home` measures it."""
    environ = {**os.environ, "PYTHONPATH": str(home)}
    done = subprocess.run(
        [sys.executable, "-c", TOLD], cwd=home, env=environ, text=True, check=True, capture_output=True
    )
    return float(done.stdout.split()[-2])


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.steps", description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--against", metavar="COMMIT", help="another version to measure beside this one")
    parser.add_argument("--turns", type=int, default=5, help="turns of each version (default: %(default)s)")
    told = parser.parse_args()
    show_steps(print)
    if told.against:
        with tempfile.TemporaryDirectory() as folder:
            other = copy_of(told.against, Path(folder), "nudgebot", "tests")
            turns = [(_together(HOME), _together(other)) for _ in range(told.turns)]
        here, there = (median(each) for each in zip(*turns, strict=True))
        print(
            f"medians of {told.turns} turns, ms: here {here:.2f}, {told.against} {there:.2f}; {here / there:.2f} of it"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
