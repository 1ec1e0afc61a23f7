"""Several workers on one PostgreSQL, each with a fault of its own: what is lost, what comes twice, what out of order?

    python -m tests.faults.workers --rounds 40

While runners write lines and ask for nudges, the first worker is killed and started again, the second is cut off from
the database (refused, or met with silence), the third has its clock an hour off and is stopped now and then for longer
than it may have a letter in hand. At the end the promises of `tests.faults.kill` are counted. Exit status 1 where one
is broken.
"""

from __future__ import annotations

import argparse
import random
import signal
import socket
import sys
import tempfile
import threading
import time
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Self

from sqlalchemy import make_url

from nudgebot.storage.database import open_database
from tests import postgres
from tests.faults.kill import FAULTS, Report, Settled, count
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running

LEASE = 5.0  # s a worker has a letter in hand


class Wire:
    """A TCP port that leads to a PostgreSQL server, and can be cut."""

    def __init__(self, url: str) -> None:
        parsed = make_url(url)
        folder = str(parsed.query.get("host", ""))
        self._to = f"{folder}/.s.PGSQL.{parsed.port or 5432}" if folder else (parsed.host or "", parsed.port or 5432)
        self._door = socket.create_server(("127.0.0.1", 0))
        port = self._door.getsockname()[1]
        self.url = (
            parsed.difference_update_query(["host"])
            .set(host="127.0.0.1", port=port)
            .render_as_string(hide_password=False)
        )
        self._open: set[socket.socket] = set()
        self._refuses = False
        self._flows = threading.Event()
        self._flows.set()

    def cut(self) -> None:
        """Every connection ends, and none begins, until `mend`."""
        self._refuses = True
        for each in list(self._open):
            with suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)

    def silence(self) -> None:
        """Nothing passes until `mend`, and nobody is told."""
        self._flows.clear()

    def mend(self) -> None:
        """All is well again."""
        self._refuses = False
        self._flows.set()

    def __enter__(self) -> Self:
        threading.Thread(target=self._accept, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self.mend()
        self.cut()
        self._door.close()

    def _accept(self) -> None:
        while True:
            try:
                ours, _ = self._door.accept()
            except OSError:
                return
            if self._refuses:
                ours.close()
                continue
            theirs = socket.socket(socket.AF_UNIX if isinstance(self._to, str) else socket.AF_INET)
            theirs.connect(self._to)
            self._open |= {ours, theirs}
            for one, other in ((ours, theirs), (theirs, ours)):
                threading.Thread(target=self._pass_on, args=(one, other), daemon=True).start()

    def _pass_on(self, one: socket.socket, other: socket.socket) -> None:
        with suppress(OSError):
            while data := one.recv(65536):
                self._flows.wait()
                other.sendall(data)
        for each in (one, other):
            self._open.discard(each)
            with suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()


def soak(rounds: int, runners: int, seed: int, folder: Path, url: str, burst: int = 12, pause: float = 1.0) -> Report:
    """So many rounds of lines and one fault each, `pause` seconds apart, on the empty database at `url`."""
    dice = random.Random(seed)
    said: dict[int, list[str]] = {user: [] for user in range(101, 101 + runners)}
    begun = time.monotonic()
    environ = {"BOT_UNLIMITED": "1", "BOT_LEASE": str(LEASE), "PYTHONWARNINGS": "default"}
    with ExitStack() as stack:
        server = stack.enter_context(FakeTelegram(delay=0.005, disorderly=True))
        wire = stack.enter_context(Wire(url))
        own = (
            {"NUDGEBOT_DATABASE": url},
            {"NUDGEBOT_DATABASE": wire.url},
            {"NUDGEBOT_DATABASE": url, "BOT_CLOCK_OFF": "3600"},
        )
        killed, cut, late = (
            stack.enter_context(Running(server.url, folder / str(place), environ=environ | given))
            for place, given in enumerate(own)
        )
        for each in (killed, cut, late):
            each.ready()
        for number in range(rounds):
            for _ in range(dice.randint(1, burst)):
                user = dice.choice(sorted(said))
                text = f"{dice.choice(('line', 'line', 'nudge'))} {len(said[user])}"
                said[user].append(text)
                server.say(user, text)
            if dice.random() < 0.3:
                server.fail(dice.choice(("sendMessage", "getUpdates")), dice.choice(FAULTS))
            time.sleep(dice.uniform(0, pause))
            if number % 3 == 0:
                killed.kill()
                killed.start()
            elif number % 3 == 1:
                dice.choice((wire.cut, wire.silence))()
                time.sleep(dice.uniform(0.5, 1.5) * pause)
                wire.mend()
            else:
                late.process.send_signal(signal.SIGSTOP)
                time.sleep(dice.choice((0.2, 1.2)) * LEASE * min(1.0, pause))
                late.process.send_signal(signal.SIGCONT)
        server.faults.clear()
        engine = open_database(url, create=False)
        stack.callback(engine.dispose)
        settled = Settled(engine)
        try:
            server.until(lambda: not server.updates and settled(), seconds=120)
        except AssertionError:
            print(*settled.still_open(), *killed.err[-9:], *cut.err[-9:], *late.err[-9:], sep="\n", file=sys.stderr)
            raise
        killed.ready()  # on a busy machine it may still be starting, and know no signal
        ends = [each.end() for each in (killed, cut, late)]
        assert ends == [0, 0, 0], ends
        expected = {
            user: [f"heard: {text}" for text in texts if text.startswith("line")] for user, texts in said.items()
        }
        return count(server, said, expected, settled, rounds, time.monotonic() - begun)


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.faults.workers", description=(__doc__ or "").split("\n", 1)[0]
    )
    parser.add_argument("--rounds", type=int, default=40)
    parser.add_argument("--runners", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--burst", type=int, default=12, help="the most lines between two faults")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, postgres.database() as url:
        report = soak(options.rounds, options.runners, options.seed, Path(folder), url, options.burst)
    for name in Report.__dataclass_fields__:
        print(f"{name:16} {getattr(report, name)}")
    return 0 if report.kept else 1


if __name__ == "__main__":
    sys.exit(main())
