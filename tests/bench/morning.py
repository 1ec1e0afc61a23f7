"""Ten thousand reminders due at 07:00, through a real `serve` at the platform's pace.

    python -m tests.bench.morning                          # 10,000 at 30 a second: six minutes
    python -m tests.bench.morning --runners 1000 --pace 300  # quicker, at a pace no platform allows

Every runner has a session on Monday. While the reminders leave, runners whose turn has not come write, one after
another, that the run is done: they are answered before the reminders that wait, and get none. Exit status 1 where a
reminder came twice, was missing, or came to somebody who had run.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

from nudgebot.channels.telegram.updates import VOICE
from tests.bench.echo import counted, cpu_seconds
from tests.bench.store import JOINED, fill
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running

SEVEN = datetime(2027, 1, 4, 7, tzinfo=UTC)  # a Monday; London's winter time is UTC
EVERY = 100  # reminders between two lines
REMINDED = "SELECT count(*) FROM nudges WHERE kind = 'morning' AND outcome = 'sent'"
OPEN = "SELECT count(*) FROM outbox WHERE ended_at IS NULL"
DUE = "SELECT count(*) FROM runners WHERE next_due <= " + str(int(SEVEN.timestamp() * 1e6))


def drain(runners: int, pace: float) -> bool:
    """Run it and print what was seen; whether everybody got what they should."""
    with tempfile.TemporaryDirectory() as folder, FakeTelegram() as server:
        database = Path(folder) / "morning.db"
        fill(f"sqlite:///{database}", runners, VOICE, "", JOINED)
        ahead = SEVEN.timestamp() - time.time()
        clock = Path(folder) / "clock"
        clock.write_text(str(ahead), encoding="ascii")
        environ = {"BOT_CONVERSATION": "real", "BOT_CLOCK": str(clock), "BOT_PACE": str(pace)}
        with Running(server.url, database, environ=environ) as bot:
            bot.ready()
            begun, cpu = time.monotonic(), cpu_seconds(bot.process.pid)
            wrote: dict[int, float] = {}
            for place, user in enumerate(range(runners, runners // 2, -EVERY), start=1):
                server.until(lambda: len(server.sent) >= place * EVERY / 2, seconds=60)
                wrote[user] = time.monotonic()
                server.say(user, "20 easy", date=int(time.time() + ahead))
            patience = 60 + 2 * runners / pace
            server.until(lambda: counted(database, DUE) == 0 and counted(database, OPEN) == 0, seconds=patience)
            took, used = time.monotonic() - begun, cpu_seconds(bot.process.pid) - cpu
            assert bot.end() == 0
        reminded_on_paper = counted(database, REMINDED)
    told = Counter(sent.chat for sent in server.sent)
    sends = [request for request in server.requests if request.method == "sendMessage"]
    firsts: dict[int, float] = {}
    for request in sends:
        firsts.setdefault(int(request.fields["chat_id"]), request.at)
    waits = sorted(firsts[user] - at for user, at in wrote.items())
    reminded = [sent.chat for sent in server.sent if sent.chat not in wrote]
    displaced = max(abs(place - chat) for place, chat in enumerate(reminded_without(wrote, runners, reminded)))
    twice = sum(many > 1 for many in told.values())
    missing = runners - len(told)
    after_a_run = reminded_on_paper - (runners - len(wrote))
    first, last = sends[0].at, sends[-1].at
    rate, most = len(sends) / (last - first), max(Counter(int(request.at - first) for request in sends).values())
    print(f"{runners:,} runners due at 07:00, {pace:.0f} a second" + ("" if pace == 30 else " (no platform allows it)"))
    print(f"  reminders {len(reminded):,}; twice {twice}, missing {missing}, to somebody who had run {after_a_run}")
    print(f"  first to last {last - first:.0f} s, {rate:.1f} a second, {most} in the fullest one")
    print(f"  furthest from the order in which they fell due: {displaced} places")
    answered = f"answered within median {1000 * median(waits):.0f} ms, all {1000 * waits[-1]:.0f} ms"
    print(f"  {len(wrote)} lines meanwhile: {answered}")
    print(f"  CPU {used:.1f} s in {took:.0f} s: {100 - 100 * used / took:.0f} % of one core left over")
    return not (twice or missing or after_a_run)


def reminded_without(wrote: dict[int, float], runners: int, reminded: list[int]) -> list[int]:
    """For each reminder as it came, its place among all reminders by the runners' numbers."""
    place = {chat: at for at, chat in enumerate(each for each in range(1, runners + 1) if each not in wrote)}
    return [place[chat] for chat in reminded]


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench.morning", description=(__doc__ or "").split("\n", 1)[0]
    )
    parser.add_argument("--runners", type=int, default=10_000)
    parser.add_argument("--pace", type=float, default=30.0)
    options = parser.parse_args()
    return 0 if drain(options.runners, options.pace) else 1


if __name__ == "__main__":
    sys.exit(main())
