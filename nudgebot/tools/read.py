"""`nudgebot read FILE…`: what activity files hold, for a shell or another program; nothing is stored."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO
from zoneinfo import ZoneInfo

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.messages.runs import NOT_TAKEN, figures, in_band
from nudgebot.domain.model.logbook import BusyTimes, FileFault, Track

DONE, BAD_INPUT = 0, 2


def run(
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
            out.write(f"{path}: {_words(found, zone, band)}\n")
    return status


def _words(track: Track, zone: ZoneInfo, band: tuple[int, int] | None) -> str:
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
