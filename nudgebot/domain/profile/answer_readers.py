"""How a line becomes the canonical answer to a question of the intake, None if it is no answer to it."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, time

from nudgebot.domain.model.intake import OpenDays
from nudgebot.domain.model.nudged import WEEKDAYS
from nudgebot.domain.profile import places
from nudgebot.domain.profile.sentences.repeat_words import DAY_WORDS
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.word_files import patterns

SKIP = "skip"
MOST_A_WEEK = 1_500  # min; more stated running than that is a slip of the thumb
MOST_A_DAY = 600  # min; the longest session the reader takes
CUSTOM = range(60, 301)  # min a week (docs/sources.md)
BIRTH_YEARS = range(1900, 2020)

P = patterns("intake_answers")
GOALS = (("health", P.health), ("fat_loss", P.fat_loss), ("endurance", P.endurance), ("maintain", P.maintain))
MORE_BESIDE = 6  # words behind a yes; more of them tell a story
COMMUTES = (("bike", ("bik", "cycl", "ebike")), ("walk", ("walk", "foot")))


def yes_no(text: str) -> str | None:
    word = _plain(text)
    while (shorter := P.kind_words.sub("", word)) != word:
        word = shorter
    first, *more = re.findall(r"[\w']+", word) or [""]
    says_more = len(more) >= MORE_BESIDE or any(P.denies.fullmatch(each) for each in more)
    if P.yes.fullmatch(word) or (P.yes.fullmatch(first) and not says_more):
        return "yes"  # "yes im 58", "yes I walk every day"
    return "no" if P.no.fullmatch(word) else None


def yes_no_skip(text: str) -> str | None:
    return SKIP if P.skips.fullmatch(_plain(text)) else yes_no(text)


def goal(text: str) -> str | None:
    line = squeezed(text).strip(" .!")
    custom = re.fullmatch(r"custom(?:\s+goal)?[\s:]*(\d{1,4})?\s*(?:min(?:utes)?)?(?:\s+a\s+week)?", line)
    if custom:
        minutes = int(custom[1] or 0)
        return f"custom {minutes}" if minutes in CUSTOM else None
    named = P.before_a_goal.sub("", line)
    return next((goal for goal, said in GOALS if said.fullmatch(line) or said.fullmatch(named)), None)


def minutes_up_to(most: int) -> Callable[[str], str | None]:
    def read(text: str) -> str | None:
        minutes = minutes_in(text)
        return str(minutes) if minutes is not None and minutes <= most else None

    return read


def minutes_in(text: str) -> int | None:
    """A bare duration: "60", "60 min", "1 h", "1:15", "1h30", "none"; None if the line says more than that."""
    line = squeezed(text).strip(" .!~")
    line = re.sub(r"^(?:about|around|roughly|ca|approx|maybe)\.?\s+", "", line)
    line = re.sub(r"\s+(?:a|per)\s+week$|/\s*week$|\s+weekly$", "", line).strip()
    if line in {"none", "nothing", "zero", "no", "not at all", "0"}:
        return 0
    if found := re.fullmatch(r"(\d{1,4})\s*(?:m|min|mins|minutes?|minuten|minutos|')?", line):
        return int(found[1])
    if found := re.fullmatch(r"(\d{1,2})(?:[.,](\d{1,2}))?\s*(?:h|hr|hrs|hours?)", line):
        return int(found[1]) * 60 + (round(60 * float("0." + found[2])) if found[2] else 0)
    if found := re.fullmatch(r"(\d{1,2})\s*(?:h|:|hours?(?: and)?)\s*([0-5]?\d)\s*(?:m|min|minutes)?", line):
        return int(found[1]) * 60 + int(found[2])
    return {"an hour": 60, "one hour": 60, "half an hour": 30, "an hour and a half": 90, "two hours": 120}.get(line)


def commute(text: str) -> str | None:
    line = squeezed(text).strip(" .!")
    if P.no.fullmatch(line) or P.skips.fullmatch(line):
        return "no"
    for activity, words in COMMUTES:
        if any(re.search(rf"\b{word}", line) for word in words):
            found = re.search(r"(\d{1,4})", line)
            if found and int(found[1]) <= MOST_A_WEEK:
                return f"{activity} {int(found[1])}"
    return None


def open_days(text: str) -> str | None:
    opened = days_in(text)
    return None if opened is None else days_text(opened)


def _minutes_by_weekday(text: str) -> list[int] | None:
    """Minutes by weekday of "tue 45, thu 45, sun 90", "any 60", "mon-fri 30, sat 90", "weekdays 40"."""
    opened = [0] * 7
    line = squeezed(text).replace(" to ", "-").replace("&", ",").replace(" and ", ",")
    line = re.sub(r"(\d)\s*(?:min(?:ute)?s?|m|')(?![a-z])", r"\1", line)
    line = re.sub(r"(\d)\s+(?=[a-z])", r"\1,", line).replace(":", " ").replace(";", ",").replace("\n", ",")
    waiting: list[int] = []
    for part in filter(None, (p.strip(" .") for p in line.split(","))):
        found = re.fullmatch(r"([a-z]+)(?:\s*-\s*([a-z]+))?\s*(\d{1,3})?", part)
        if not found:
            found = re.fullmatch(r"((?:[a-z]+\s+)+[a-z]+)()\s*(\d{1,3})", part)
            names = found[1].split() if found else []
            days = [d for name in names for d in _weekdays(name, "")]
            if not found or len(days) < len(names):
                return None
        else:
            days = _weekdays(found[1], found[2] or "")
        if not days:
            return None
        waiting += days
        if found[3]:
            if int(found[3]) > MOST_A_DAY:
                return None
            for day in waiting:
                opened[day] = int(found[3])
            waiting = []
    return None if waiting else opened


def _weekdays(first: str, last: str) -> list[int]:
    if first in {"any", "all", "every", "everyday", "daily", "anyday"} and not last:
        return list(range(7))
    if first.startswith("weekday") and not last:
        return list(range(5))
    if first.startswith("weekend") and not last:
        return [5, 6]
    start = _weekday(first)
    end = _weekday(last) if last else start
    if start is None or end is None:
        return []
    return [(start + i) % 7 for i in range((end - start) % 7 + 1)]


def _weekday(word: str) -> int | None:
    if len(word) < 2:
        return None
    return next((i for i, names in enumerate(DAY_WORDS) if any(name.startswith(word) for name in names)), None)


def one_day(text: str) -> str | None:
    day = _weekday(squeezed(text).strip(" .!").removesuffix("s") or "?")
    return None if day is None else WEEKDAYS[day]


def zone(text: str) -> str | None:
    place = place_in(text)
    return place[0] if place else None


def place_in(text: str) -> tuple[str, str] | None:
    """Zone and country ("" unknown) of a city, a zone's name, or "location LAT LON" (a shared location)."""
    shared = re.fullmatch(r"\s*location\s+(-?\d+(?:\.\d+)?)[\s,]+(-?\d+(?:\.\d+)?)\s*", text)
    if shared and abs(float(shared[1])) <= 90 and abs(float(shared[2])) <= 180:
        city = places.nearest(float(shared[1]), float(shared[2]))
        return city.zone, city.country
    return places.zone_of(re.sub(r"(?i)^\s*(?:i'?m in|i live in|in)\s+", "", text))


def clock_in(text: str) -> time | None:
    """A time of day: "18:00", "6pm", "6.30 am", "1800", "7"; None for anything else."""
    line = squeezed(text).strip(" .!").removeprefix("at ").removesuffix(" o'clock").strip()
    if line in {"noon", "midday", "lunch", "lunchtime"}:
        return time(12)
    found = re.fullmatch(r"(\d{1,2})(?:\s*[:.h]\s*(\d{2}))?\s*(am|pm|a\.m|p\.m|h|uhr)?", line) or re.fullmatch(
        r"(\d{2})(\d{2})()", line
    )
    if not found:
        return None
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3] and found[3][0] in "ap" and found[3] != "":
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[3][0] == "p" else 0)
    return time(hour, minute) if hour < 24 and minute < 60 else None


def clock(text: str) -> str | None:
    wall = clock_in(text)
    return wall.strftime("%H:%M") if wall else None


def is_left_to_us(text: str) -> bool:
    return P.left_to_us.fullmatch(_plain(text)) is not None


def reminder(text: str) -> str | None:
    return SKIP if is_left_to_us(text) or P.defaults.fullmatch(_plain(text)) else clock(text)


def quiet_hours(text: str) -> str | None:
    if P.defaults.fullmatch(_plain(text)):
        return "21:30-06:30"
    ends = re.split(r"\s*(?:-|–|—|\bto\b|\buntil\b|\btill\b)\s*", text.strip())
    if len(ends) != 2:
        return None
    first, last = clock_in(ends[0]), clock_in(ends[1])
    if first is None or last is None or first == last:
        return None
    return f"{first:%H:%M}-{last:%H:%M}"


def beats(least: int, most: int) -> Callable[[str], str | None]:
    def read(text: str) -> str | None:
        found = re.fullmatch(r"\s*(\d{2,3})\s*(?:bpm|beats(?: a minute| per minute)?)?\s*\.?\s*", text)
        return str(int(found[1])) if found and least <= int(found[1]) <= most else None

    return read


def event(text: str) -> str | None:
    """A date and what it is: "2027-05-30 half marathon"."""
    found = re.fullmatch(r"\s*(\d{4}-\d{2}-\d{2})\s+(\S.{0,59})", text)
    if not found:
        return None
    try:
        return f"{date.fromisoformat(found[1]).isoformat()} {found[2].strip()}"
    except ValueError:
        return None


def birth_year(text: str) -> str | None:
    if P.skips.fullmatch(_plain(text)):
        return SKIP
    found = re.fullmatch(r"\s*(\d{4})\s*\.?\s*", text)
    return str(int(found[1])) if found and int(found[1]) in BIRTH_YEARS else None


def _plain(text: str) -> str:
    return squeezed(text).strip(" .!,")


def days_text(days: OpenDays) -> str:
    """The open days in canonical form: "tue 45, thu 45, sun 90"."""
    return ", ".join(f"{WEEKDAYS[day]} {minutes}" for day, minutes in enumerate(days) if minutes)


def days_in(text: str) -> OpenDays | None:
    """The open days of a canonical text, None if it is none."""
    opened = _minutes_by_weekday(text)
    if opened is None or not any(opened):
        return None
    return (opened[0], opened[1], opened[2], opened[3], opened[4], opened[5], opened[6])
