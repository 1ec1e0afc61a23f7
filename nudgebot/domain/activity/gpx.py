"""GPX 1.1 to points: bytes in, numbers out, whoever wrote the file.

The standard library's expat reads it in a stream: a document with a DTD is refused, so nothing is ever expanded or
fetched, and neither depth, nor the number of elements, nor one long token can use up memory or time. Elements are
known by their local names in any namespace, since heart rate is not in GPX itself and stands in extensions of several.

Sources: the GPX 1.1 schema (topografix.com/GPX/1/1) for elements, bounds and units: latitude and longitude in degrees
(WGS 84), elevation in metres, time in UTC.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Final
from xml.parsers import expat

from nudgebot.domain.model.logbook import FileFault

MOST_BYTES: Final = 400_000_000  # unpacked
MOST_POINTS: Final = 1_500_000  # seventeen days at one a second
MOST_ELEMENTS: Final = 20_000_000
DEEPEST: Final = 64  # elements in each other
LONGEST_TOKEN: Final = 1_000_000  # bytes: an attribute, a comment, the text of a value
LONGEST_VALUE: Final = 64  # signs of a time or a number
FIRST_YEAR: Final = 2000  # receivers without a fix say 1970 or 1980
PULSE: Final = range(30, 231)  # beats a minute that a heart can have; others are a loose strap
UNKNOWN: Final = math.nan

_VALUES: Final = frozenset({"time", "ele", "hr"})


@dataclass(slots=True)
class TrackPoints:
    """The points of all tracks of a file, in its order: a column each.

    `times` seconds since 1970 (UTC), `places` latitude and longitude in turn (degrees), `heights` metres, `hearts`
    beats a minute; NaN where one is not known. `starts` are the points that begin a segment of a track: the schema
    wants a new one after reception was lost or the receiver was off. `kind` is what the file calls the activity.
    """

    times: array[float] = field(default_factory=lambda: array("d"))
    places: array[float] = field(default_factory=lambda: array("d"))
    heights: array[float] = field(default_factory=lambda: array("f"))
    hearts: array[float] = field(default_factory=lambda: array("f"))
    starts: array[int] = field(default_factory=lambda: array("l"))
    kind: str = ""


class _Refused(Exception):  # noqa: N818 - never leaves this module; carries the fault
    def __init__(self, fault: FileFault) -> None:
        super().__init__(fault.value)
        self.fault = fault


def read_points(chunks: Iterable[bytes]) -> TrackPoints | FileFault:
    """The points of a GPX file that comes in `chunks`, or why there are none. Total, bounded in memory and time."""
    reader = _Reader()
    fed = 0
    try:
        for chunk in chunks:
            fed += len(chunk)
            if fed > MOST_BYTES:
                return FileFault.TOO_LARGE
            reader.parser.Parse(chunk, False)
            if fed - reader.parser.CurrentByteIndex > LONGEST_TOKEN or reader.held > LONGEST_TOKEN:
                return FileFault.BROKEN
        reader.parser.Parse(b"", True)
    except _Refused as refused:
        return refused.fault
    except (expat.ExpatError, LookupError, ValueError):  # not XML, cut off, or of an encoding nobody knows
        return FileFault.BROKEN if reader.is_gpx else FileFault.NOT_READABLE
    return reader.points if reader.is_gpx else FileFault.NOT_READABLE


class _Reader:
    """Expat's handlers, and what has been read so far."""

    def __init__(self) -> None:
        self.points = TrackPoints()
        self.is_gpx = False
        self._path: list[str] = []  # local names, the outermost first
        self._elements = 0
        self._locals: dict[str, str] = {}
        self._text: list[str] | None = None
        self._time = self._height = self._heart = UNKNOWN
        self._new_segment = True
        self._in_point = 0  # depth of the open point, 0 for none
        self._place = (UNKNOWN, UNKNOWN)
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.StartDoctypeDeclHandler = self._refuse_dtd

    @property
    def held(self) -> int:
        """How long the text of the open value is so far."""
        return sum(map(len, self._text or ()))

    @staticmethod
    def _refuse_dtd(*_: object) -> None:
        raise _Refused(FileFault.NOT_READABLE)

    def _local(self, name: str) -> str:
        if len(self._locals) > 1_000:
            self._locals.clear()
        local = name.rpartition(":")[2]
        self._locals[name] = local
        return local

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = self._locals.get(name) or self._local(name)
        path = self._path
        path.append(local)
        depth = len(path)
        if depth > DEEPEST:
            raise _Refused(FileFault.BROKEN)
        if self._in_point:
            if local in _VALUES:
                self._text = []
                self.parser.CharacterDataHandler = self._text.append
            return
        if local == "trkpt" and depth > 1:
            self._in_point = depth
            self._time = self._height = self._heart = UNKNOWN
            self._place = _place(attributes)
        elif local == "trkseg":
            self._new_segment = True
        elif depth == 1:
            if local != "gpx":
                raise _Refused(FileFault.NOT_READABLE)
            self.is_gpx = True
        elif local == "type" and path[-2] == "trk":
            self._text = []
            self.parser.CharacterDataHandler = self._text.append

    def _end(self, _name: str) -> None:
        path = self._path
        local = path.pop()
        self._elements += 1
        if self._elements > MOST_ELEMENTS:
            raise _Refused(FileFault.TOO_LARGE)
        if self._text is not None:
            text = "".join(self._text).strip()[:LONGEST_VALUE]
            self._text = None
            self.parser.CharacterDataHandler = None
            self._value(local, text, len(path))
        elif len(path) + 1 == self._in_point:
            self._in_point = 0
            self._add()

    def _value(self, local: str, text: str, depth: int) -> None:
        if not self._in_point:
            self.points.kind = self.points.kind or text
        elif local == "hr":
            heart = _number(text)
            self._heart = heart if PULSE.start <= heart < PULSE.stop else UNKNOWN
        elif depth == self._in_point:  # an extension may have a time of its own
            if local == "time":
                self._time = _seconds(text)
            else:
                self._height = _number(text)

    def _add(self) -> None:
        points = self.points
        if self._time != self._time:  # NaN: without a time a point says nothing about minutes
            return
        if self._new_segment:
            points.starts.append(len(points.times))
            self._new_segment = False
        points.times.append(self._time)
        points.places.extend(self._place)
        points.heights.append(self._height)
        points.hearts.append(self._heart)
        if len(points.times) > MOST_POINTS:
            raise _Refused(FileFault.TOO_LARGE)


def _seconds(text: str) -> float:
    """Seconds since 1970 of an ISO 8601 time; one without an offset is UTC, as the schema says. NaN for any other."""
    try:
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=UTC)
        return moment.timestamp() if moment.year >= FIRST_YEAR else UNKNOWN
    except (ValueError, OverflowError):
        return UNKNOWN


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        return UNKNOWN
    return value if abs(value) < 1e6 else UNKNOWN  # NaN and infinity are under nothing


def _place(attributes: dict[str, str]) -> tuple[float, float]:
    """Latitude and longitude (degrees); NaN for both where they are no place on Earth."""
    latitude, longitude = _number(attributes.get("lat", "")), _number(attributes.get("lon", ""))
    on_earth = -90 <= latitude <= 90 and -180 <= longitude <= 180
    return (latitude, longitude) if on_earth else (UNKNOWN, UNKNOWN)
