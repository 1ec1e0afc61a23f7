"""What a file is, is seen in its content; archives open, bombs do not go off."""

from __future__ import annotations

import gzip
import io
import tracemalloc
import zipfile

import pytest

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.activity import gpx
from nudgebot.domain.model.logbook import FileFault, Track
from tests import gpx_files as files


def zipped(*members: tuple[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return out.getvalue()


PLAIN = files.run_of()


@pytest.mark.parametrize(
    "content",
    [
        PLAIN,
        gzip.compress(PLAIN),
        zipped(("run.txt", PLAIN)),
        zipped(("__MACOSX/._run.gpx", b"x"), ("folder/", b""), ("run.gpx", PLAIN)),
        PLAIN.decode().replace("UTF-8", "UTF-16").encode("utf-16"),
        b"\xef\xbb\xbf" + PLAIN,
    ],
    ids=["plain", "gzip", "zip", "zip with what a desktop adds", "UTF-16", "byte order mark"],
)
def test_the_same_run_is_read_however_it_is_packed(content: bytes) -> None:
    found = read_file(io.BytesIO(content), files.START)
    assert isinstance(found, Track)
    assert found.minutes == 40


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (gzip.compress(PLAIN)[:-200], FileFault.BROKEN),
        (gzip.compress(PLAIN)[:400] + bytes(400), FileFault.BROKEN),
        (zipped(("a.gpx", PLAIN))[:-40], FileFault.BROKEN),
        (zipped(("a.gpx", PLAIN), ("b.gpx", PLAIN)), FileFault.SEVERAL),
        (zipped(), FileFault.NOT_READABLE),
        (zipped(*((f"{n}", b"") for n in range(3_000))), FileFault.SEVERAL),
        (zipped(("a.gpx", PLAIN), method=zipfile.ZIP_LZMA), FileFault.NOT_READABLE),
        (zipped(("inner.zip", zipped(("a.gpx", PLAIN)))), FileFault.NOT_READABLE),
        (b"PK\x03\x04" + bytes(100), FileFault.BROKEN),
        (b"\x1f\x8b", FileFault.BROKEN),
    ],
)
def test_a_broken_or_odd_archive_is_a_fault(content: bytes, fault: FileFault) -> None:
    assert read_file(io.BytesIO(content), files.START) is fault


def test_a_bomb_is_stopped_as_it_streams_by(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpx, "MOST_BYTES", 5_000_000)
    bomb = gzip.compress(b"<gpx>" + b" " * 20_000_000)
    assert len(bomb) < 50_000
    tracemalloc.start()
    assert read_file(io.BytesIO(bomb), files.START) is FileFault.TOO_LARGE
    assert tracemalloc.get_traced_memory()[1] < 4_000_000
    tracemalloc.stop()


def test_too_many_points_or_elements_are_a_fault_before_they_fill_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gpx, "MOST_POINTS", 100)
    assert read_file(io.BytesIO(PLAIN), files.START) is FileFault.TOO_LARGE
    monkeypatch.setattr(gpx, "MOST_ELEMENTS", 50)
    assert read_file(io.BytesIO(PLAIN), files.START) is FileFault.TOO_LARGE
