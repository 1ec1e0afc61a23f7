"""The words about a run that came as a file: what it holds, and why a file is not taken."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import capital, distance_words, entry_words, on_day
from nudgebot.domain.model.actions import ChosenValue
from nudgebot.domain.model.logbook import Activity, FileFault, LogEntry, Recording, Track, whole_minutes

NOT_TAKEN: Final[Mapping[FileFault, str]] = {
    FileFault.NOT_READABLE: "I cannot read that file. I read GPX (also zipped or gzipped) and calendars (.ics).",
    FileFault.BROKEN: "That file is cut off or damaged, so I took nothing from it. Please send it again.",
    FileFault.TOO_LARGE: "That file is too large for me, so I took nothing from it. Zipped it may fit.",
    FileFault.SEVERAL: "There is more than one file in there. Please send them one by one.",
    FileFault.NO_TIMES: "That file has a route but no times, so I cannot tell how long it took.",
    FileFault.DISORDERED: "The times in that file run backwards, so I took nothing from it.",
    FileFault.TOO_SHORT: "That file holds less than a minute, so I took nothing from it.",
    FileFault.TOO_LONG: "That file holds more than ten hours. Please write me the minutes instead.",
    FileFault.STILL: "There is no movement in that file, so I took nothing from it. If you ran, write me the minutes.",
    FileFault.NOT_YET: "The times in that file are in the future, so its clock was wrong. Please write me the minutes.",
    FileFault.TOO_OLD: "That run is too long ago to matter to the plan, so I took nothing from it.",
    FileFault.NOT_REACHED: "I could not fetch that. Please try again in a while.",
    FileFault.NOT_ALLOWED: "I only fetch public addresses that begin with https://.",
}

FOOT: Final = 0.3048  # m; exact, as the mile
KINDS: Final = (
    ("A run", ChosenValue(Activity.RUN.value)),
    ("A walk", ChosenValue(Activity.WALK.value)),
    ("A bike ride", ChosenValue(Activity.BIKE.value)),
    ("Something else", ChosenValue(Activity.OTHER.value)),
)
WHAT_KIND: Final = "What was it? Nothing is counted until you say."
IN_THE_LOG: Final = "That run is in the log already, from a file. Nothing is counted twice."
LATER: Final = "The file has to wait: answer this first, then send it again."
GONE: Final = "I no longer have that file. Please send it again."


def minutes_words(seconds: int) -> str:
    """Seconds as whole minutes, to the nearest: "42 min"."""
    return f"{whole_minutes(seconds)} min"


def figures(track: Track | Recording, *, miles: bool = False) -> str:
    """What a track comes to, in one line: "42 min (45 with breaks), 7.1 km, 60 m up, heart rate 141"."""
    moving, total = whole_minutes(track.moving_seconds), whole_minutes(track.total_seconds)
    parts = [f"{moving} min" if total <= moving + 1 else f"{moving} min ({total} with breaks)"]
    if track.distance_m is not None:
        parts.append(distance_words(track.distance_m, miles=miles))
    if track.climb_m:
        parts.append(f"{round(track.climb_m / FOOT)} feet up" if miles else f"{track.climb_m} m up")
    if track.heart_rate is not None:
        parts.append(f"heart rate {track.heart_rate}")
    return ", ".join(parts)


def in_band(inside: int, under: int, over: int, low: int, high: int) -> str:
    """Minutes in the easy band, under and over it (given in seconds)."""
    beside = [
        f"{minutes_words(each)} {where}" for each, where in ((under, "under it"), (over, "over it")) if each >= 30
    ]
    return "; ".join([f"In your easy range ({low} to {high}): {minutes_words(inside)}", *beside]) + "."


def caption(recording: Recording, today: date, *, miles: bool = False) -> str:
    """The words of the picture of a run, and all that is said of its file."""
    lines = [f"Your file, {on_day(recording.day, today)}: {figures(recording, miles=miles)}."]
    if recording.low is not None and recording.high is not None:
        inside, under, over = recording.inside or 0, recording.under or 0, recording.over or 0
        lines.append(in_band(inside, under, over, recording.low, recording.high))
    return "\n".join(lines)


def same_run(entry: LogEntry, today: date) -> str:
    """A file and a line told of one run; it counts once."""
    return f"{capital(on_day(entry.day, today))}'s {entry_words(entry)} and the file are one run: it counts once."
