"""`nudgebot import FILE`: past runs from a table into a runner's log, shown first and written only when asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TextIO

from sqlalchemy import Connection, Engine

from nudgebot.domain.activity.table import PastRun, RowFault, read_table
from nudgebot.domain.dialogue.values import with_entries
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.parameters import LOG_REACHES
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, due_queue

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
        sorted_ = sort(book, [row for row in rows if isinstance(row, PastRun)], now)
        for what, runs in (("new", sorted_.new), ("in the log already", sorted_.known), ("too old", sorted_.old)):
            out.writelines(f"{_words(each)}: {what}\n" for each in runs)
        if write:
            put(conn, book, sorted_.new, now)
        out.write(_summary(sorted_.new, written=write) + "\n")
    return DONE


def _words(run: PastRun) -> str:
    pulse = "" if run.heart_rate is None else f", heart rate {run.heart_rate}"
    effort = "" if run.effort is None else f", effort {run.effort}"
    return f"{run.day.isoformat()} {run.activity.value} {run.minutes} min{pulse}{effort}"


def _summary(new: Sequence[PastRun], *, written: bool) -> str:
    total = f"{len(new)} runs, {sum(run.minutes for run in new)} min"
    return f"Written: {total}." if written else f"To be written: {total}. Nothing is written yet: add --write."


@dataclass(frozen=True, slots=True)
class Sorted:
    """Past runs by what becomes of them: new ones, those in the log already, those too long ago to matter."""

    new: tuple[PastRun, ...]
    known: tuple[PastRun, ...]
    old: tuple[PastRun, ...]


def sort(book: Book, runs: Sequence[PastRun], now: datetime) -> Sorted:
    """What would become of `runs`; a row that stands in the table twice is two runs only if the log has neither."""
    since = book.today(now) - LOG_REACHES.span
    logged = [(entry.day, entry.minutes, entry.activity) for entry in book.log]
    new: list[PastRun] = []
    known: list[PastRun] = []
    for run in runs:
        if run.day < since:
            continue
        if (run.day, run.minutes, run.activity) in logged:
            logged.remove((run.day, run.minutes, run.activity))
            known.append(run)
        else:
            new.append(run)
    return Sorted(tuple(new), tuple(known), tuple(run for run in runs if run.day < since))


def put(conn: Connection, book: Book, new: Sequence[PastRun], now: datetime) -> Book:
    """The book with the new runs, saved, and its week planned with them."""
    entries = tuple(
        LogEntry(
            f"import:{now.isoformat()}:{n}",
            run.day,
            run.minutes,
            run.activity,
            effort=run.effort,
            heart_rate=run.heart_rate,
            noted_at=now,
        )
        for n, run in enumerate(new)
    )
    after = with_entries(book, entries)
    if not isinstance(after.standing, Joining):
        today = after.today(now)
        after = planner.roll(after, today)
        after, _ = planner.replan(after, today, planner.today_closed(after.profile, after.local(now)))
    book_repository.save(conn, book, after)
    due_queue.set_next(conn, book.runner.id, nudges.next_look(after, now))
    return after
