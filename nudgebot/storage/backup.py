"""Copies of the database: taken while the bot runs, read back before they count, and put back while it does not.

SQLite's backup API copies one state of the file in one step; in several, a busy writer would make it start again and
again (sqlite.org/backup.html). A copy is one file, mode 600, with nothing beside it.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy import Engine

from nudgebot.storage.database import file_of, fold_log, on_a_server, opened, sqlite_fault
from nudgebot.storage.faults import BadAddress, OlderVersion, StoreFault
from nudgebot.storage.holding import hold

STAMP: Final = "%Y%m%dT%H%M%SZ"
_NAME: Final = re.compile(r"nudgebot-([0-9]{8}T[0-9]{6}Z)\.db")


def backup(url: str, folder: Path, now: datetime, keep: timedelta) -> tuple[Path, int]:
    """A new copy of the database in `folder`, and how many copies older than `keep` were deleted.

    The newest copy stays whatever its age. Raises StoreFault where there is no database, or the copy is not whole.
    """
    _refuse_a_server(url, "pg_dump")
    path = file_of(url)
    if path is None or not path.exists():
        raise StoreFault("there is no database {}", path or "in memory to copy")
    copy = folder / f"nudgebot-{now.astimezone(UTC).strftime(STAMP)}.db"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreFault("cannot make the folder {}: {}", folder, error.strerror) from error
    with _connected(path) as source:
        _copy(source, copy)
    gone = 0
    for old, at in _copies(folder):
        if old != copy and at < now - keep:
            old.unlink()
            gone += 1
    return copy, gone


def restore(url: str, copy: Path, now: datetime) -> Path | None:
    """Puts `copy` in the place of the database; where the one that was there is kept, None if there was none.

    Raises StoreFault, and changes nothing, while a nudgebot uses the database, or where the copy is not whole or not
    of a version that this one can read.
    """
    _refuse_a_server(url, "pg_restore")
    path = file_of(url)
    if path is None:
        raise StoreFault("a database in memory cannot be restored")
    if not copy.is_file():
        raise StoreFault("there is no copy {}", copy)
    with hold(url, alone=True) as held:
        fresh = path.with_name(f"{path.name}.restoring")
        try:
            with _connected(copy) as source:
                if "alembic_version" not in _rows(source):
                    raise StoreFault("{} is not a database of nudgebot", copy)
                _copy(source, fresh)
            # Raises where the copy is of a newer version; an older one is brought up to date by the next start.
            with suppress(OlderVersion), opened(f"sqlite:///{fresh}", create=False) as engine:
                fold_log(engine)
            kept = _set_aside(path, now)
            fresh.replace(path)
        except StoreFault as fault:
            raise StoreFault("{}", str(fault).replace(str(fresh), str(copy))) from fault
        finally:
            for left in path.parent.iterdir():
                if left.name.startswith(fresh.name):
                    left.unlink()
        held.remember()
    return kept


def _refuse_a_server(url: str, tool: str) -> None:
    if on_a_server(url):
        raise BadAddress("PostgreSQL has its own copies: use {} (docs/scaling.md says how)", tool)


def rescue(engine: Engine, path: Path, now: datetime) -> Path | None:
    """What is kept of a database whose file is gone, from the connections that still hold it open; None if nothing."""
    copy = path.with_name(f"{path.name}.rescued-{now.astimezone(UTC).strftime(STAMP)}")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)  # it may have gone with its folder
        raw = engine.raw_connection()
        try:
            source = raw.driver_connection
            if not isinstance(source, sqlite3.Connection):
                return None
            _copy(source, copy)
        finally:
            raw.close()
    except (StoreFault, sqlite3.Error, OSError):
        return None
    return copy


def _copy(source: sqlite3.Connection, to: Path) -> None:
    """Writes one state of `source` to the file `to`, whole or not at all, and reads it back."""
    draft = to.with_name(f"{to.name}.part")
    try:
        os.close(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC, 0o600))
        source.execute("BEGIN").close()  # what is counted is then what is copied, whoever writes meanwhile
        try:
            counted = _rows(source)
            with closing(sqlite3.connect(draft)) as target:
                source.backup(target)
                target.execute("PRAGMA journal_mode=DELETE").close()
        finally:
            source.execute("ROLLBACK").close()
        _read_back(draft, counted)
        _to_disk(draft)
        draft.replace(to)
        _to_disk(to.parent)
    except OSError as error:
        raise StoreFault("cannot write {}: {}", to, error.strerror) from error
    except sqlite3.Error as error:
        raise sqlite_fault(error, to) from error
    finally:
        for left in (draft, *_beside(draft)):
            left.unlink(missing_ok=True)


def _read_back(copy: Path, counted: dict[str, int]) -> None:
    with closing(sqlite3.connect(f"{copy.resolve().as_uri()}?mode=ro", uri=True)) as conn:
        sound = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        whole = conn.execute("PRAGMA foreign_key_check").fetchone() is None
        if not (sound and whole and _rows(conn) == counted):
            raise StoreFault("the copy {} is not whole; the disk, or the database itself, is damaged", copy)


def _rows(conn: sqlite3.Connection) -> dict[str, int]:
    """How many rows each table has."""
    tables = [name for (name,) in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()]
    return {name: conn.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in tables}


@contextmanager
def _connected(path: Path) -> Iterator[sqlite3.Connection]:
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, isolation_level=None)) as conn:
            conn.execute("PRAGMA schema_version").close()
            yield conn
    except sqlite3.Error as error:
        raise sqlite_fault(error, path) from error


def _set_aside(path: Path, now: datetime) -> Path | None:
    """Gives the database another name, the files of its log with it; that name, None if there was none."""
    if not path.exists():
        for left in _beside(path):
            left.unlink(missing_ok=True)
        return None
    kept = path.with_name(f"{path.name}.replaced-{now.astimezone(UTC).strftime(STAMP)}")
    for old, new in zip((path, *_beside(path)), (kept, *_beside(kept)), strict=True):
        if old.exists():
            old.replace(new)
    return kept


def _beside(path: Path) -> tuple[Path, ...]:
    """SQLite's own files beside a database."""
    return tuple(path.with_name(f"{path.name}-{ending}") for ending in ("wal", "shm", "journal"))


def _copies(folder: Path) -> Iterator[tuple[Path, datetime]]:
    """The copies in `folder` and when each was taken, by its name; nothing else that lies there."""
    for each in sorted(folder.iterdir()):
        if found := _NAME.fullmatch(each.name):
            yield each, datetime.strptime(found[1], STAMP).replace(tzinfo=UTC)


def _to_disk(path: Path) -> None:
    place = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(place)
    finally:
        os.close(place)
