"""kill -9 at random moments while runners live their weeks: real lines, real rounds, real nudges.

    python -m tests.faults.runners --kills 200

The clock jumps from one nudge to the next, runners log, ask and now and then report a warning sign, the server fails,
hands updates over twice, and `serve` is killed and started again, while nudges leave and while lines come. A trigger in
the database keeps a copy of each letter beside the outbox, whose texts go when they have left; at the end it is held
against what reached the chats. Exit status 1 where a promise is broken.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from pathlib import Path

from nudgebot.channels.telegram.updates import VOICE
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.speech import NUDGE, SAFETY
from nudgebot.storage.letter import sent_once
from tests.bench.store import JOINED, fill
from tests.faults.kill import FAULTS
from tests.servers.fake_telegram import FakeTelegram, message
from tests.servers.running import Running

BEGIN = datetime(2027, 1, 4, 6, tzinfo=UTC)  # Monday morning, in London too
FOLLOWUP = f"{NUDGE}{NudgeKind.SAFETY_FOLLOWUP}"
SIGN = "chest pain and dizzy on the hill"
ASKED = ("/week", "/why", "/easy", "can't today", "/settings")
MOST_HELD = 10  # runners who ever report a sign: afterwards they may not run
WITNESS = """
CREATE TABLE witness (id INTEGER PRIMARY KEY, user TEXT, kind TEXT, reply_to TEXT, text TEXT, state TEXT);
CREATE TRIGGER witness_of AFTER INSERT ON outbox BEGIN
  INSERT INTO witness VALUES (new.id, new.user, new.kind, new.reply_to, new.text, new.state);
END;
CREATE TRIGGER witness_end AFTER UPDATE OF state ON outbox BEGIN
  UPDATE witness SET state = new.state WHERE id = new.id;
END;
"""
OPEN = "SELECT sum(n) FROM (SELECT count(*) n FROM {} UNION ALL SELECT count(*) FROM {})".format(
    "inbox WHERE ended_at IS NULL", "outbox WHERE ended_at IS NULL"
)
DUE = "SELECT count(*) FROM runners WHERE next_due <= {}"
LETTERS = "SELECT user, kind, reply_to, text, state FROM witness"


@dataclass(frozen=True)
class Report:
    """What a soak found; what follows `nudges` up to `stuck` must be 0."""

    kills: int
    days: int
    lines: int
    logged: int
    nudges: int
    lines_without_answer: int
    runs_lost: int
    runs_logged_twice: int
    answers_lost: int
    safety_lost: int
    nudges_doubled: int
    damage: int
    stuck: int
    nudges_unsent: int
    seconds: float

    @property
    def kept(self) -> bool:
        """Whether every promise was kept."""
        return not (
            self.lines_without_answer or self.runs_lost or self.runs_logged_twice or self.answers_lost
            or self.safety_lost or self.nudges_doubled or self.damage or self.stuck
        )  # fmt: skip


@dataclass(frozen=True)
class _Letter:
    """A letter as it was put in the box, and what became of it."""

    user: str
    kind: str
    reply_to: str
    text: str
    state: str

    @property
    def sent_once(self) -> bool:
        """Whether it counts as sent when nobody knows."""
        return sent_once(self.kind)


@dataclass
class Said:
    """What was written: keys of lines, those that report a run, those that tell of a sign."""

    lines: list[str]
    runs: list[str]
    signs: list[str]


def soak(kills: int, runners: int, seed: int, folder: Path, burst: int = 50) -> Report:
    """Kill `kills` times while `runners` live; `seed` decides who writes what, and the moments."""
    dice, begun = random.Random(seed), time.monotonic()
    database, clock = folder / "soak.db", folder / "clock"
    fill(f"sqlite:///{database}", runners, VOICE, "", JOINED)
    with closing(sqlite3.connect(database)) as conn:
        conn.executescript(WITNESS)
    said, ran, held = Said([], [], []), set[tuple[int, str]](), set[int]()

    def look(query: str) -> list[tuple[object, ...]]:
        with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as conn:
            return conn.execute(query).fetchall()

    def one(query: str) -> int:
        return int(str(look(query)[0][0] or 0))

    def now() -> float:
        return time.time() + float(clock.read_text(encoding="ascii"))

    def jump_to(at: float) -> None:
        fresh = clock.with_suffix(".new")
        fresh.write_text(str(at - time.time()), encoding="ascii")
        fresh.replace(clock)

    def write(server: FakeTelegram, number: int) -> None:
        user, at = dice.randint(1, runners), now()
        day = datetime.fromtimestamp(at, UTC)
        text, key = dice.choice(ASKED), f"tg:{user}:{number}"
        if user not in held and dice.random() < 0.01 and len(held) < MOST_HELD:
            held.add(user)
            said.signs.append(key)
            text = SIGN
        elif (
            user not in held
            and dice.random() < 0.5
            and (user, day.date().isoformat()) not in ran
            and 6 <= day.hour < 22
        ):
            ran.add((user, day.date().isoformat()))
            said.runs.append(key)
            text = f"{dice.randint(15, 30)} easy"
        said.lines.append(key)
        update = {"message": message(user, number, text) | {"date": int(at)}}
        update_id = server.push(update)
        if dice.random() < 0.05:
            server.push(update | {"update_id": update_id})

    def idle() -> bool:
        return not server.updates and one(OPEN) == 0 and one(DUE.format(int(now() * 1e6))) == 0

    jump_to(BEGIN.timestamp())
    environ = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real", "BOT_CLOCK": str(clock)}
    with FakeTelegram(delay=0.005, disorderly=True) as server, Running(server.url, database, environ=environ) as bot:
        for _ in range(kills):
            if dice.random() < 0.3:
                server.fail(dice.choice(("sendMessage", "getUpdates")), dice.choice(FAULTS), dice.randint(1, 3))
            jump_to(_next_moment(now(), dice))
            if dice.random() < 0.6:  # else lines and nudges come together
                server.until(idle)
            for _ in range(dice.randint(1, 2 * burst - 1)):
                write(server, len(said.lines) + 1)
            seen, more = len(server.requests), dice.randint(1, burst)  # from the first getMe to the last answer
            server.until(lambda: len(server.requests) >= seen + more or idle())
            bot.kill()
            bot.start()
        server.faults.clear()
        try:
            server.until(lambda: not server.updates and one(OPEN) == 0, seconds=120)
        finally:
            status = bot.end()
        assert status == 0, bot.err[-10:]
    reached = Counter((str(sent.chat), sent.text) for sent in server.sent)
    letters = [_Letter(*map(str, row)) for row in look(LETTERS)]
    nudges = Counter((each.user, each.text) for each in letters if each.sent_once and each.state in ("sent", "unknown"))
    lost = [each for each in letters if not each.sent_once and not reached[each.user, each.text]]
    also_repeated = {(each.user, each.text) for each in letters if not each.sent_once}
    answered = {each.reply_to for each in letters}
    safe = {each.reply_to for each in letters if each.kind == SAFETY}
    logged = Counter(str(key) for (key,) in look("SELECT key FROM log"))
    return Report(
        kills=kills,
        days=len({day for _, day in ran}),
        lines=len(said.lines),
        logged=len(said.runs),
        nudges=sum(min(many, reached[key]) for key, many in nudges.items()),
        lines_without_answer=sum(key not in answered for key in said.lines),
        runs_lost=sum(logged[key] == 0 for key in said.runs),
        runs_logged_twice=sum(many > 1 for many in logged.values()),
        answers_lost=len(lost),
        safety_lost=sum(each.kind in (SAFETY, FOLLOWUP) for each in lost) + sum(key not in safe for key in said.signs),
        nudges_doubled=sum(max(0, reached[key] - nudges[key]) for key in nudges.keys() - also_repeated),
        damage=int(look("PRAGMA integrity_check") != [("ok",)]),
        stuck=one("SELECT count(*) FROM inbox WHERE state != 'done'"),
        nudges_unsent=sum(max(0, many - reached[key]) for key, many in nudges.items()),
        seconds=round(time.monotonic() - begun, 1),
    )


def _next_moment(at: float, dice: random.Random) -> float:
    """A few seconds after the next of the usual times of a nudge; London keeps UTC until the end of March."""
    day = at - at % 86_400
    usual = (day + 3600 * hour for hour in (7, 19, 20.5, 31))
    return next(moment for moment in usual if moment > at) + 5 * dice.random()


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.runners", description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--runners", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--burst", type=int, default=55, help="lines a kill, in the mean")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        report = soak(options.kills, options.runners, options.seed, Path(folder), options.burst)
    for each in fields(Report):
        print(f"{each.name:22} {getattr(report, each.name)}")
    return 0 if report.kept else 1


if __name__ == "__main__":
    sys.exit(main())
