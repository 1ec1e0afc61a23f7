"""Points to a track: minutes in motion, distance, climb and heart rate of one activity.

Nothing here knows a runner; zone and easy band come in later. Every figure is a sum over the intervals between points
that follow each other in time, inside a segment of the file.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from math import asin, cos, isnan, radians, sin, sqrt
from typing import Final

from nudgebot.domain.activity.gpx import TrackPoints
from nudgebot.domain.model.logbook import BINS, Activity, FileFault, Track
from nudgebot.domain.model.parameters import Choice, Rule

EARTH: Final = Rule("mean radius of the Earth", 6371, "km", "haversine", Choice.STANDARD)
STANDING_UNDER: Final = Rule("moving from", 30, "m a minute", "house")
LOOKED_OVER: Final = Rule("stretch over which moving is judged, least", 10, "s", "house")
SAMPLE_UP_TO: Final = Rule("interval over which a heart rate counts, most", 60, "s", "house")
LOST_FROM: Final = Rule("interval without a point that is a pause, however far it led", 300, "s", "house")
INDOORS_UNDER: Final = Rule("distance under which a recording has no places", 100, "m", "house")
RISE: Final = Rule("rise that counts as climbed, least", 3, "m", "house")
LONGEST: Final = Rule("longest activity that is logged", 600, "min", "house")

# What files call an activity, by a part of the word; the first that fits.
_KINDS: Final = (
    (re.compile(r"run|jog|treadmill", re.IGNORECASE), Activity.RUN),
    (re.compile(r"walk", re.IGNORECASE), Activity.WALK),
    (re.compile(r"hik|trek", re.IGNORECASE), Activity.HIKE),
    (re.compile(r"cycl|bik|ride", re.IGNORECASE), Activity.BIKE),
    (re.compile(r"swim", re.IGNORECASE), Activity.SWIM),
    (re.compile(r"row", re.IGNORECASE), Activity.ROW),
    (re.compile(r"ellip", re.IGNORECASE), Activity.ELLIPTICAL),
)


def metres(latitude: float, longitude: float, to_latitude: float, to_longitude: float) -> float:
    """Metres between two places in degrees, on a sphere of the Earth's mean radius (haversine formula)."""
    one, other = radians(latitude), radians(to_latitude)
    lat = sin((other - one) / 2)
    lon = sin(radians(to_longitude - longitude) / 2)
    return 2_000 * EARTH.value * asin(min(sqrt(lat * lat + cos(one) * cos(other) * lon * lon), 1.0))


def activity_called(word: str) -> Activity | None:
    """What a file's own word for the activity says; None for a word that is not known."""
    return next((activity for pattern, activity in _KINDS if pattern.search(word)), None)


def track_of(points: TrackPoints) -> Track | FileFault:
    """What the points come to, or why they are no activity."""
    if not points.times:
        return FileFault.NO_TIMES
    order = _in_time(points)
    if order is None:
        return FileFault.DISORDERED
    first, last = points.times[order.kept[0]], points.times[order.kept[-1]]
    total = last - first
    if total < 60:
        return FileFault.TOO_SHORT
    if total > 24 * 3600:
        return FileFault.TOO_LONG
    moved = _movement(points, order)
    indoors = moved.metres < INDOORS_UNDER.value
    moving = moved.recorded if indoors else moved.seconds
    if moving > 60 * LONGEST.value:
        return FileFault.TOO_LONG
    if moving < 60:
        return FileFault.STILL
    hearts = _hearts(points, order, first, total)
    beating = sum(hearts.seconds.values())
    return Track(
        datetime.fromtimestamp(first, UTC),
        round(total),
        round(moving),
        None if indoors else round(moved.metres),
        _climb(points, order),
        round(sum(heart * lasted for heart, lasted in hearts.seconds.items()) / beating) if beating else None,
        tuple((heart, round(lasted)) for heart, lasted in sorted(hearts.seconds.items())),
        hearts.means if beating else (),
        activity_called(points.kind),
    )


@dataclass(frozen=True, slots=True)
class _Order:
    """The places of the points that are used, in time; `breaks` are those of them that begin a segment."""

    kept: array[int]
    breaks: frozenset[int]


def _in_time(points: TrackPoints) -> _Order | None:
    """Segments by their first time, and in them the points that lead on; None if most of the points lead back."""
    times, ends = points.times, [*points.starts[1:], len(points.times)]
    segments = sorted(zip(points.starts, ends, strict=True), key=lambda each: times[each[0]])
    kept: array[int] = array("l")
    breaks: set[int] = set()
    newest, back = float("-inf"), 0
    for begin, end in segments:
        fresh = True
        for place in range(begin, end):
            if times[place] <= newest:  # the same second twice, the same run twice, or a clock that was set back
                back += place > begin and times[place] < times[place - 1]
                continue
            newest = times[place]
            kept.append(place)
            if fresh:
                breaks.add(place)
                fresh = False
    return _Order(kept, frozenset(breaks)) if 2 * back < len(times) else None


def _intervals(points: TrackPoints, order: _Order) -> Iterator[tuple[int, int, float]]:
    """Two points that follow each other inside a segment, and the seconds between them."""
    times, breaks = points.times, order.breaks
    before = -1
    for place in order.kept:
        if before >= 0 and place not in breaks:
            yield before, place, times[place] - times[before]
        before = place


@dataclass(slots=True)
class _Movement:
    """`seconds` and `metres` in motion; `recorded` the seconds of intervals in which a receiver was on."""

    seconds: float = 0.0
    metres: float = 0.0
    recorded: float = 0.0


def _movement(points: TrackPoints, order: _Order) -> _Movement:
    """How long and how far somebody moved.

    Motion is judged over stretches of ten seconds and more, by how far apart their ends are: a receiver at rest
    wanders from second to second, and does not get anywhere.
    """
    places, came = points.places, _Movement()
    begin, lasted, path = -1, 0.0, 0.0

    def close(end: int) -> None:
        away = metres(places[2 * begin], places[2 * begin + 1], places[2 * end], places[2 * end + 1])
        if 60 * away >= STANDING_UNDER.value * lasted:
            came.seconds += lasted
            came.metres += path

    end = -1
    for one, other, seconds in _intervals(points, order):
        if seconds <= SAMPLE_UP_TO.value:
            came.recorded += seconds
        step = metres(places[2 * one], places[2 * one + 1], places[2 * other], places[2 * other + 1])
        if isnan(step) or seconds > LOST_FROM.value:  # one of the two has no place
            if begin >= 0 and end > begin:
                close(end)
            begin, lasted, path = -1, 0.0, 0.0
            continue
        if begin >= 0 and end != one:  # a new segment
            close(end)
            begin, lasted, path = -1, 0.0, 0.0
        begin = one if begin < 0 else begin
        lasted, path, end = lasted + seconds, path + step, other
        if lasted >= LOOKED_OVER.value:
            close(end)
            begin, lasted, path = -1, 0.0, 0.0
    if begin >= 0:
        close(end)
    return came


@dataclass(slots=True)
class _Hearts:
    """How many seconds each heart rate lasted, and the means of equal shares of the time."""

    seconds: dict[int, float] = field(default_factory=dict)
    means: tuple[int | None, ...] = ()


def _hearts(points: TrackPoints, order: _Order, first: float, total: float) -> _Hearts:
    times, hearts, came = points.times, points.hearts, _Hearts()
    sums, weights = [0.0] * BINS, [0.0] * BINS
    for _, place, seconds in _intervals(points, order):
        heart = hearts[place]
        if isnan(heart) or seconds > SAMPLE_UP_TO.value:
            continue
        whole = round(heart)
        came.seconds[whole] = came.seconds.get(whole, 0.0) + seconds
        share = min(BINS - 1, int((times[place] - first) * BINS / total))
        sums[share] += heart * seconds
        weights[share] += seconds
    came.means = tuple(round(s / w) if w else None for s, w in zip(sums, weights, strict=True))
    return came


def _climb(points: TrackPoints, order: _Order) -> int | None:
    """Metres climbed, counted in rises of three metres and more, since heights waver; None without heights."""
    climbed, low, high, known = 0.0, 0.0, 0.0, False
    for place in order.kept:
        height = points.heights[place]
        if isnan(height):
            continue
        if not known:
            low = high = height
            known = True
        elif height > high:
            high = height
        elif height <= high - RISE.value:
            climbed += high - low if high - low >= RISE.value else 0.0
            low = high = height
        elif high - low < RISE.value and height < low:
            low = high = height
    return round(climbed + (high - low if high - low >= RISE.value else 0.0)) if known else None
