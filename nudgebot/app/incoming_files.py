"""A file that somebody sent, from its bytes to what it tells: by its content, never by its name.

Whatever it holds, this ends: what is unpacked is counted as it streams by, and nothing is written to a disk.
"""

from __future__ import annotations

import gzip
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from datetime import datetime
from itertools import chain, islice
from typing import IO, BinaryIO, Final

from nudgebot.domain.activity.gpx import read_points
from nudgebot.domain.activity.track import track_of
from nudgebot.domain.calendar.busy import LARGEST as LARGEST_CALENDAR
from nudgebot.domain.calendar.busy import read_busy
from nudgebot.domain.model.logbook import FileFault
from nudgebot.domain.model.speech import FileContent

LARGEST: Final = 20 * 2**20  # bytes as sent: what the platform hands on at all (Bot API 10.1, getFile)
CALENDAR: Final = re.compile(rb"(?:\xef\xbb\xbf)?\s*BEGIN:VCALENDAR", re.IGNORECASE)
ADDRESS: Final = re.compile(r"/calendar\s+((?:https?|webcals?)://\S{1,2000})", re.IGNORECASE)
CHUNK: Final = 2**16
LARGEST_DIRECTORY: Final = 2**16  # bytes of an archive's list of files; a list of many is itself a bomb
LONGEST_COMMENT: Final = 2**16
_END: Final = struct.Struct("<4s4H2LH")  # of an archive: APPNOTE 6.3.10, 4.3.16


def read_file(stream: BinaryIO, now: datetime) -> FileContent:
    """The activity or the busy times in a file, plain, gzipped or alone in a ZIP archive, or why none are taken.

    `now` is where the weeks begin whose busy times are looked for.
    """
    head = stream.read(4)
    stream.seek(0)
    if head[:2] == b"\x1f\x8b":
        with gzip.GzipFile(fileobj=stream) as unpacked:
            return _content(_chunks(unpacked), now)
    if head[:4] == b"PK\x03\x04":
        return _archived(stream, now)
    return _content(_chunks(stream), now)


def _archived(stream: BinaryIO, now: datetime) -> FileContent:
    size = stream.seek(0, 2)
    stream.seek(max(0, size - _END.size - LONGEST_COMMENT))
    tail = stream.read()
    place = tail.rfind(b"PK\x05\x06")
    if place < 0 or len(tail) - place < _END.size:
        return FileFault.BROKEN
    if _END.unpack_from(tail, place)[5] > LARGEST_DIRECTORY:
        return FileFault.SEVERAL
    try:
        with zipfile.ZipFile(stream) as archive:
            inside = [each for each in archive.infolist() if not each.is_dir() and not _is_beside(each.filename)]
            if len(inside) != 1:
                return FileFault.SEVERAL
            if inside[0].compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
                return FileFault.NOT_READABLE
            with archive.open(inside[0]) as unpacked:
                return _content(_chunks(unpacked), now)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, ValueError, OSError, EOFError, zlib.error):
        return FileFault.BROKEN


def _is_beside(name: str) -> bool:
    """Whether a file of an archive is what a desktop adds to it by itself."""
    return name.startswith("__MACOSX/") or name.rpartition("/")[2].startswith(".")


def _chunks(stream: IO[bytes] | gzip.GzipFile) -> Iterator[bytes]:
    while chunk := stream.read(CHUNK):
        yield chunk


def _content(chunks: Iterator[bytes], now: datetime) -> FileContent:
    try:
        first = next(chunks, b"")
        if CALENDAR.match(first):
            return read_busy(b"".join((first, *islice(chunks, LARGEST_CALENDAR // CHUNK + 1))), now)
        points = read_points(chain((first,), chunks))
    except (OSError, EOFError, zlib.error, zipfile.BadZipFile):  # what is packed ends early, or is not what it claims
        return FileFault.BROKEN
    return points if isinstance(points, FileFault) else track_of(points)


def address_in(text: str) -> str | None:
    """The address of a calendar that a line asks to be read, None for any other line."""
    found = ADDRESS.fullmatch(text.strip())
    return None if found is None else found[1]
