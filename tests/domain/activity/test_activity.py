"""GPX 1.1 to minutes, distance and heart rate, held against the published schema and a second library."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from itertools import pairwise

import gpxpy
import pytest
from gpxpy.gpx import GPX, GPXTrack, GPXTrackPoint, GPXTrackSegment
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.activity.gpx import read_points
from nudgebot.domain.activity.track import activity_called, metres, track_of
from nudgebot.domain.model.logbook import BINS, Activity, BusyTimes, FileFault, Track
from tests import gpx_files as files


def read(content: bytes | str) -> Track | FileFault:
    found = read_file(io.BytesIO(content.encode() if isinstance(content, str) else content), files.START)
    assert not isinstance(found, BusyTimes)
    return found


def track(content: bytes | str) -> Track:
    found = read(content)
    assert isinstance(found, Track), found
    return found


def test_the_distance_is_that_of_the_haversine_formula() -> None:
    # Rosetta Code, task "Haversine formula": Nashville to Los Angeles airport, at the mean radius of 6,371.0 km
    # 2886.44444 km; seen in the task's text.
    assert metres(36.12, -86.67, 33.94, -118.40) == pytest.approx(2_886_444.44, abs=1)
    assert metres(0, 0, 1, 0) == pytest.approx(111_194.93, abs=0.01)  # a degree: 2 pi R / 360
    assert metres(0, 179.5, 0, -179.5) == pytest.approx(111_194.93, abs=0.01)  # across the date line


def test_a_steady_run_has_its_minutes_its_distance_and_its_heart_rate() -> None:
    found = track(files.run_of(40, 131))
    assert (found.started_at, found.minutes, found.total_seconds) == (files.START, 40, 2400)
    assert found.distance_m == pytest.approx(6000, abs=2)
    assert (found.heart_rate, found.seconds_at, found.activity) == (131, ((131, 2400),), Activity.RUN)
    assert found.pulse == (131,) * BINS


def test_a_stop_with_the_receiver_on_is_no_motion_though_its_points_wander() -> None:
    there = [files.point(s, 2.5 * s) for s in range(601)]
    wander = [files.point(600 + s, 1500 + (s % 3) * 1.2, east=(s % 2) * 1.5) for s in range(1, 301)]
    back = [files.point(900 + s, 1500 - 2.5 * s) for s in range(1, 601)]
    found = track(files.gpx([*there, *wander, *back]))
    assert found.total_seconds == 1500
    assert found.moving_seconds == pytest.approx(1200, abs=20)
    assert found.distance_m == pytest.approx(3000, abs=40)


def test_a_receiver_that_was_off_begins_a_segment_and_the_way_between_counts_for_nothing() -> None:
    # GPX 1.1 schema, trksegType: "If GPS reception was lost, or the GPS receiver was turned off, start a new Track
    # Segment for each continuous span of track data."
    far_on = [files.point(1200 + s, 9000 + 2.5 * s, 140) for s in range(0, 601, 5)]
    found = track(files.gpx(files.steady(10), far_on))
    assert found.moving_seconds == 1200
    assert found.distance_m == pytest.approx(3000, abs=2)
    assert found.heart_rate == 135
    assert None in found.pulse


def test_a_treadmill_without_places_counts_the_time_that_was_recorded() -> None:
    found = track(files.gpx([files.point(s, 0, 125) for s in range(0, 1801, 2)]))
    assert (found.minutes, found.distance_m, found.heart_rate) == (30, None, 125)


def test_minutes_in_under_and_over_the_band_add_up_and_its_ends_are_inside() -> None:
    hearts = [110] * 120 + [118] * 120 + [141] * 120 + [142] * 120
    found = track(files.gpx([files.point(5 * n, 12.5 * n, heart) for n, heart in enumerate(hearts)]))
    assert found.seconds_within(118, 141) == (595, 1200, 600)


@pytest.mark.parametrize("heart", [0, 29, 231, 1e9, float("nan")])
def test_what_no_heart_can_do_is_no_heart_rate(heart: float) -> None:
    points = [files.point(5 * n, 12.5 * n, heart if n % 2 else 120) for n in range(120)]
    assert track(files.gpx(points)).heart_rate == 120


def test_climbing_counts_rises_and_not_the_wavering_of_a_receiver() -> None:
    heights = [100.0] * 40 + [100 + n for n in range(31)] + [130 + n % 2 for n in range(40)] + [110.0] * 20
    points = [files.point(5 * n, 12.5 * n, None, height) for n, height in enumerate(heights)]
    assert track(files.gpx(points)).climb_m == pytest.approx(30, abs=1)
    assert track(files.run_of()).climb_m is None


def test_heart_rate_is_found_by_its_local_name_in_any_namespace() -> None:
    other = files.run_of(30, 127).decode().replace("body:", "q:").replace("xmlns:body", "xmlns:q")
    assert track(other).heart_rate == 127
    assert track(other.replace("q:hr", "hr")).heart_rate == 127
    assert track(other.replace("<q:x>", "").replace("</q:x>", "")).heart_rate == 127


def test_a_time_inside_an_extension_is_not_the_points() -> None:
    inside = "<extensions><q:a xmlns:q='urn:q'><q:time>2001-01-01T00:00:00Z</q:time></q:a></extensions></trkpt>"
    assert track(files.run_of().decode().replace("</trkpt>", inside)).started_at == files.START


@pytest.mark.parametrize(
    ("word", "activity"),
    [
        ("Trail Running", Activity.RUN),
        ("cycling", Activity.BIKE),
        ("hiking", Activity.HIKE),
        ("open water swimming", Activity.SWIM),
        ("9", None),
        ("", None),
    ],
)
def test_the_kind_is_what_the_file_says_or_nothing(word: str, activity: Activity | None) -> None:
    assert activity_called(word) is activity
    assert track(files.run_of(kind=word)).activity is activity


def made(count: int, step: float, heart: int) -> GPX:
    """A track that another library builds and writes."""
    segment = GPXTrackSegment()
    for n in range(count):
        at = datetime.fromtimestamp(files.START.timestamp() + 4 * n, UTC)
        place = GPXTrackPoint(48.1 + n * step, 11.5 + n * step / 2, elevation=500 + n % 9, time=at)
        segment.points.append(place)
    whole = GPXTrack()
    whole.segments.append(segment)
    found = GPX()
    found.tracks.append(whole)
    return found


@settings(max_examples=25)
@given(st.integers(30, 400), st.floats(4e-5, 3e-4))
def test_another_library_writes_and_both_read_the_same_distance_and_minutes(count: int, step: float) -> None:
    # gpxpy 1.6: its radius is the equator's (6378.137 km) and it reckons short steps as if flat, so a hundredth apart.
    text = made(count, step, 130).to_xml()
    found, theirs = track(text), gpxpy.parse(text)
    assert found.distance_m == pytest.approx(theirs.length_2d(), rel=0.01, abs=1)
    assert found.total_seconds == theirs.get_duration()
    moving = theirs.get_moving_data(stopped_speed_threshold=1.8)
    assert found.moving_seconds == pytest.approx(moving.moving_time, abs=20)


HOSTILE = {
    "nothing": (b"", FileFault.NOT_READABLE),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(200), FileFault.NOT_READABLE),
    "words": (b"42 min easy", FileFault.NOT_READABLE),
    "another XML": (b"<html><trkpt/></html>", FileFault.NOT_READABLE),
    "an entity": (b'<!DOCTYPE gpx [<!ENTITY a "aaaa">]>' + files.run_of()[40:], FileFault.NOT_READABLE),
    "a file of the host's": (
        b'<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/passwd">]><gpx><name>&x;</name></gpx>',
        FileFault.NOT_READABLE,
    ),
    "cut off": (files.run_of()[:-30], FileFault.BROKEN),
    "an unknown entity": (files.run_of().replace(b"<trk>", b"<trk><name>&x;</name>"), FileFault.BROKEN),
    "deep": (b"<gpx>" + b"<a>" * 100_000, FileFault.BROKEN),
    "deep in a point": (b'<gpx><trk><trkseg><trkpt lat="1" lon="1">' + b"<hr>" * 100_000, FileFault.BROKEN),
    "a long attribute": (b'<gpx a="' + b"a" * 3_000_000 + b'"/>', FileFault.BROKEN),
    "a long number": (
        b'<gpx><trk><trkseg><trkpt lat="1" lon="1"><hr>' + b"1" * 3_000_000 + b"</hr></trkpt></trkseg></trk></gpx>",
        FileFault.BROKEN,
    ),
    "a route": (b'<gpx><rte><rtept lat="1" lon="1"/></rte></gpx>', FileFault.NO_TIMES),
    "no points": (b"<gpx/>", FileFault.NO_TIMES),
    "no times": (b'<gpx><trk><trkseg><trkpt lat="1" lon="1"/></trkseg></trk></gpx>', FileFault.NO_TIMES),
    "1970": (files.run_of().replace(b"2027-", b"1970-"), FileFault.NO_TIMES),
    "backwards": (files.gpx(files.steady(30)[::-1]).encode(), FileFault.DISORDERED),
    "one point": (files.gpx(files.steady(30)[:1]).encode(), FileFault.TOO_SHORT),
    "one moment": (files.gpx([files.point(0, n) for n in range(99)]).encode(), FileFault.TOO_SHORT),
    "twelve hours": (files.gpx(files.steady(720, every=60)).encode(), FileFault.TOO_LONG),
    "a century": (files.gpx([files.point(0, 0), files.point(3e9, 9)]).encode(), FileFault.TOO_LONG),
    "no places at all, and far apart": (
        files.gpx([files.point(0, 0), files.point(900, 0)]).encode(),
        FileFault.STILL,
    ),
}


@pytest.mark.parametrize(("content", "fault"), HOSTILE.values(), ids=HOSTILE.keys())
def test_a_hostile_file_is_a_fault(content: bytes, fault: FileFault) -> None:
    assert read(content) is fault


def test_points_twice_and_a_whole_track_twice_count_once() -> None:
    once = files.steady(30)
    doubled = [each for each in once for _ in (0, 1)]
    assert track(files.gpx(doubled)) == track(files.gpx(once))
    assert track(files.gpx(once, once)) == track(files.gpx(once))


def test_segments_out_of_order_are_put_in_order() -> None:
    one, other = files.steady(10), files.steady(10, begin=1200)
    assert track(files.gpx(other, one)) == track(files.gpx(one, other))


@pytest.mark.parametrize("value", ["nan", "inf", "-91", "181", "1e400", "north", ""])
def test_a_place_that_is_none_is_left_out(value: str) -> None:
    broken = files.run_of().decode().replace(f'lat="{files.LATITUDE:.8f}"', f'lat="{value}"')
    assert track(broken).distance_m == pytest.approx(6000, abs=40)


@settings(max_examples=60)
@given(st.data())
def test_any_bytes_come_to_a_track_or_a_fault(data: st.DataObject) -> None:
    content = bytearray(files.gpx(files.steady(3)).encode())
    for _ in range(data.draw(st.integers(1, 8))):
        place = data.draw(st.integers(0, len(content) - 1))
        content[place : place + data.draw(st.integers(0, 40))] = data.draw(st.binary(max_size=20))
    found = read(bytes(content))
    assert isinstance(found, Track | FileFault)
    if isinstance(found, Track):
        assert 60 <= found.moving_seconds <= found.total_seconds + 1
        assert found.heart_rate is None or 30 <= found.heart_rate <= 230


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(-20, 90), st.integers(-300, 300), st.integers(40, 220)), min_size=2, max_size=80))
def test_motion_is_never_longer_than_the_whole_nor_the_way_shorter_than_nothing(
    steps: list[tuple[int, int, int]],
) -> None:
    seconds = north = 0
    points = []
    for after, away, heart in steps:
        seconds, north = seconds + after, north + away
        points.append(files.point(seconds, north, heart))
    found = read(files.gpx(points))
    if isinstance(found, Track):
        assert found.moving_seconds <= found.total_seconds
        assert sum(lasted for _, lasted in found.seconds_at) <= found.total_seconds + len(found.seconds_at)
        assert all(one[0] < other[0] for one, other in pairwise(found.seconds_at))


def test_a_file_in_pieces_of_one_byte_is_the_same_file() -> None:
    content = files.run_of(10)
    points = read_points(content[n : n + 1] for n in range(len(content)))
    assert not isinstance(points, FileFault)
    assert track_of(points) == track(content)
