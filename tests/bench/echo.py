"""How many lines a second `serve` takes in and answers, against a bare bot of the same framework.

    python -m tests.bench.echo --lines 2000 --chats 200

The first two answer every line with itself, on the same server in the same run; the third holds the real conversation
with runners who have joined, so that each line is logged, or taken back, and the week replanned. The bare bot is
python-telegram-bot as its manual shows it: it keeps nothing, so a kill loses what it has fetched. Then how long one
line takes from the server and back at 30 lines a second, the bare bot's beside it, and where that time goes. Last, the
CPU time of each step of a line. Prints ratios; rates depend on the host.
"""

from __future__ import annotations

import argparse
import os
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import median

from telegram import Update
from telegram.ext import Application, ContextTypes, MessageHandler, filters

from nudgebot.channels.telegram.updates import VOICE
from tests.bench.steps import show_steps
from tests.bench.store import fill
from tests.servers import moment
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running

BARE = ("-m", "tests.bench.echo", "--bare")
DURABLE = ("-m", "tests.servers.bot")


def bare() -> None:
    """The bare bot, in a process of its own."""

    async def answer(update: Update, _: ContextTypes.DEFAULT_TYPE) -> None:
        if update.message is not None:
            await update.message.reply_text(f"heard: {update.message.text}")

    async def started(_: object) -> None:
        print("ready", flush=True)

    root = os.environ["NUDGEBOT_API_BASE"]
    builder = Application.builder().token(os.environ["NUDGEBOT_TOKEN"]).base_url(f"{root}/bot")
    application = builder.job_queue(None).post_init(started).build()
    application.add_handler(MessageHandler(filters.TEXT, answer))
    application.run_polling()


def rate(command: tuple[str, ...], lines: int, chats: int, delay: float, *, real: bool = False) -> tuple[float, float]:
    """Lines answered a second by the bot that `command` starts, and its CPU time a line (ms)."""
    with tempfile.TemporaryDirectory() as folder, FakeTelegram(delay=delay, keep_requests=False) as server:
        environ = {"BOT_UNLIMITED": "1", "PYTHONWARNINGS": "default"}
        database = Path(folder) / "echo.db"
        if real:
            environ["BOT_CONVERSATION"] = "real"
            # Joined a moment ago, as the bot's own clock has it.
            fill(f"sqlite:///{database}", chats, VOICE, "", moment.now())
        with Running(server.url, database, command, environ) as bot:
            bot.ready()
            cpu = cpu_seconds(bot.process.pid)
            begun = time.perf_counter()
            for number in range(lines):
                turn = number // chats
                logged = "undo" if turn % 2 else f"{20 + turn} easy"
                server.say(1 + number % chats, logged if real else f"line {number}")
            server.until(lambda: len(server.sent) >= lines, seconds=600)
            took = time.perf_counter() - begun
            used = cpu_seconds(bot.process.pid) - cpu
            bot.kill()
    return lines / took, 1000 * used / lines


@dataclass(frozen=True)
class Paced:
    """Seconds from each line to its answer, and for `serve` the parts of them: in the order of PARTS."""

    whole: list[float]
    parts: list[tuple[float, ...]]


PARTS = ("server to bot", "stored, its turn", "acted on, saved, sent", "outcome saved")


def paced(command: tuple[str, ...], lines: int, a_second: float) -> Paced:
    """Lines at that pace, each from a runner of their own, who logs a run."""
    with tempfile.TemporaryDirectory() as folder, FakeTelegram() as server:
        database = Path(folder) / "paced.db"
        fill(f"sqlite:///{database}", lines, VOICE, "", moment.now())
        environ = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real", "PYTHONWARNINGS": "default"}
        with Running(server.url, database, command, environ) as bot:
            bot.ready()
            said: dict[str, float] = {}
            wall = moment.now().timestamp() - time.monotonic()
            begun = time.monotonic()
            for number in range(1, lines + 1):
                time.sleep(max(0.0, begun + number / a_second - time.monotonic()))
                said[str(number)] = time.monotonic()
                server.say(number, "20 easy")
            server.until(lambda: len({sent.chat for sent in server.sent}) >= lines, seconds=120)
            if command is DURABLE:
                server.until(lambda: counted(database, "SELECT count(*) FROM outbox WHERE ended_at IS NULL") == 0)
            bot.kill()
        answered: dict[str, float] = {}
        for request in server.requests:
            if request.method == "sendMessage":
                answered.setdefault(request.fields["chat_id"], request.at)
        parts = []
        if command is DURABLE:
            stamps = "SELECT i.user, i.received_at, o.put_at, o.ended_at FROM inbox i JOIN outbox o ON o.user = i.user"
            for user, *at in _rows(database, stamps):
                stored, acted, ended = (int(str(each)) / 1e6 - wall for each in at)
                moments = (said[str(user)], stored, acted, answered[str(user)], ended)
                parts.append(tuple(b - a for a, b in pairwise(moments)))
    return Paced([answered[user] - at for user, at in said.items()], parts)


def _rows(database: Path, query: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as conn:
        return conn.execute(query).fetchall()


def counted(database: Path, query: str) -> int:
    """The one number that `query` asks of a database, looked at from outside."""
    return int(str(_rows(database, query)[0][0]))


def show_paced(lines: int, a_second: float, runs: int, show: Callable[[str], None]) -> None:
    """Both bots in turn, `runs` times: medians over the runs of how long an answer takes, and of its parts."""
    bare_runs, our_runs = [], []
    for _ in range(runs):
        bare_runs.append(paced(BARE, lines, a_second))
        our_runs.append(paced(DURABLE, lines, a_second))
    show(f"{lines} lines at {a_second:.0f} a second, each logged and replanned by serve; ms, medians of {runs} runs")
    show(f"  {'':22} {'median':>8} {'99 %':>8} {'all':>8}")

    def row(name: str, times: list[list[float]]) -> None:
        at = [median(1000 * sorted(run)[int(share * (len(run) - 1))] for run in times) for share in (0.5, 0.99, 1.0)]
        show(f"  {name:22} " + " ".join(f"{each:8.1f}" for each in at))

    row("bare bot", [run.whole for run in bare_runs])
    row("serve", [run.whole for run in our_runs])
    for place, name in enumerate(PARTS):
        row(f"  {name}", [[part[place] for part in run.parts] for run in our_runs])


def cpu_seconds(pid: int) -> float:
    """CPU seconds that process `pid` has used (proc(5): utime and stime, fields 14 and 15)."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def compare(lines: int, chats: int, delay: float, runs: int, show: Callable[[str], None]) -> None:
    """Run both bots in turn, `runs` times, and show the medians."""
    plain, durable, whole = [], [], []
    for _ in range(runs):
        plain.append(rate(BARE, lines, chats, delay))
        durable.append(rate(DURABLE, lines, chats, delay))
        whole.append(rate(DURABLE, lines, chats, delay, real=True))
    show(f"{lines} lines, {chats} chats, server delay {1000 * delay:.0f} ms, median of {runs}")
    base, base_cpu = median(each[0] for each in plain), median(each[1] for each in plain)
    for name, found in (("bare bot", plain), ("serve", durable), ("logging", whole)):
        speed, cpu = median(each[0] for each in found), median(each[1] for each in found)
        show(
            f"  {name:9} {speed:7.0f} lines/s  ratio {speed / base:5.2f}   "
            f"{cpu:5.2f} ms CPU/line  ratio {cpu / base_cpu:5.2f}"
        )


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.echo", description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--lines", type=int, default=2000)
    parser.add_argument("--chats", type=int, default=200)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--bare", action="store_true", help="be the bare bot")
    options = parser.parse_args()
    if options.bare:
        bare()
        return 0
    compare(options.lines, options.chats, 0.0, options.runs, print)
    compare(max(options.lines // 10, 1), options.chats, 0.05, options.runs, print)
    show_paced(600, 30.0, options.runs, print)
    show_steps(print)
    return 0


if __name__ == "__main__":
    sys.exit(main())
