"""What a round costs as the runners grow, against the framework's own job queue with a job a runner.

    python -m tests.bench.store --runners 100000
    python -m tests.bench.store --runners 1000000 --no-queue

Each measure is a process of its own: how long to the end of the first round, its peak memory, and how long a round
takes with 0, 100 and 1,000 runners due. The queue's jobs do nothing and are not kept on disk. Prints ratios; times
depend on the host.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from datetime import time as wall
from pathlib import Path
from typing import Any

from sqlalchemy import text

from nudgebot.app import scheduler
from nudgebot.domain.model.runner import Training
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.storage import book_repository, due_queue, schema
from nudgebot.storage.database import open_database

JOINED = datetime(2027, 1, 3, 12, tzinfo=UTC)
BEFORE_ALL = datetime(2027, 1, 3, 13, tzinfo=UTC)
MORNING = datetime(2027, 1, 4, 7, tzinfo=UTC)
ANSWERS = {
    "adult": "yes", "active": "yes", "goal": "health", "weekly": "90", "longest": "40",
    "days": "mon 60, wed 60, sat 90", "long_day": "sat", "zone": "Europe/London",
}  # fmt: skip


def fill(url: str, runners: int, voice: str = "talk", named: str = "runner ", at: datetime = JOINED) -> None:
    """One runner as a real intake leaves them at `at`, and as many copies as are wanted, named by number."""
    engine = open_database(url)
    with engine.begin() as conn:
        blank = book_repository.create(conn, voice, f"{named}1", "Marta", at)
        book = replace(
            blank,
            intake=intake_codec.from_rows(ANSWERS),
            profile=intake.profile(intake_codec.from_rows(ANSWERS)),
            standing=Training(),
        )
        book = planner.begin(book, at.date(), now_closed=False)
        book_repository.save(conn, blank, book)
        due_queue.set_next(conn, 1, nudges.next_look(book, at))
    numbers = f"WITH RECURSIVE n(i) AS (SELECT 2 UNION ALL SELECT i + 1 FROM n WHERE i < {runners})"
    with engine.begin() as conn:
        for table in schema.metadata.sorted_tables:
            columns = [c.name for c in table.columns]
            if table is schema.runners:
                taken = ["i" if c == "id" else f"'{named}' || i" if c == "user" else f't."{c}"' for c in columns]
                where = "t.id = 1"
            elif "runner_id" in columns:
                own_id = table.primary_key.columns.keys() == ["id"]
                columns = [c for c in columns if not (own_id and c == "id")]
                taken = ["i" if c == "runner_id" else f't."{c}"' for c in columns]
                where = "t.runner_id = 1"
            else:
                continue
            names = ", ".join(f'"{c}"' for c in columns)
            conn.execute(
                text(
                    f'INSERT INTO "{table.name}" ({names}) {numbers} SELECT {", ".join(taken)} '
                    f'FROM (SELECT * FROM "{table.name}" AS t WHERE {where}) AS t, n WHERE {runners} > 1'
                )
            )
    engine.dispose()


def ours(url: str) -> dict[str, float]:
    """Start to the end of the first round, peak memory, and rounds with so many due."""
    imported, begun = _peak(), time.perf_counter()
    engine = open_database(url)
    assert scheduler.tick(engine, BEFORE_ALL, "talk") == 0
    seen = {"start": time.perf_counter() - begun, "memory": _peak(), "memory beyond imports": _peak() - imported}
    seen["0 due"] = _best(lambda: scheduler.tick(engine, BEFORE_ALL, "talk"), 20)
    offset = 1
    for many in (100, 1000):
        with engine.begin() as conn:
            conn.execute(
                text("UPDATE runners SET next_due = :at WHERE id BETWEEN :first AND :last"),
                {"at": _stamp(MORNING) - 1, "first": offset, "last": offset + many - 1},
            )
            conn.execute(
                text("UPDATE runners SET next_due = :at WHERE id >= :first"),
                {"at": _stamp(MORNING + timedelta(days=1)), "first": offset + many},
            )
        offset += many
        begun, looked = time.perf_counter(), 0
        while (done := scheduler.tick(engine, MORNING, "talk")) > 0:
            looked += done
        seen[f"{many} due"] = time.perf_counter() - begun
        assert looked == many, looked
    seen["memory after"] = _peak()
    engine.dispose()
    return seen


def queue(runners: int) -> dict[str, float]:
    """The framework's job queue, a daily job a runner, to the moment it runs."""
    import asyncio

    from telegram.ext import JobQueue

    async def nothing(_: Any) -> None:
        return

    async def start() -> float:
        begun = time.perf_counter()
        jobs: JobQueue[Any] = JobQueue()
        for number in range(runners):
            jobs.run_daily(nothing, wall(6, 45, tzinfo=UTC), name=f"runner {number}", chat_id=number)
        await jobs.start()
        took = time.perf_counter() - begun
        await jobs.stop(wait=False)
        return took

    imported = _peak()
    return {"start": asyncio.run(start()), "memory": _peak(), "memory beyond imports": _peak() - imported}


def _stamp(at: datetime) -> int:
    return int(at.timestamp() * 1_000_000)


def _peak() -> float:
    """Peak memory (MB) since this program was loaded; getrusage would still show its parent's, from before."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.partition("VmHWM:")[2].split()[0]) / 1024


def _best(work: Callable[[], object], times: int) -> float:
    best = float("inf")
    for _ in range(times):
        begun = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begun)
    return best


def _apart(*words: str) -> dict[str, float]:
    """The same module in a process of its own; what it measured."""
    done = subprocess.run([sys.executable, "-m", "tests.bench.store", *words], capture_output=True, text=True)
    if done.returncode:
        sys.exit(done.stderr)
    seen: dict[str, float] = json.loads(done.stdout)
    return seen


def main() -> None:
    """Fill, measure, compare."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--runners", type=int, default=100_000)
    parser.add_argument("--no-queue", action="store_true", help="leave out the job queue")
    parser.add_argument("--ours", metavar="URL", help=argparse.SUPPRESS)
    parser.add_argument("--queue", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.ours:
        print(json.dumps(ours(asked.ours)))
        return
    if asked.queue:
        print(json.dumps(queue(asked.runners)))
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "many.db"
        begun = time.perf_counter()
        fill(f"sqlite:///{path}", asked.runners)
        size = path.stat().st_size / asked.runners
        print(f"{asked.runners:,} runners, {size:,.0f} bytes each, filled in {time.perf_counter() - begun:.1f} s")
        alone = Path(folder) / "few.db"
        fill(f"sqlite:///{alone}", 2_000)
        few = _apart("--ours", f"sqlite:///{alone}")
        many = _apart("--ours", f"sqlite:///{path}")
    print(f"{'':24}{'2,000':>12}{asked.runners:>12,}{'ratio':>8}")
    for name in many:
        unit, scale = ("MB", 1.0) if name.startswith("memory") else ("ms", 1000.0)
        a, b = few[name] * scale, many[name] * scale
        print(f"{name:<24}{a:>9.1f} {unit}{b:>9.1f} {unit}{b / max(a, 0.1):>8.2f}")
    if not asked.no_queue:
        jobs = _apart("--queue", "--runners", str(asked.runners))
        print(
            f"job queue: start {jobs['start']:.2f} s, {jobs['start'] / many['start']:.0f} times ours; "
            f"memory {jobs['memory']:.0f} MB, {jobs['memory'] / many['memory']:.1f} times ours; "
            f"beyond imports {jobs['memory beyond imports']:.0f} MB against {many['memory beyond imports']:.1f} MB"
        )


if __name__ == "__main__":
    main()
