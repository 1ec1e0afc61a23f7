"""The intake: which questions in which order, how each answer is read, and the profile they add up to."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import TypeVar

from nudgebot.domain.model.intake import (
    Commute,
    Goal,
    GoalTold,
    Intake,
    OpenDays,
    Quiet,
    YesNoSkip,
)
from nudgebot.domain.model.runner import Profile, Standing, Training, Walking
from nudgebot.domain.profile import places
from nudgebot.domain.profile.nudge_words import read_wish
from nudgebot.domain.profile.weekday_words import DAY_WORDS, WEEKDAYS
from nudgebot.domain.text.folding import squeezed

T = TypeVar("T")

SKIP = "skip"
DAYS_LATER = "days_later"  # under this id the answers keep a weekly shape that begins on a later date
BACK = "back"
# Asked only of those who told the other answer.
ASKED_AFTER = {"doctor_knows": "pressure"}
MOST_A_WEEK = 1_500  # min; more stated running than that is a slip of the thumb
MOST_A_DAY = 600  # min; the longest session the reader takes
CUSTOM = range(60, 301)  # min a week; docs/sources.md, dose by goal
BIRTH_YEARS = range(1900, 2020)


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the intake: its id, and how a line becomes the canonical answer (None: it is none)."""

    id: str
    read: Callable[[str], str | None]


def _yes_no(text: str) -> str | None:
    word = _plain(text)
    if word in YES:
        return "yes"
    return "no" if word in NO else None


def _yes_no_skip(text: str) -> str | None:
    return SKIP if _plain(text) in SKIPS else _yes_no(text)


def _yes(text: str) -> str | None:
    return _yes_no(text)


def _goal(text: str) -> str | None:
    line = squeezed(text).strip(" .!")
    custom = re.fullmatch(r"custom(?:\s+goal)?[\s:]*(\d{1,4})?\s*(?:min(?:utes)?)?(?:\s+a\s+week)?", line)
    if custom:
        minutes = int(custom[1] or 0)
        return f"custom {minutes}" if minutes in CUSTOM else None
    return next((goal for goal, words in GOAL_WORDS if line in words), None)


def _minutes(most: int) -> Callable[[str], str | None]:
    def read(text: str) -> str | None:
        minutes = minutes_in(text)
        return str(minutes) if minutes is not None and minutes <= most else None

    return read


def minutes_in(text: str) -> int | None:
    """A bare duration: "60", "60 min", "1 h", "1:15", "1h30", "none"; None where the line says more than that."""
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


def _commute(text: str) -> str | None:
    line = squeezed(text).strip(" .!")
    if line in NO or line in SKIPS or line == "none":
        return "no"
    for activity, words in COMMUTES:
        if any(re.search(rf"\b{word}", line) for word in words):
            found = re.search(r"(\d{1,4})", line)
            if found and int(found[1]) <= MOST_A_WEEK:
                return f"{activity} {int(found[1])}"
    return None


def _days(text: str) -> str | None:
    opened = days_in(text)
    return None if opened is None else days_text(opened)


def _open_days(text: str) -> list[int] | None:
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


def _one_day(text: str) -> str | None:
    day = _weekday(squeezed(text).strip(" .!").removesuffix("s") or "?")
    return None if day is None else WEEKDAYS[day]


def _zone(text: str) -> str | None:
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


def _time(text: str) -> str | None:
    wall = clock_in(text)
    return wall.strftime("%H:%M") if wall else None


def _reminder(text: str) -> str | None:
    return SKIP if _plain(text) in DEFAULTS | LEFT_TO_US else _time(text)


def _quiet(text: str) -> str | None:
    if _plain(text) in DEFAULTS:
        return "21:30-06:30"
    ends = re.split(r"\s*(?:-|–|—|\bto\b|\buntil\b|\btill\b)\s*", text.strip())
    if len(ends) != 2:
        return None
    first, last = clock_in(ends[0]), clock_in(ends[1])
    if first is None or last is None or first == last:
        return None
    return f"{first:%H:%M}-{last:%H:%M}"


def _beats(least: int, most: int) -> Callable[[str], str | None]:
    def read(text: str) -> str | None:
        found = re.fullmatch(r"\s*(\d{2,3})\s*(?:bpm|beats(?: a minute| per minute)?)?\s*\.?\s*", text)
        return str(int(found[1])) if found and least <= int(found[1]) <= most else None

    return read


def _event(text: str) -> str | None:
    """A date and what it is: "2027-05-30 half marathon"."""
    found = re.fullmatch(r"\s*(\d{4}-\d{2}-\d{2})\s+(\S.{0,59})", text)
    if not found:
        return None
    try:
        return f"{date.fromisoformat(found[1]).isoformat()} {found[2].strip()}"
    except ValueError:
        return None


def _birth_year(text: str) -> str | None:
    if _plain(text) in SKIPS:
        return SKIP
    found = re.fullmatch(r"\s*(\d{4})\s*\.?\s*", text)
    return str(int(found[1])) if found and int(found[1]) in BIRTH_YEARS else None


def _plain(text: str) -> str:
    return squeezed(text).strip(" .!,")


YES = frozenset(
    [
        "yes",
        "y",
        "yep",
        "yeah",
        "yup",
        "sure",
        "ok",
        "okay",
        "ja",
        "si",
        "oui",
        "sim",
        "correct",
        "right",
        "true",
        "agreed",
        "agree",
    ]
) | {
    "i am",
    "yes i am",
    "i do",
    "yes i do",
    "i have",
    "yes please",
    "of course",
}
NO = frozenset(["no", "n", "nope", "nah", "nein", "non", "nao", "none", "never", "false"]) | {
    "i am not",
    "i'm not",
    "not really",
    "no thanks",
}
SKIPS = frozenset({"skip", "pass", "rather not", "prefer not to say", "-", "later", "none of your business"})
DEFAULTS = frozenset({"default", "skip", "ok", "okay", "yes", "fine", "as it is", "standard", "keep"})
LEFT_TO_US = frozenset({"you choose", "you decide", "any time", "anytime", "whenever", "no matter", "dont mind"}) | {
    "don't mind",
    "i dont mind",
    "i don't mind",
    "learn it",
}
GOAL_WORDS = (
    ("health", {"health", "healthy", "stay healthy", "be healthy", "general health", "fitness", "for my health"}),
    ("fat_loss", {"fat loss", "fatloss", "lose fat", "lose weight", "weight loss", "weight", "longer easy runs"}),
    ("endurance", {"endurance", "stamina", "build endurance", "run longer", "go longer"}),
    ("keep", {"keep", "keep going", "maintain", "maintenance", "keep fit", "keep it up", "stay in rhythm"}),
)
COMMUTES = (("bike", ("bik", "cycl", "ebike")), ("walk", ("walk", "foot")))

QUESTIONS = (
    Question("adult", _yes),
    Question("active", _yes_no),
    Question("disease", _yes_no),
    Question("doctor_knows", _yes_no_skip),
    Question("signs", _yes_no),
    Question("pregnancy", _yes_no_skip),
    Question("medicine", _yes_no_skip),
    Question("goal", _goal),
    Question("weekly", _minutes(MOST_A_WEEK)),
    Question("longest", _minutes(MOST_A_DAY)),
    Question("commute", _commute),
    Question("days", _days),
    Question("long_day", _one_day),
    Question("zone", _zone),
    Question("run_time", _time),
    Question("remind_at", _reminder),
    Question("quiet", _quiet),
    Question("country", places.country_of),
    Question("birth_year", _birth_year),
)
# What can be told later and is not asked at the start.
LATER = (
    Question("resting_hr", _beats(30, 110)),
    Question("max_hr", _beats(120, 230)),
    Question("event", _event),
    Question("nudges", read_wish),
)
BY_ID = {question.id: question for question in (*QUESTIONS, *LATER)}


def next_question(told: Intake) -> str | None:
    """Id of the first question without an answer; None when the intake is complete."""
    return next((each.id for each in QUESTIONS if getattr(told, each.id) is None and _is_asked(each.id, told)), None)


def _is_asked(question: str, told: Intake) -> bool:
    return question not in ASKED_AFTER or bool(getattr(told, ASKED_AFTER[question]))


def question_before(told: Intake) -> str | None:
    """Id of the last question that was answered: what `back` asks again."""
    return next((question.id for question in reversed(QUESTIONS) if getattr(told, question.id) is not None), None)


def read_answer(question: str, text: str, told: Intake) -> str | None:
    """The canonical answer to `question` in `text`, or None where the line is no answer to it.

    The long run's day has to be one of the open days.
    """
    found = BY_ID[question].read(text)
    if question == "long_day" and found is not None and told.days is not None and not told.days[WEEKDAYS.index(found)]:
        return None
    return found


def days_text(days: OpenDays) -> str:
    """The open days in canonical form: "tue 45, thu 45, sun 90"."""
    return ", ".join(f"{WEEKDAYS[day]} {minutes}" for day, minutes in enumerate(days) if minutes)


def days_in(text: str) -> OpenDays | None:
    """The open days of a canonical text, None where it is none."""
    opened = _open_days(text)
    if opened is None or not any(opened):
        return None
    return (opened[0], opened[1], opened[2], opened[3], opened[4], opened[5], opened[6])


def with_later_days(told: Intake, today: date) -> Intake | None:
    """What was told, with the days for a later date once that has come; None while there are none due.

    The long run's day moves to the longest where it was closed.
    """
    later = told.days_later
    if later is None or later.start > today:
        return None
    return replace(told, days=later.days, days_later=None, long_day=long_day_in(later.days, told.long_day))


def long_day_in(days: OpenDays, wanted: int | None) -> int:
    """The wanted weekday for the long run where it is open, else the first with the most minutes."""
    return wanted if wanted is not None and days[wanted] else days.index(max(days))


def profile(told: Intake) -> Profile:
    """The profile that the answers so far add up to; what is not answered yet has the default."""
    goal = told.goal or GoalTold(Goal.HEALTH)
    if told.coach_dose:
        goal = GoalTold(Goal.CUSTOM, told.coach_dose)
    commute, quiet = told.commute or Commute(), told.quiet or Quiet(time(21, 30), time(6, 30))
    usual = Profile()
    left_to_us = told.learned_hour.at if told.learned_hour is not None else usual.remind_at
    return Profile(
        goal=goal.goal,
        custom_minutes=goal.minutes,
        weekly=told.weekly or 0,
        longest=told.longest or 0,
        commute=commute.activity,
        commute_minutes=commute.minutes,
        open_minutes=told.days or usual.open_minutes,
        long_day=_or(told.long_day, usual.long_day),
        zone=told.zone or usual.zone,
        run_time=_or(told.run_time, usual.run_time),
        remind_at=told.remind_at if isinstance(told.remind_at, time) else left_to_us,
        quiet_from=quiet.first,
        quiet_to=quiet.last,
        country=told.country or "",
        birth_year=None if isinstance(told.birth_year, YesNoSkip) else told.birth_year,
        resting_hr=told.resting_hr,
        max_hr=told.max_hr,
        active=_or(told.active, usual.active),
        disease=bool(told.disease),
        signs=bool(told.signs),
        doctor_unaware=told.doctor_knows is YesNoSkip.NO,
        pregnancy=told.pregnancy is YesNoSkip.YES,
        medicine=told.medicine is YesNoSkip.YES,
        coach_step=_or(told.coach_step, usual.coach_step),
        coach_window=_or(told.coach_window, usual.coach_window),
        coach_run_days=_or(told.coach_run_days, usual.coach_run_days),
        coach_session=_or(told.coach_session, usual.coach_session),
    )


def _or(value: T | None, usual: T) -> T:
    return usual if value is None else value


def standing_after(told: Profile, now: datetime) -> Standing:
    """Where a runner stands when the intake is complete.

    Easy running counts as vigorous at the fitness of many starters, so known disease, even when active, and any
    of the nine signs ask for a clinician first; so do pregnancy and the weeks after a birth. Walking is free.
    Source: ACSM pre-participation screening, Riebe et al., Med Sci Sports Exerc 2015;47:2473.
    """
    if told.signs or told.disease or told.doctor_unaware:
        return Walking(now, "screening")
    if told.pregnancy:
        return Walking(now, "pregnancy")
    return Training()
