"""Small pieces of speech that several messages share: days, sessions, sums, and the rows of `by_language.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from importlib import resources

from nudgebot.domain.model.event import KM_IN_A_MILE
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.week import Session, SessionKind

EASY = "Easy: full sentences, effort 4 of 10 or less."
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

SESSION_WORDS = {
    SessionKind.EASY: "easy run",
    SessionKind.LONG: "long easy run",
    SessionKind.WALK_RUN: "walk-run",
    SessionKind.WALK: "brisk walk",
}
ACTIVITY_WORDS = {
    Activity.RUN: "run",
    Activity.WALK: "walk",
    Activity.BIKE: "bike ride",
    Activity.SWIM: "swim",
    Activity.ROW: "row",
    Activity.HIKE: "hike",
    Activity.ELLIPTICAL: "elliptical",
    Activity.STRENGTH: "strength",
    Activity.MOBILITY: "mobility",
    Activity.OTHER: "other session",
}


def short_day(day: date) -> str:
    """The words "Thu 14 Jan"."""
    return f"{DAY_NAMES[day.weekday()][:3]} {day.day} {MONTHS[day.month - 1]}"


def on_day(day: date, today: date) -> str:
    """The words "today", "tomorrow", "yesterday", a weekday within the next six days, else "Thu 14 Jan"."""
    away = (day - today).days
    if away in {0, 1, -1}:
        return {0: "today", 1: "tomorrow", -1: "yesterday"}[away]
    return DAY_NAMES[day.weekday()] if 1 < away < 7 else short_day(day)


def from_to(low: int, high: int) -> str:
    """The words "150 to 180", or one number."""
    return f"{low} to {high}" if low < high else f"{high}"


def and_list(words: Sequence[str]) -> str:
    """The words "a, b and c"."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


def count_of(number: int, thing: str) -> str:
    """The words "1 runner", "2 runners"."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def stretches_of(days: Iterable[date], name: Callable[[date], str], name_end: Callable[[date], str]) -> list[list[str]]:
    """The names of days in order, stretch by stretch of days in a row; one of three or more as "its first to its last",
    with `name_end` for both ends."""
    spans: list[list[date]] = []
    for day in sorted(set(days)):
        if spans and day - spans[-1][-1] == timedelta(days=1):
            spans[-1].append(day)
        else:
            spans.append([day])
    return [
        [f"{name_end(span[0])} to {name_end(span[-1])}"] if len(span) > 2 else [name(day) for day in span]
        for span in spans
    ]


def days_list(days: Iterable[date], today: date) -> str:
    """Days in reading order; three or more in a row as a range."""
    return and_list([word for span in stretches_of(days, lambda day: on_day(day, today), short_day) for word in span])


def session_line(session: Session, today: date) -> str:
    """The words "tomorrow, 35 min easy run"."""
    return f"{on_day(session.day, today)}, {session.minutes} min {SESSION_WORDS[session.kind]}"


def table_line(session: Session) -> str:
    """One line of a plan: "Thu 14 Jan: 35 min easy run"."""
    return f"{short_day(session.day)}: {session.minutes} min {SESSION_WORDS[session.kind]}"


def sums(done: int, target: int) -> str:
    """What was done beside what was planned: "42 of 75 min", and "80 min (75 planned)" where it was more."""
    if done > target > 0:
        return f"{done} min ({target} planned)"
    return f"{done} of {target} min" if target else f"{done} min"


def entry_words(entry: LogEntry) -> str:
    """The words "42 min run"."""
    return f"{entry.minutes} min {ACTIVITY_WORDS[entry.activity]}"


def distance_words(metres: int, *, miles: bool = False) -> str:
    """Metres as kilometres, or as miles: "7.1 km", "4.4 miles"."""
    return f"{metres / 1000 / KM_IN_A_MILE:.1f} miles" if miles else f"{metres / 1000:.1f} km"


def done_words(entry: LogEntry, *, miles: bool) -> str:
    """What was done, with its distance where one is known: "42 min run, 3.9 miles"."""
    if not entry.distance_km:
        return entry_words(entry)
    return f"{entry_words(entry)}, {distance_words(round(entry.distance_km * 1000), miles=miles)}"


def distance_line(metres: int, *, miles: bool) -> str:
    """The distance of twelve weeks; "" if none is known."""
    return f"Runs with a distance, last 12 weeks: {distance_words(metres, miles=miles)}." if metres else ""


def capital(sentence: str) -> str:
    """`sentence` with its first letter as a capital."""
    return sentence[:1].upper() + sentence[1:]


@cache
def _table() -> Mapping[str, Mapping[str, str]]:
    return tomllib.loads(resources.files("nudgebot.domain.messages").joinpath("by_language.toml").read_text("utf-8"))


def in_all(row: str) -> Mapping[str, str]:
    """The sentence of a row in each language."""
    return _table()[row]


def in_language(row: str, language: str) -> str:
    """The sentence of a row in `language`, English if it is none of ours."""
    said = in_all(row)
    return said.get(language, said["en"])


def rows() -> tuple[str, ...]:
    """Every row there is."""
    return tuple(_table())
