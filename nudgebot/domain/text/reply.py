"""One line of a runner, read: what it is for, and the numbers and days it holds. It decides nothing.

`read` is total: any text at all has a reading. Where a number could mean two things the reading asks back
instead of choosing. A plain log is read by `plain_log` alone; all else by rules and learned readers together:
`nudgebot.domain.text.log_lines`, `learned` and `decision`.
"""

from dataclasses import replace
from datetime import date
from functools import lru_cache

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.text.decision import CHANGING, decided, meant
from nudgebot.domain.text.learned.stack import by_rules
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.line.tokens import LONGEST_LINE, ends_of
from nudgebot.domain.text.log_lines.amounts import amounts
from nudgebot.domain.text.log_lines.attribution import own_amounts
from nudgebot.domain.text.log_lines.days import days
from nudgebot.domain.text.log_lines.days_off import closed_by_only
from nudgebot.domain.text.log_lines.purposes import days_away
from nudgebot.domain.text.log_lines.result import Intent, Reading, Run
from nudgebot.domain.text.log_lines.units import Sort
from nudgebot.domain.text.plain_log import plain_log
from nudgebot.domain.text.weather import NO_WEATHER, weather_in

__all__ = [
    "Activity",
    "Intent",
    "Reading",
    "Run",
    "read",
    "read_days",
    "read_meant",
    "read_minutes",
    "read_pause",
    "read_yes_no",
]
MAY_CLOSE = frozenset(
    {Intent.BUSY, Intent.SKIP, Intent.SETTINGS, Intent.UNKNOWN, Intent.STATUS, Intent.ASK, Intent.HELLO}
)
LONG_LINE = Rule("a line that is more than an answer, over", 8, "words", "house")
ANSWERED_WITHIN = Rule("the beginning of such a line, in which a yes or a no counts", 4, "words", "house")


@lru_cache(maxsize=8)
def read(text: str, today: date) -> Reading:
    """The reading of one line written on `today`, the runner's own date; kept for a few lines, as it is asked twice."""
    if len(text) > LONGEST_LINE:
        return Reading(Intent.UNKNOWN, ask_back=True)
    return plain_log(line_of(text), today) or read_in_full(ends_of(text), today)


def read_in_full(text: str, today: date) -> Reading:
    """The same by every rule and every learned reader, whatever the line holds; of a very long one by its ends."""
    told = weather_in(text)
    reading = _but_the_only_days(decided(text, today), text, today)
    if told == NO_WEATHER:
        return reading
    rules = by_rules(text, today).reading
    if reading.intent in CHANGING and rules.intent is not reading.intent:
        reading = rules  # what is left of such a line looks like a run called off; only words make it one
    return replace(reading, weather=told)


def _but_the_only_days(reading: Reading, text: str, today: date) -> Reading:
    """A line that names the only days that are open closes all others; it is asked about where it was no such line."""
    if reading.intent not in MAY_CLOSE and not (reading.intent is Intent.AWAY and reading.ask_back):
        return reading
    closed = closed_by_only(line_of(text), today, in_a_week=reading.intent is Intent.SETTINGS)
    if not closed:
        return reading
    sure = reading.intent is Intent.BUSY and not reading.ask_back
    busy = Reading(Intent.BUSY, day=closed[0], days=closed)
    return busy if sure else replace(busy, ask_back=True, choices=(busy,))


def read_meant(text: str, today: date, intent: Intent, minutes: int | None) -> Reading | None:
    """The line as its writer said that it is meant; None where it has no such minutes."""
    if len(text) > LONGEST_LINE:
        return None
    told = weather_in(text)
    reading = meant(text, today, intent, minutes)
    return reading if reading is None or told == NO_WEATHER else replace(reading, weather=told)


def read_minutes(text: str) -> int | None:
    """The minutes of an answer to "how many minutes?", 1-600; None where none can be told."""
    line = line_of(weather_in(text).rest)
    values = [a.value for a in amounts(line) if a.sort in {Sort.DURATION, Sort.BARE}]
    minutes = int(sum(values) + 1e-6) if values else 0
    return minutes if 1 <= minutes <= 600 else None


def answering_part(text: str) -> str:
    """The part of a line in which a yes or a no is the answer to a question: a long line tells of other things too."""
    words = text.split()
    return text if len(words) <= LONG_LINE.value else " ".join(words[: ANSWERED_WITHIN.value])


def read_yes_no(text: str) -> bool | None:
    """Whether an answer is yes or no; None where it is neither or both. A long line says so at its beginning."""
    line = line_of(answering_part(text))
    yes, no = Cue.YES in line.said, Cue.NO in line.said
    return yes if yes != no else None


def read_days(text: str, today: date, *, past: bool = False) -> tuple[date, ...]:
    """The days an answer names, in order: the next to come of each, or the last that was."""
    line = line_of(text)
    named = days(line, amounts(line), today)
    return tuple(sorted({day for one in named for day in one.dates(past)}))


def read_pause(text: str, today: date) -> tuple[date, ...]:
    """The days of a pause that an answer names, in order: "mon to thu", "until Friday"; none where its end is open."""
    line = line_of(text)
    return days_away(days(line, own_amounts(line, amounts(line)), today), today)
