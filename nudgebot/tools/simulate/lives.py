"""Who is invented, how they put things, and what each of their days brings; drawn before anything is lived.

The bot has no say in it: the same seed gives the same people and the same days, whatever becomes of their plans.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import cache
from importlib.resources import files
from random import Random

from nudgebot.domain.model.nudged import WEEKDAYS
from nudgebot.tools.simulate.judge.findings import Meant

LANGUAGES = ("en", "de", "es", "fr", "pt")
SLOT = "{minutes}"
# What is said where nobody's own words are at hand, or after they were not understood.
PLAIN: Mapping[Meant, tuple[str, ...]] = {
    Meant.RUN: (f"{SLOT} min easy", f"ran {SLOT}", f"{SLOT} easy, 3/10", f"{SLOT} min, hr 118"),
    Meant.SKIP: ("can't today", "no run today", "not today"),
    Meant.FEVER: ("fever 38.5 since last night", "fever, staying in bed", "flu, fever 39"),
    Meant.ILL: ("the flu, aching all over", "tested positive for covid", "chest infection, antibiotics"),
    Meant.STOMACH: ("stomach bug, nothing today", "been throwing up all night"),
    Meant.COLD: ("bad cold, staying in bed", "runny nose, otherwise fine"),
    Meant.CLINICIAN: ("shin hurts at night and when I press the bone", "calf pain, had to limp home"),
    Meant.URGENT: ("chest tightness on the hill", "one calf swollen and warm since the flight"),
    Meant.EMERGENCY: ("crushing chest pain this morning", "passed out during the run"),
    Meant.HEAT: ("41 °C and 70 % humidity here today", "it is 43 C, humidity 65 %"),
}


@cache
def lines() -> Mapping[tuple[Meant, str], tuple[str, ...]]:
    """The lines of the file beside this one, by what they are about and their language."""
    found: dict[tuple[Meant, str], list[str]] = {}
    text = (files("nudgebot.tools.simulate") / "lines.tsv").read_text(encoding="utf-8")
    for row in text.splitlines():
        if not row.startswith("#"):
            kind, language, line = row.split("\t")
            found.setdefault((Meant(kind), language), []).append(line)
    return {key: tuple(values) for key, values in found.items()}


class Voice:
    """One runner's way of writing: a language, and the lines drawn for each occasion."""

    def __init__(self, language: str, seed: str) -> None:
        self.language = language
        self._dice = Random(seed)  # noqa: S311 - drawing words, not secrets

    def own(self, told: Meant, minutes: int = 0) -> str:
        """A line of somebody's own; a plain one where the language has none."""
        choices = lines().get((told, self.language)) or lines().get((told, "en")) or PLAIN[told]
        return self._dice.choice(choices).replace(SLOT, str(minutes))

    def plain(self, told: Meant, minutes: int = 0) -> str:
        """A line that says it in the plainest words."""
        return self._dice.choice(PLAIN[told]).replace(SLOT, str(minutes))

    def mixed(self, told: Meant) -> str:
        """One or the other."""
        return self.own(told) if self._dice.random() < 0.5 else self.plain(told)

    def chance(self, share: float) -> bool:
        """Whether something of that share happens now."""
        return self._dice.random() < share


class Life(StrEnum):
    """What a runner's weeks are like."""

    PERFECT = "perfect"  # runs what is planned, and says so
    BUSY = "busy"  # a quarter of the days gets in the way, told or not
    SICK = "sick"  # now and then a cold or a fever
    INJURED = "injured"  # niggles, and signs that stop the running for weeks
    OVEREAGER = "overeager"  # runs more than was asked, and on days of rest
    SILENT = "silent"  # falls silent for days or weeks, and runs nothing meanwhile
    TRAVELLING = "travelling"  # is in another zone for some days, midweek too
    HOT = "hot"  # days too hot to run, among others
    HOLIDAY = "holiday"  # is away for days or weeks, and says so
    BACK = "back"  # does not run for one to six weeks; the first run after it is longer than planned
    TWICE_ILL = "twice ill"  # two illnesses within two weeks
    QUIET = "quiet"  # runs what is planned, and tells every other run


class Event(StrEnum):
    """What a day brings; a session of that day is run where nothing else is said."""

    RUN = "run"
    MISS = "miss"  # the session is not run
    BUSY = "busy"  # one to four days without time
    LITTLE_TIME = "little time"  # half an hour and no more
    ILL = "ill"
    NIGGLE = "niggle"
    SIGN = "sign"  # a warning sign: the running stops until a clinician has cleared it
    MORE = "more"  # the session, and ten to fifty minutes more
    EXTRA = "extra"  # a run on a day without one
    SILENCE = "silence"
    TRIP = "trip"
    HEAT = "heat"  # weather in which exercise is called off, told in the morning
    AWAY = "away"  # days without running, announced
    BREAK = "break"  # days without running, unsaid, and a long first run
    UNTOLD = "untold"  # the session is run, and nothing said
    TALK = "talk"  # the session, and small talk or a question beside it


@dataclass(frozen=True, slots=True)
class Day:
    """One day: what it brings, and a number from 0 to 1 for how much of it."""

    event: Event
    much: float


@dataclass(frozen=True, slots=True)
class Person:
    """One invented runner: the lines of the intake, the instant (UTC) of the first, and the days from then on."""

    life: Life
    name: str
    language: str  # ISO 639-1
    home: tuple[str, str]  # city and country
    joined: datetime
    intake: tuple[str, ...]
    days: tuple[Day, ...]


# Begun on these days, twenty weeks cross both changes of summer time on both hemispheres.
STARTS = (date(2027, 1, 4), date(2027, 7, 5))
# City and country: zones that change their clocks in March, April, September, October and November, by an hour and
# by half an hour, at midnight and in the small hours, and zones that never do.
CITIES = (
    ("Lisbon", "PT"),
    ("Berlin", "DE"),
    ("New York", "US"),
    ("Los Angeles", "US"),
    ("Sao Paulo", "BR"),
    ("Santiago", "CL"),
    ("Cairo", "EG"),
    ("Kolkata", "IN"),
    ("Tokyo", "JP"),
    ("Sydney", "AU"),
    ("Lord Howe", "AU"),
    ("Auckland", "NZ"),
)
GOALS = ("health", "fat loss", "endurance", "maintain")
# Reminder, quiet hours and usual run time: mostly by day, and some in the hour that summer time skips or repeats.
HOURS = (
    ("07:00", "21:30-06:30", time(18)),
    ("07:00", "21:30-06:30", time(18)),
    ("06:45", "22:00-06:00", time(12, 30)),
    ("05:45", "21:00-05:30", time(6, 30)),
    ("02:30", "09:00-16:30", time(5)),
    ("01:30", "08:30-16:00", time(4, 30)),
    ("00:30", "21:30-06:30", time(19)),
)


def invent(life: Life, number: int, seed: int, weeks: int) -> Person:
    """The person of that number among those of this kind of life, with days for `weeks` weeks and a week more."""
    dice = Random(f"{seed} {life} {number}")  # noqa: S311 - drawing lives, not secrets
    city, country = dice.choice(CITIES)
    remind, quiet, run_time = dice.choice(HOURS)
    weekly = dice.choice((0, 40, 60, 90, 120, 150))
    goal = f"custom {dice.randrange(60, 301, 10)}" if dice.random() < 0.2 else dice.choice(GOALS)
    opened = [dice.choice((0, 45, 60, 90, 120)) for _ in WEEKDAYS]
    for weekday in dice.sample(range(7), 3):
        opened[weekday] = max(opened[weekday], 60)
    pairs = [(name, minutes) for name, minutes in zip(WEEKDAYS, opened, strict=True) if minutes]
    long_day = next((name for name in ("sun", "sat") if opened[WEEKDAYS.index(name)] >= 60), pairs[-1][0])
    lines = (
        "/start",
        "yes",
        "yes" if weekly else "no",
        "yes" if life is not Life.PERFECT and dice.random() < 0.05 else "no",
        "no",
        "no",
        "no",
        goal,
        f"{weekly}",
        f"{max(0, weekly // 3 + dice.randrange(-5, 20))}",
        "bike 60" if dice.random() < 0.1 else "no",
        ", ".join(f"{name} {minutes}" for name, minutes in pairs),
        long_day,
        city,
        f"{run_time:%H:%M}",
        remind,
        quiet,
        country,
        "skip",
    )
    start = dice.choice(STARTS) + timedelta(days=dice.randrange(7))
    return Person(
        life,
        f"{life}-{number}",
        dice.choice(("en", "en", "en", "en", *LANGUAGES)),
        (city, country),
        datetime.combine(start, time(dice.randrange(9, 21)), UTC),
        lines,
        tuple(_days(life, dice, 7 * (weeks + 1))),
    )


def _days(life: Life, dice: Random, count: int) -> list[Day]:
    days = [Day(_event(life, dice.random()), dice.random()) for _ in range(count)]
    if life is Life.TWICE_ILL:
        # From the third week on, every ten weeks: ill, and ill again eight to fourteen days later.
        for first in range(14 + dice.randrange(14), count, 70):
            for day in (first, first + dice.randrange(8, 15)):
                if day < count:
                    days[day] = Day(Event.ILL, dice.random())
    return days


def _event(life: Life, roll: float) -> Event:
    """What a day brings, by a roll from 0 to 1; the shares are this simulation's own."""
    for event, share in _SHARES[life]:
        if roll < share:
            return event
        roll -= share
    return Event.TALK if life is not Life.PERFECT and roll < TALK else Event.RUN


TALK = 0.06  # of the days
_SHARES: dict[Life, tuple[tuple[Event, float], ...]] = {
    Life.PERFECT: (),
    Life.BUSY: ((Event.MISS, 0.08), (Event.BUSY, 0.06), (Event.LITTLE_TIME, 0.05)),
    Life.SICK: ((Event.ILL, 0.02), (Event.MISS, 0.02)),
    Life.INJURED: ((Event.SIGN, 0.006), (Event.NIGGLE, 0.03)),
    Life.OVEREAGER: ((Event.MORE, 0.2), (Event.EXTRA, 0.08)),
    Life.SILENT: ((Event.SILENCE, 0.035), (Event.MISS, 0.03)),
    Life.TRAVELLING: ((Event.TRIP, 0.025), (Event.MISS, 0.03)),
    Life.HOT: ((Event.HEAT, 0.05), (Event.MISS, 0.03)),
    Life.HOLIDAY: ((Event.AWAY, 0.02), (Event.MISS, 0.03)),
    Life.BACK: ((Event.BREAK, 0.012), (Event.MORE, 0.03)),
    Life.TWICE_ILL: ((Event.MISS, 0.02),),
    Life.QUIET: ((Event.UNTOLD, 0.5),),
}
# Where trips go: a few hours and half the world away, both ways.
DESTINATIONS = (
    ("London", "GB"),
    ("New York", "US"),
    ("Tokyo", "JP"),
    ("Sydney", "AU"),
    ("Santiago", "CL"),
    ("Honolulu", "US"),
)
