"""A bot in a process of its own, started, watched and ended by a test."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

from tests.servers.fake_telegram import PATIENCE, TOKEN
from tests.servers.moment import seconds_ahead

ROOT = Path(__file__).parents[2]


@dataclass
class Running:
    """`serve` against the server at `api_base` on the database file `database`; use as a context manager.

    The clock of `tests.servers.bot` begins at the moment of `tests.servers.moment` and runs on through restarts;
    `nudgebot serve` itself, in the few tests that start it, has the host's clock: a day changes nothing they ask.
    """

    api_base: str
    database: Path
    command: tuple[str, ...] = ("-m", "tests.servers.bot")
    environ: dict[str, str] = field(default_factory=dict)
    token: str = TOKEN

    def __post_init__(self) -> None:
        self.out: list[str] = []
        self.err: list[str] = []
        self._ready = threading.Event()

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self._join()

    def start(self) -> None:
        """Start the process, or another one after the last has ended."""
        self._ready.clear()
        environ = {
            "PATH": os.environ["PATH"],
            "HOME": str(self.database.parent),
            "PYTHONPATH": os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")]),
            "PYTHONWARNINGS": "error",
            "NUDGEBOT_TOKEN": self.token,
            "NUDGEBOT_API_BASE": self.api_base,
            "NUDGEBOT_DATABASE": f"sqlite:///{self.database}",
            "NUDGEBOT_TICK_SECONDS": "1",
            "BOT_AHEAD": str(seconds_ahead()),
        }
        self.process = subprocess.Popen(
            [sys.executable, *self.command],
            env=environ | self.environ,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self._readers = [
            threading.Thread(target=self._read, args=(self.process.stdout, self.out)),
            threading.Thread(target=self._read, args=(self.process.stderr, self.err)),
        ]
        for reader in self._readers:
            reader.start()

    def _read(self, stream: object, lines: list[str]) -> None:
        for line in stream:  # type: ignore[attr-defined]
            lines.append(line.rstrip("\n"))
            if line == "ready\n":
                self._ready.set()
        self._ready.set()  # or it never will be

    def ready(self) -> None:
        """Return once it polls."""
        assert self._ready.wait(PATIENCE), self.err
        assert "ready" in self.out, self.err

    def kill(self) -> None:
        """kill -9."""
        self.process.kill()
        self._join()

    def end(self, by: signal.Signals = signal.SIGTERM) -> int:
        """Ask it to end; its exit status."""
        self.process.send_signal(by)
        return self.ended()

    def ended(self, seconds: float = PATIENCE) -> int:
        """Wait until it has ended by itself; its exit status."""
        status = self.process.wait(seconds)
        self._join()
        return status

    def _join(self) -> None:
        self.process.wait(PATIENCE)
        for reader in self._readers:
            reader.join(PATIENCE)
        for stream in (self.process.stdout, self.process.stderr):
            if stream is not None:
                stream.close()
