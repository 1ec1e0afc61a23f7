"""Labelled lines said in every standing and to every open question: `python -m tests.lines_in_standings [--lines N]`.

Two things must be 0. A line that tells of an illness or a sign does no less where a question is open than it would do
with none. And no single line, whatever it says, leads a runner who is on hold, ill or walking first back to running.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from nudgebot.domain.model.questions import Ask, Asked
from nudgebot.domain.model.runner import Book, Ill, OnHold, Training, Walking
from tests.domain.dialogue.health.test_hold import CALF, EMERGENCY, HOUR, START, WAYS_OUT, runner, said

LINES = Path(__file__).parent / "corpus" / "lines"
DAY = timedelta(days=1)


def labelled() -> Iterator[tuple[str, str]]:
    """Each line with the level that its label gives it."""
    for path in sorted(LINES.glob("*.jsonl")):
        for line in path.read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            yield row["text"], row.get("triage", "none")


def questions() -> dict[str, Book]:
    """A book with each question open."""
    opened = {what.value: said(runner(), *lines).book for what, (lines, _) in WAYS_OUT.items()}
    day = START.date() - 2 * DAY
    for what in (Ask.ILL_BACK, Ask.LAST_FEVER, Ask.NOT_ILL, Ask.NOT_ILL_SURE, Ask.MORE):
        detail = "fever" if what is Ask.LAST_FEVER else ""
        opened[what.value] = replace(runner(), asked=Asked(what, START, "token", "better", day, detail))
    ill = Ill(day - 3 * DAY, day)
    asked = Asked(Ask.ILL_BACK, START, "token", "better", day)
    return opened | {"ill back, while ill": replace(runner(), standing=ill, asked=asked)}


def paused() -> dict[str, Book]:
    """A book for each standing in which nobody runs, and each step of a clearing."""
    before, held = START - 3 * DAY, said(runner(), CALF, at=START - 3 * DAY).book
    return {
        "urgent": held,
        "emergency": said(runner(), EMERGENCY, at=START - 3 * HOUR).book,
        "ill": said(runner(), "flu, in bed", at=before).book,
        "ill beneath a hold": said(runner(), "fever 39", CALF, at=before).book,
        "walking first": replace(runner(), standing=Walking(before, "screening"), plan=()),
        "clearing asked": said(held, "/back").book,
        "who and when asked": said(held, "/back", "yes").book,
        "the word asked": said(held, "/back", "yes", "Dr Bell, today").book,
    }


def rank(book: Book) -> tuple[int, bool]:
    """How much a standing keeps from running, and whether a question about a sign is open."""
    grade = {Ill: 1, Walking: 1, OnHold: 2}.get(type(book.standing), 0)
    asks = book.safety_question is not None or (book.asked is not None and book.asked.what is Ask.SIGN)
    return grade, asks or grade > 0


def main() -> int:
    """0 if both counts are 0, else 1."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--lines", type=int, default=1_000_000, metavar="N", help="at most so many (default: all)")
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    lines = list(labelled())
    random.Random(asked.seed).shuffle(lines)
    standings, opened = paused(), questions()
    less = freed = complaints = 0
    for text, level in (lines := lines[: asked.lines]):
        for name, book in standings.items():
            if isinstance(said(book, text, at=START + HOUR).book.standing, Training):
                freed += 1
                print(f"freed, {name}: {text}")
        if level == "none":
            continue
        complaints += 1
        alone = rank(said(runner(), text, at=START + HOUR).book)
        for name, book in opened.items():
            after = rank(said(book, text, at=START + HOUR).book)
            if after < max(alone, rank(book) if isinstance(book.standing, Ill) else alone):
                less += 1
                print(f"less, {name}: {text}")
    told = f"{len(lines)} lines in {len(standings)} standings, {complaints} complaints in {len(opened)} open questions"
    print(f"{told}: {freed} freed, {less} did less")
    return 1 if freed or less else 0


if __name__ == "__main__":
    sys.exit(main())
