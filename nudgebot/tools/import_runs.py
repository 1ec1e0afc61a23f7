"""`nudgebot import FILE`: past runs from a table into a runner's log, shown first and written only when asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TextIO

from sqlalchemy import Engine

from nudgebot.app import past_runs
from nudgebot.domain.activity.table import PastRun, RowFault, read_table
from nudgebot.storage import book_repository

DONE, BAD_INPUT = 0, 2


def run(engine: Engine, who: str, text: str, now: datetime, out: TextIO, err: TextIO, *, write: bool) -> int:
    """Prints what each row of `text` is and what becomes of it; 2, and nothing written, where anything is wrong."""
    with engine.begin() as conn:
        everyone = (book_repository.load(conn, each) for each in book_repository.all_ids(conn))
        found = [book for book in everyone if who in {str(book.runner.id), book.runner.user, book.runner.name}]
        if len(found) != 1:
            err.write(f"nudgebot: {len(found) or 'no'} runners are called {who}; give one runner's number\n")
            return BAD_INPUT
        book = found[0]
        rows = read_table(text, book.today(now))
        faults = [row for row in rows if isinstance(row, RowFault)]
        if faults:
            err.writelines(f"nudgebot: {fault}\n" for fault in faults)
            return BAD_INPUT
        sorted_ = past_runs.sort(book, [row for row in rows if isinstance(row, PastRun)], now)
        for what, runs in (("new", sorted_.new), ("in the log already", sorted_.known), ("too old", sorted_.old)):
            out.writelines(f"{_words(each)}: {what}\n" for each in runs)
        if write:
            past_runs.put(conn, book, sorted_.new, now)
        out.write(_summary(sorted_.new, written=write) + "\n")
    return DONE


def _words(run: PastRun) -> str:
    pulse = "" if run.heart_rate is None else f", heart rate {run.heart_rate}"
    effort = "" if run.effort is None else f", effort {run.effort}"
    return f"{run.day.isoformat()} {run.activity.value} {run.minutes} min{pulse}{effort}"


def _summary(new: Sequence[PastRun], *, written: bool) -> str:
    total = f"{len(new)} runs, {sum(run.minutes for run in new)} min"
    return f"Written: {total}." if written else f"To be written: {total}. Nothing is written yet: add --write."
