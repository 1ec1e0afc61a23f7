"""One `serve` a file: the lock beside it, and whether the file it names is still the one that was opened.

The lock file outlives the process and says which file was in use (process, device, inode). So a start that finds the
lock file and no database knows that one was there, and does not greet everybody as a stranger.
"""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from nudgebot.storage.database import file_of, on_a_server, server
from nudgebot.storage.faults import StoreFault


@dataclass(slots=True)
class Hold:
    """A database file that is held; `path` is None for one in memory, which is always the same."""

    path: Path | None
    lock: int = -1
    opened: tuple[int, int] | None = None

    def remember(self) -> None:
        """The file that is there now is the one in use; the lock file says so too, where the disk has room for it."""
        if self.path is not None:
            self.opened = _identity(self.path)
            with suppress(OSError):
                os.ftruncate(self.lock, 0)
                os.pwrite(self.lock, self._word(), 0)

    def leave_word(self) -> None:
        """The next start knows that a database was in use, even where the lock file went together with it."""
        if self.path is not None and not lock_of(self.path).exists():
            with suppress(OSError):
                lock_of(self.path).write_bytes(self._word())

    def _word(self) -> bytes:
        return " ".join(map(str, (os.getpid(), *(self.opened or ())))).encode()

    def is_the_same(self) -> bool:
        """Whether the path still leads to the file that was remembered."""
        return self.path is None or self.opened == _identity(self.path)


@contextmanager
def hold(url: str, *, alone: bool) -> Iterator[Hold]:
    """Holds the file at `url` as long as the block lasts; the system lets go of it even after a kill.

    `alone` is for `serve` and `restore`, which have the file for themselves; others share. Nothing but the lock file is
    made. Raises StoreFault where the file is held in a way that forbids it. A database in memory is always free; one on
    a server is held there.
    """
    if on_a_server(url):
        with server().hold_server(url, alone=alone):
            yield Hold(None)
        return
    path = file_of(url)
    if path is None:
        yield Hold(None)
        return
    # A file of its own: closing a second descriptor of the database would drop SQLite's own locks on it.
    place = lock_of(path)
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = os.open(place, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise StoreFault("cannot create the database {} and its lock: {}", path, error.strerror) from error
    try:
        try:
            fcntl.flock(lock, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        except OSError as error:
            raise StoreFault("the database {} is in use by another nudgebot", path) from error
        yield Hold(path, lock)
    finally:
        os.close(lock)


def lock_of(path: Path) -> Path:
    """The lock file of a database file."""
    return path.with_name(f"{path.name}.lock")


def refuse_if_gone(held: Hold) -> None:
    """Raises StoreFault where a database was in use at this path and there is none, or an empty file."""
    if held.path is not None and was_there(held.path) and _identity(held.path) is None:
        raise StoreFault(
            "the database {} was in use and is gone; nudgebot restore COPY puts one back, or remove {} to begin anew",
            held.path,
            lock_of(held.path),
        )


def was_there(path: Path) -> bool:
    """Whether a database was ever in use at `path`."""
    try:
        return _remembered(lock_of(path).read_bytes()) is not None
    except OSError:
        return False


def holder(path: Path) -> tuple[int, bool] | None:
    """The process that has the file for itself, and whether it has opened the one that is there; None if none has."""
    try:
        with lock_of(path).open("rb") as lock:
            written = lock.read()
            try:
                fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
            except OSError:
                return int((written.split() or [b"0"])[0]), _remembered(written) == _identity(path)
    except (OSError, ValueError):
        pass
    return None


def _identity(path: Path) -> tuple[int, int] | None:
    """Device and inode of the file; None if there is none, or nothing in it."""
    try:
        found = path.stat()
    except OSError:
        return None
    return (found.st_dev, found.st_ino) if found.st_size else None


def _remembered(written: bytes) -> tuple[int, int] | None:
    words = written.split()
    return (int(words[1]), int(words[2])) if len(words) == 3 else None
