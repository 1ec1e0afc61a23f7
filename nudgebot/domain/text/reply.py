"""One line of a runner, read: what it is for, and the numbers and days it holds. It decides nothing.

`read` is total: any text at all has a reading. Where a number could mean two things the reading asks back
instead of choosing. The rules and the words behind it are in `nudgebot.domain.text.log_lines`.
"""

from dataclasses import replace
from datetime import date
from typing import Any

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.log_lines.amounts import Amount, Sort, amounts
from nudgebot.domain.text.log_lines.attribution import own_amounts
from nudgebot.domain.text.log_lines.clauses import Clause, Mood, clauses
from nudgebot.domain.text.log_lines.corrections import correction
from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.days import days
from nudgebot.domain.text.log_lines.intents import days_away, purpose
from nudgebot.domain.text.log_lines.line import Line, line_of
from nudgebot.domain.text.log_lines.result import Intent, Reading, Run
from nudgebot.domain.text.log_lines.runs import BARE_FROM, BARE_TO, told
from nudgebot.domain.text.log_lines.tokens import LONGEST_LINE, Kind
from nudgebot.domain.text.weather import NO_WEATHER, WeatherTold, weather_in

__all__ = ["Activity", "Intent", "Reading", "Run", "read", "read_days", "read_minutes", "read_pause", "read_yes_no"]


def read(text: str, today: date) -> Reading:
    """The reading of one line written on `today`, the runner's own date."""
    if len(text) > LONGEST_LINE:
        return Reading(Intent.UNKNOWN, ask_back=True)
    told = weather_in(text)
    reading = _read(told.rest, today)
    return replace(reading, weather=told, **_degrees(told)) if told != NO_WEATHER else reading


def _degrees(told: WeatherTold) -> dict[str, Any]:
    """The weather's numbers as a reading has them: degrees Celsius where the line does not say, whole percent."""
    air = told.conditions(fahrenheit=False).air_c
    values = {"temperature_c": air, "humidity": None if told.humidity is None else int(told.humidity + 0.5)}
    return {name: value for name, value in values.items() if value is not None}


def _read(text: str, today: date) -> Reading:
    line = line_of(text)
    if not line.tokens:
        return Reading(Intent.UNKNOWN)
    found = amounts(line)
    own = own_amounts(line, found)
    parts = clauses(line, own, days(line, own, today))
    session = told(line, parts, today)
    bare = _only_number(line)
    if bare is not None and not BARE_FROM <= bare <= BARE_TO:
        return Reading(Intent.UNKNOWN, ask_back=True, language=line.language)
    corrected = correction(line, found)
    if corrected is not None:
        return Reading(Intent.UNDO, minutes=corrected, language=line.language)
    rest = [part for place, part in enumerate(parts) if place not in session.clauses]
    what = purpose(line, rest, today)
    if session.runs and what is not None and what.intent is Intent.BUSY and what.days == (today,):
        what = None  # "only meant to do 20 but did 35": a limit that the session has answered
    extras = _extras(found)
    degrees = next((round(a.value, 1) for a in found if a.sort is Sort.TEMPERATURE), None)
    if session.runs:
        single = session.runs[0] if len(session.runs) == 1 else None
        return Reading(
            Intent.LOG,
            minutes=single.minutes if single else None,
            day=single.day if single else None,
            days=what.days if what else (),
            logs=() if single else session.runs,
            heart_rate=extras.get(Sort.PULSE),
            rpe=extras.get(Sort.EFFORT),
            distance_km=round(session.distance_km, 3) if session.distance_km else None,
            activity=single.activity if single else session.runs[0].activity,
            second_intent=what.intent if what else None,
            in_place_of_run=any(Cue.IN_PLACE in parts[place].cues for place in session.clauses),
            temperature_c=degrees,
            humidity=extras.get(Sort.HUMIDITY),
            hard=any(_was_hard(line, part) for part in parts if part.mood in _TELLING),
            language=line.language,
        )
    if session.reported and (what is None or what.intent in {Intent.HELLO, Intent.ASK}):
        far = round(session.distance_km, 3) if session.distance_km else None
        return Reading(
            Intent.LOG, day=session.day or today, ask_back=True, distance_km=far, heart_rate=extras.get(Sort.PULSE),
            rpe=extras.get(Sort.EFFORT), language=line.language,
        )  # fmt: skip
    if what is None:
        doubt = not any(Cue.JEST in part.cues for part in parts) and any(
            amount.sort in _TIMES for part in parts if part.mood in _TELLING for amount in part.amounts
        )  # a number told as done; one that is meant, planned, denied or somebody else's needs no question
        return Reading(
            Intent.UNKNOWN, ask_back=doubt, language=line.language, temperature_c=degrees,
            humidity=extras.get(Sort.HUMIDITY),
        )  # fmt: skip
    return Reading(
        what.intent, minutes=what.minutes, day=what.day, days=what.days, ask_back=what.ask_back,
        language=line.language, temperature_c=degrees, humidity=extras.get(Sort.HUMIDITY),
    )  # fmt: skip


_TIMES = frozenset((Sort.DURATION, Sort.BARE, Sort.UNCLEAR, Sort.RANGE))
_TELLING = frozenset((Mood.PLAIN, Mood.DONE))


def _only_number(line: Line) -> float | None:
    """The value of a line that is one number and nothing else."""
    numbers = [token for token in line.tokens if token.kind is Kind.NUMBER]
    others = [token for token in line.tokens if token.kind is Kind.WORD]
    return numbers[0].value if len(numbers) == 1 and not others and len(line.tokens) == 1 else None


def _was_hard(line: Line, clause: Clause) -> bool:
    """Whether a clause calls its session hard: intervals, a race, flat out; not "not too hard"."""
    for place in range(clause.first, clause.last):
        if Cue.HARD in line.cues(place) and not any(
            line.denies(near) for near in range(max(clause.first, place - 3), place)
        ):
            return True
    return False


def _extras(found: list[Amount]) -> dict[Sort, int]:
    """The first value of each sort, rounded; a half goes up."""
    values: dict[Sort, int] = {}
    for amount in found:
        values.setdefault(amount.sort, int(amount.value + 0.5))
    return values


def read_minutes(text: str) -> int | None:
    """The minutes of an answer to "how many minutes?", 1-600; None where none can be told."""
    if len(text) > LONGEST_LINE:
        return None
    line = line_of(weather_in(text).rest)
    values = [a.value for a in amounts(line) if a.sort in {Sort.DURATION, Sort.BARE}]
    minutes = int(sum(values) + 1e-6) if values else 0
    return minutes if 1 <= minutes <= 600 else None


def read_yes_no(text: str) -> bool | None:
    """Whether an answer is yes or no; None where it is neither or both."""
    if len(text) > LONGEST_LINE:
        return None
    line = line_of(text)
    cues = [line.cues(place) for place in range(len(line.tokens))]
    yes = any(Cue.YES in cue for cue in cues)
    no = any(Cue.NO in cue for cue in cues)
    return yes if yes != no else None


def read_days(text: str, today: date, *, past: bool = False) -> tuple[date, ...]:
    """The days an answer names, in order: the next to come of each, or the last that was."""
    if len(text) > LONGEST_LINE:
        return ()
    line = line_of(text)
    named = days(line, amounts(line), today)
    return tuple(sorted({day for one in named for day in one.dates(past)}))


def read_pause(text: str, today: date) -> tuple[date, ...]:
    """The days of a pause that an answer names, in order: "mon to thu", "until Friday"; none where its end is open."""
    if len(text) > LONGEST_LINE:
        return ()
    line = line_of(text)
    return days_away(days(line, own_amounts(line, amounts(line)), today), today)
