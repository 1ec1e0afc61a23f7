"""GPX files of invented runs, as text; hostile ones too."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from math import cos, radians

START = datetime(2027, 3, 11, 18, 0, tzinfo=UTC)
HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1" xmlns:body="urn:body">'
)
METRES_A_DEGREE = 111_194.927  # of latitude, on a sphere of 6,371 km
LATITUDE, LONGITUDE = 38.7, -9.1


def point(
    seconds: float, north: float, heart: float | None = None, height: float | None = None, east: float = 0.0
) -> str:
    """A track point so many seconds after START, metres north and east of the place where it begins."""
    at = (START + timedelta(seconds=seconds)).isoformat().replace("+00:00", "Z")
    longitude = LONGITUDE + east / (METRES_A_DEGREE * cos(radians(LATITUDE)))
    extension = "" if heart is None else f"<extensions><body:x><body:hr>{heart}</body:hr></body:x></extensions>"
    ele = "" if height is None else f"<ele>{height}</ele>"
    return (
        f'<trkpt lat="{LATITUDE + north / METRES_A_DEGREE:.8f}" lon="{longitude:.8f}">{ele}<time>{at}</time>'
        f"{extension}</trkpt>"
    )


def gpx(*segments: Sequence[str], kind: str = "running") -> str:
    """A file of one track with these segments of points."""
    said = f"<type>{kind}</type>" if kind else ""
    inside = "".join(f"<trkseg>{''.join(points)}</trkseg>" for points in segments)
    return f"{HEAD}<trk>{said}{inside}</trk></gpx>"


def steady(minutes: int, heart: int | None = 130, speed: float = 2.5, every: int = 5, begin: int = 0) -> list[str]:
    """Points of a run due north at `speed` (m/s), one every so many seconds."""
    return [point(begin + s, speed * s, heart) for s in range(0, 60 * minutes + 1, every)]


def run_of(minutes: int = 40, heart: int | None = 130, kind: str = "running") -> bytes:
    """The file of a steady run."""
    return gpx(steady(minutes, heart), kind=kind).encode()


def million_points(count: int = 1_000_000, every: float = 0.03) -> Iterator[bytes]:
    """A file of that many points with heart rate and height, in pieces: a sensor that writes thirty a second."""
    yield f"{HEAD}<trk><type>running</type><trkseg>".encode()
    lines: list[str] = []
    for n in range(count):
        lines.append(point(n * every, n * every * 2.5, 120 + n % 30, 20 + n % 7))
        if len(lines) == 500:
            yield "\n".join(lines).encode()
            lines = []
    yield f"{''.join(lines)}</trkseg></trk></gpx>".encode()
