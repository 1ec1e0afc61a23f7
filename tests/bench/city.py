"""Lines a second with 1, 2 and 4 workers on one PostgreSQL, beside one worker on SQLite, in one run.

    python -m tests.bench.city --lines 1500 --chats 300

Real conversation, a server that answers at once, no pace kept. Prints ratios: rates depend on the host, and where all
of it shares a few cores, on who else wants them.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path
from statistics import median

from nudgebot.channels.telegram.updates import VOICE
from nudgebot.storage.moving import move
from tests import postgres
from tests.bench.echo import cpu_seconds
from tests.bench.store import fill
from tests.servers import moment
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running


def rate(url: str, workers: int, lines: int, chats: int) -> tuple[float, float]:
    """Lines answered a second by so many workers on the database at `url`, and CPU time of the workers a line (ms)."""
    environ = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real", "PYTHONWARNINGS": "ignore", "NUDGEBOT_DATABASE": url}
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        server = stack.enter_context(FakeTelegram(keep_requests=False))
        bots = [
            stack.enter_context(Running(server.url, folder / str(each), environ=environ)) for each in range(workers)
        ]
        for bot in bots:
            bot.ready()
        before = sum(cpu_seconds(bot.process.pid) for bot in bots)
        begun = time.perf_counter()
        for number in range(lines):
            turn = number // chats
            server.say(1 + number % chats, "undo" if turn % 2 else f"{20 + turn} easy")
        server.until(lambda: len(server.sent) >= lines, seconds=600)
        took = time.perf_counter() - begun
        used = sum(cpu_seconds(bot.process.pid) for bot in bots) - before
        for bot in bots:
            bot.kill()
    return lines / took, 1000 * used / lines


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.city", description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--lines", type=int, default=1500)
    parser.add_argument("--chats", type=int, default=300)
    parser.add_argument("--runs", type=int, default=3)
    options = parser.parse_args()
    found: dict[str, list[tuple[float, float]]] = {}
    for _ in range(options.runs):
        for workers in (0, 1, 2, 4):
            with tempfile.TemporaryDirectory() as folder, postgres.database() as server:
                file = f"sqlite:///{folder}/n.db"
                fill(file, options.chats, VOICE, "", moment.now())
                if workers:
                    move(file, server)
                name = f"PostgreSQL, {workers} workers" if workers else "SQLite, alone"
                rated = rate(server if workers else file, workers or 1, options.lines, options.chats)
                found.setdefault(name, []).append(rated)
    base = median(each[0] for each in found["SQLite, alone"])
    print(f"{options.lines} lines, {options.chats} chats, medians of {options.runs}")
    for name, all_rated in found.items():
        speed, cpu = median(each[0] for each in all_rated), median(each[1] for each in all_rated)
        print(f"  {name:22} {speed:6.0f} lines/s  ratio {speed / base:5.2f}   {cpu:5.2f} ms CPU of the workers a line")
    return 0


if __name__ == "__main__":
    sys.exit(main())
