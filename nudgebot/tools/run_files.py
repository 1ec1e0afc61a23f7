"""Files of runs: `nudgebot read FILE…` says what activity files hold; `nudgebot import FILE` takes a table into a log.

Of what is read nothing is stored. Past runs of a table are shown first, and written only when asked.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Engine

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.activity.table import PastRun, RowFault, read_table
from nudgebot.domain.dialogue.values import with_entries
from nudgebot.domain.messages.runs import NOT_TAKEN, figures, in_band
from nudgebot.domain.model.logbook import BusyTimes, FileFault, LogEntry, Track
from nudgebot.domain.model.parameters import LOG_REACHES
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, due_queue

DONE, BAD_INPUT = 0, 2


def read(
    paths: Iterable[Path],
    zone: ZoneInfo,
    band: tuple[int, int] | None,
    now: datetime,
    out: TextIO,
    err: TextIO,
    *,
    as_json: bool,
) -> int:
    """Prints what each file comes to; 0, or 2 where one of them cannot be used."""
    status = DONE
    for path in paths:
        try:
            with path.open("rb") as stream:
                found = read_file(stream, now)
        except OSError as error:
            err.write(f"nudgebot: cannot read {path}: {error.strerror}\n")
            status = BAD_INPUT
            continue
        if isinstance(found, BusyTimes):
            out.write(f"{path}: a calendar with {len(found.times)} busy times in the next four weeks\n")
        elif isinstance(found, FileFault):
            err.write(f"nudgebot: {path}: {found.value}. {NOT_TAKEN[found]}\n")
            status = BAD_INPUT
        elif as_json:
            out.write(json.dumps({"file": str(path)} | _object(found, zone, band)) + "\n")
        else:
            out.write(f"{path}: {_track_words(found, zone, band)}\n")
    return status


def _track_words(track: Track, zone: ZoneInfo, band: tuple[int, int] | None) -> str:
    kind = track.activity.value if track.activity else "not said what"
    said = f"{track.started_at.astimezone(zone):%Y-%m-%d %H:%M}, {kind}: {figures(track)}."
    if band is not None and track.heart_rate is not None:
        under, inside, over = track.seconds_within(*band)
        said = f"{said} {in_band(inside, under, over, *band)}"
    return said


def _object(track: Track, zone: ZoneInfo, band: tuple[int, int] | None) -> dict[str, Any]:
    """The fields of docs/files.md."""
    found: dict[str, Any] = {
        "start": track.started_at.astimezone(zone).isoformat(),
        "date": track.started_at.astimezone(zone).date().isoformat(),
        "activity": track.activity.value if track.activity else None,
        "moving_seconds": track.moving_seconds,
        "total_seconds": track.total_seconds,
        "distance_m": track.distance_m,
        "climb_m": track.climb_m,
        "heart_rate": track.heart_rate,
    }
    if band is not None:
        found |= dict(zip(("under_seconds", "in_seconds", "over_seconds"), track.seconds_within(*band), strict=True))
    return found


def import_runs(engine: Engine, who: str, text: str, now: datetime, out: TextIO, err: TextIO, *, write: bool) -> int:
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
            out.writelines(f"{_run_words(each)}: {what}\n" for each in runs)
        if write:
            put(conn, book, sorted_.new, now)
        out.write(_summary(sorted_.new, written=write) + "\n")
    return DONE


def _run_words(run: PastRun) -> str:
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
