"""kill -9 at random moments, with a server that fails now and then: what is lost, and what comes twice?

    python -m tests.faults.kill --kills 200

Runners write lines and ask for nudges while `serve` is killed and started again. At the end the promises are counted:
every line acted on exactly once and answered at least once, in order within a chat; every nudge at most once.
Exit status 1 where a promise is broken.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Engine, text

from nudgebot.storage.database import open_database, reading
from tests.servers.fake_telegram import Break, FakeTelegram
from tests.servers.running import Running

FAULTS: tuple[Break | tuple[int, dict[str, int]], ...] = (
    (429, {"retry_after": 1}),
    (500, {}),
    Break.BEFORE,
    Break.AFTER,
    Break.GARBAGE,
)


@dataclass(frozen=True)
class Report:
    """What a soak found. `lost`, `twice_acted`, `out_of_order`, `nudged_twice` and `stuck` must be 0."""

    kills: int
    lines: int
    nudges: int
    lost: int
    twice_acted: int
    out_of_order: int
    nudged_twice: int
    stuck: int
    answered_again: int
    nudges_unsent: int
    seconds: float

    @property
    def kept(self) -> bool:
        """Whether every promise was kept."""
        return not (self.lost or self.twice_acted or self.out_of_order or self.nudged_twice or self.stuck)


def soak(kills: int, runners: int, seed: int, folder: Path, burst: int = 12) -> Report:
    """Kill `kills` times while `runners` write, at most `burst` lines between two.

    `seed` decides who writes what, and the moments.
    """
    dice = random.Random(seed)
    said: dict[int, list[str]] = {user: [] for user in range(101, 101 + runners)}
    begun = time.monotonic()
    database = folder / "soak.db"
    with (
        FakeTelegram(delay=0.005, disorderly=True) as server,
        Running(server.url, database, environ={"BOT_UNLIMITED": "1"}) as bot,
    ):
        for _ in range(kills):
            for _ in range(dice.randint(1, burst)):
                user = dice.choice(sorted(said))
                text = f"{dice.choice(('line', 'line', 'nudge'))} {len(said[user])}"
                said[user].append(text)
                server.say(user, text)
            if dice.random() < 0.3:
                server.fail(dice.choice(("sendMessage", "getUpdates")), dice.choice(FAULTS))
            seen = len(server.requests)
            more = dice.randint(1, 2 * burst)  # killed anywhere from the first getMe to the last answer
            server.until(lambda: len(server.requests) >= seen + more or not server.updates)
            bot.kill()
            bot.start()
        server.faults.clear()
        expected = {
            user: [f"heard: {text}" for text in texts if text.startswith("line")] for user, texts in said.items()
        }
        engine = open_database(f"sqlite:///{database}", create=False)
        settled = Settled(engine)
        try:
            server.until(lambda: not server.updates and settled(), seconds=120)
        except AssertionError:
            print(*settled.still_open(), *bot.err[-20:], sep="\n", file=sys.stderr)
            raise
        finally:
            status = bot.end()
        assert status == 0, bot.err[-10:]
    found = count(server, said, expected, settled, kills, time.monotonic() - begun)
    engine.dispose()
    return found


class Settled:
    """Looks into the database from outside: is everything acted on and sent, and how often?"""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def __call__(self) -> bool:
        return self.number("SELECT (SELECT count(*) FROM inbox WHERE ended_at IS NULL) + "
                           "(SELECT count(*) FROM outbox WHERE ended_at IS NULL)") == 0  # fmt: skip

    def number(self, query: str) -> int:
        """The one number that `query` asks for."""
        return int(str(self._rows(query)[0][0]))

    def still_open(self) -> list[object]:
        """What is not acted on, or not sent."""
        return [
            *self._rows("SELECT 'inbox', key, \"user\", state FROM inbox WHERE ended_at IS NULL"),
            *self._rows("SELECT 'outbox', id, \"user\", state, attempts, not_before, leased_until, why FROM outbox "
                        "WHERE ended_at IS NULL"),
        ]  # fmt: skip

    def _rows(self, query: str) -> Sequence[Sequence[object]]:
        with reading(self._engine) as conn:
            return conn.execute(text(query)).all()


def count(
    server: FakeTelegram,
    said: dict[int, list[str]],
    expected: dict[int, list[str]],
    settled: Settled,
    kills: int,
    seconds: float,
) -> Report:
    lost = again = order = nudged_twice = unsent = 0
    for user, texts in said.items():
        told = Counter(server.texts(user))
        lost += sum(told[answer] == 0 for answer in expected[user])
        again += sum(max(0, told[answer] - 1) for answer in expected[user])
        firsts = [text for text in dict.fromkeys(server.texts(user)) if text in set(expected[user])]
        order += firsts != expected[user]
        nudges = [f"heard: {text}" for text in texts if text.startswith("nudge")]
        nudged_twice += sum(told[nudge] > 1 for nudge in nudges)
        unsent += sum(told[nudge] == 0 for nudge in nudges)
    lines = sum(map(len, said.values()))
    return Report(
        kills=kills,
        lines=lines,
        nudges=lines - sum(map(len, expected.values())),
        lost=lost,
        twice_acted=abs(settled.number("SELECT count(*) FROM outbox WHERE key LIKE 'answer:%'") - lines),
        out_of_order=order,
        nudged_twice=nudged_twice,
        stuck=0 if settled() else 1,
        answered_again=again,
        nudges_unsent=unsent,
        seconds=round(seconds, 1),
    )


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.kill", description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--runners", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--burst", type=int, default=12, help="the most lines between two kills")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        report = soak(options.kills, options.runners, options.seed, Path(folder), options.burst)
    for name in Report.__dataclass_fields__:
        print(f"{name:16} {getattr(report, name)}")
    return 0 if report.kept else 1


if __name__ == "__main__":
    sys.exit(main())
