"""Runs of the past put into a book: what the log holds already stays once, and the plan is looked at again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.domain.activity.table import PastRun
from nudgebot.domain.dialogue.values import with_entries
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.parameters import LOG_REACHES
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, due_queue


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
