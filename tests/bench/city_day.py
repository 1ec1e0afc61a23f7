"""One day of a million runners through the decision core alone: no store, no network, one process.

    python -m tests.bench.city_day --sample 4000

Each runner of the sample has a book of their own (goals, days and hours vary) and lives one whole Monday: the rounds
that fall due (morning word, check-in, whatever `nudges.next_look` asks for), and, seven in ten, one line of their own,
triaged, read, logged and replanned. The time and memory of the sample are scaled to the million, and the page says so;
`--sample 1000000` runs it whole. No line is like another within a goal, but words repeat, so what the readers keep in
mind helps as it would in a city.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from nudgebot.app.handle_message import warm_up
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.model.nudged import Outcome
from nudgebot.domain.model.runner import Book, Runner, Training
from nudgebot.domain.nudging import nudges, triggers
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake, intake_codec

CITY = 1_000_000
JOINED = datetime(2027, 1, 3, 12, tzinfo=UTC)
DAY = datetime(2027, 1, 4, tzinfo=UTC)  # a Monday
WRITES = 0.7  # of the runners say a line that day
LINES = (
    "{} easy", "{} min done", "ran {} min, felt good", "easy {} before work", "did {} tonight", "bike {}",
    "busy tomorrow", "kid sick, tomorrow?", "my calf is a bit tight", "no run today", "how is my week?",
)  # fmt: skip


def joined(number: int, dice: random.Random) -> Book:
    """A runner as an intake leaves them."""
    told = intake_codec.from_rows(
        {
            "adult": "yes", "active": "yes", "goal": dice.choice(("health", "fat loss", "endurance", "maintain")),
            "weekly": str(dice.randrange(40, 160, 5)), "longest": str(dice.randrange(20, 60, 5)),
            "days": dice.choice(("mon 60, wed 60, sat 90", "tue 45, thu 45, sun 90", "mon 45, tue 45, sun 100")),
            "long_day": "", "zone": dice.choice(("Europe/London", "Europe/Lisbon", "Europe/Berlin")),
            "remind_at": dice.choice(("06:30", "07:00", "07:45")),
        }
    )  # fmt: skip
    person = Runner(number, "talk", str(number), f"Runner {number}", joined_at=JOINED, last_heard=JOINED)
    book = Book(person, intake=told, profile=intake.profile(told), standing=Training())
    return planner.begin(book, JOINED.date(), now_closed=False)


def live(book: Book, dice: random.Random, counted: Counter[str]) -> Book:
    """The runner's day: every look that falls due, and perhaps a line."""
    said_at = DAY + timedelta(minutes=dice.randrange(6 * 60, 22 * 60)) if dice.random() < WRITES else None
    at: datetime | None = DAY
    while at is not None and at < DAY + timedelta(days=1):
        if said_at is not None and said_at <= at:
            text = dice.choice(LINES).format(dice.randrange(15, 70))
            done = answer(book, Heard(f"k{book.runner.id}", text, said_at, said_at))
            counted["lines"] += 1
            book, said_at = done.book, None
        book = planner.roll(book, book.today(at))
        called = triggers.find_calls(book, at)
        for verdict in nudges.settle_due(book, at, called):
            counted["nudges"] += verdict.nudged.outcome is Outcome.SENT
            book = replace(book, nudges=(*book.nudges, verdict.nudged))
        counted["looks"] += 1
        after = nudges.next_look(book, at, called)
        after = None if after is None else max(after, at + timedelta(minutes=1))
        at = min((each for each in (after, said_at) if each is not None), default=None)
    return book


def _memory() -> float:
    """MB in use now (proc(5), VmRSS)."""
    return int(Path("/proc/self/status").read_text(encoding="ascii").partition("VmRSS:")[2].split()[0]) / 1024


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.city_day", description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--sample", type=int, default=4000, help="runners that are lived (default: 4000)")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    dice = random.Random(options.seed)
    warm_up()
    base, began = _memory(), time.process_time()
    books = [joined(number, dice) for number in range(1, options.sample + 1)]
    planned, grown = time.process_time() - began, _memory() - base
    counted: Counter[str] = Counter()
    began = time.process_time()
    books = [live(book, dice, counted) for book in books]
    took = time.process_time() - began
    times = CITY / options.sample
    print("run whole" if times == 1 else f"a sample of {options.sample}, scaled by {times:.0f}")
    print(
        f"  first plans      {planned * times / 60:8.1f} min CPU   {1000 * planned / options.sample:6.2f} ms a runner"
    )
    print(f"  the day          {took * times / 60:8.1f} min CPU   {1000 * took / options.sample:6.2f} ms a runner")
    print(
        "  of it            "
        + ", ".join(f"{counted[each] * times:,.0f} {each}" for each in ("looks", "lines", "nudges"))
    )
    print(f"  books in memory  {grown * times / 1024:8.1f} GB        {1024 * grown / options.sample:6.1f} KB a runner")
    print(f"  one core has     {24 * 60:8d} min a day")
    return 0


if __name__ == "__main__":
    sys.exit(main())
