"""The one codec of the intake: each field as canonical text, and back. So it is shown, stored, carried by buttons."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import replace
from datetime import date, time
from functools import lru_cache
from typing import Any, Final, NamedTuple

from nudgebot.domain.model import intake
from nudgebot.domain.model.intake import (
    Cleared,
    Commute,
    DatedEvent,
    DaysLater,
    Goal,
    GoalTold,
    Intake,
    LearnedHour,
    Quiet,
    ToldCondition,
    YesNoSkip,
)
from nudgebot.domain.model.nudged import WEEKDAYS, wish_of
from nudgebot.domain.model.repeat import repeat_of
from nudgebot.domain.profile.answer_readers import BIRTH_YEARS, MOST_A_DAY, MOST_A_WEEK, SKIP, days_in, days_text
from nudgebot.domain.profile.intake import DAYS_LATER, READERS


class Written(NamedTuple):
    """How a field is written, and read back; `read` gives None for text of another form."""

    write: Callable[[Any], str]
    read: Callable[[str], Any]


def _one_of(values: Mapping[str, Any]) -> Written:
    texts = {value: text for text, value in values.items()}
    return Written(lambda value: texts[value], values.get)


def _number(within: Container[int]) -> Written:
    def read(text: str) -> int | None:
        digits = text.isascii() and text.isdecimal() and len(text) <= 6
        return int(text) if digits and int(text) in within else None

    return Written(str, read)


def _as(question: str, write: Callable[[Any], str], value: Callable[[str], Any]) -> Written:
    """A field whose canonical text is what its question makes of any text."""

    def read(text: str) -> Any:
        return value(text) if text and READERS[question](text) == text else None

    return Written(write, read)


def _goal_told(text: str) -> GoalTold:
    goal, _, minutes = text.partition(" ")
    return GoalTold(Goal(goal), int(minutes or 0))


def _commute_told(text: str) -> Commute:
    activity, _, minutes = text.partition(" ")
    return Commute() if activity == "no" else Commute(activity, int(minutes))


def _quiet_told(text: str) -> Quiet:
    first, _, last = text.partition("-")
    return Quiet(time.fromisoformat(first), time.fromisoformat(last))


def _calendar_day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None


def _dated(text: str) -> tuple[date, str] | None:
    """A date and what follows it."""
    first, _, rest = text.partition(" ")
    day = _calendar_day(first)
    return (day, rest) if day is not None and rest else None


def _event_told(text: str) -> DatedEvent:
    day, _, what = text.partition(" ")
    return DatedEvent(date.fromisoformat(day), what)


def _events_told(text: str) -> tuple[DatedEvent, ...]:
    read = [CODEC["event"].read(each) for each in text.split("; ")]
    return () if None in read else tuple(read)


def _days_later(text: str) -> DaysLater | None:
    found = _dated(text)
    days = days_in(found[1]) if found else None
    return DaysLater(found[0], days) if found and days else None


def _learned_hour(text: str) -> LearnedHour | None:
    found = _dated(text)
    at, _, before = found[1].partition("-") if found else ("", "", "")
    walls = _TIME.read(at), _TIME.read(before)
    return LearnedHour(found[0], *walls) if found and None not in walls else None


def _cleared(text: str) -> Cleared | None:
    found = _dated(text)
    return Cleared(*found) if found else None


def _wall(wall: time) -> str:
    return wall.strftime("%H:%M")


_YES_OR_NO: Final = _one_of({"yes": True, "no": False})
_WITHHELD: Final = _one_of({each.value: each for each in YesNoSkip})
_TIME: Final = _as("run_time", _wall, time.fromisoformat)
_ANY: Final = Written(str, str)
REPEAT: Final = "repeat:"  # before a rule's place among them
TOLD: Final = "told:"  # before a condition's id, the key of its row
CODEC: Final[Mapping[str, Written]] = {
    **dict.fromkeys(
        ("adult", "active", "disease", "signs", "coach_runs", "light_pictures", "pressure", "age_open"), _YES_OR_NO
    ),
    **dict.fromkeys(("pregnancy", "medicine", "doctor_knows"), _WITHHELD),
    "goal": _as("goal", lambda told: f"{told.goal} {told.minutes or ''}".strip(), _goal_told),
    "runs": _number(range(1_000_000)),
    "weekly": _number(range(MOST_A_WEEK + 1)),
    "longest": _number(range(MOST_A_DAY + 1)),
    "commute": _as("commute", lambda told: f"{told.activity} {told.minutes}" if told.activity else "no", _commute_told),
    "days": Written(days_text, days_in),
    "long_day": _one_of({name: day for day, name in enumerate(WEEKDAYS)}),
    "zone": _as("zone", str, str),
    "run_time": _TIME,
    "remind_at": Written(
        lambda told: told.value if isinstance(told, YesNoSkip) else _wall(told),
        lambda text: YesNoSkip.SKIP if text == SKIP else _TIME.read(text),
    ),
    "learned_hour": Written(lambda told: f"{told.day} {_wall(told.at)}-{_wall(told.before)}", _learned_hour),
    "quiet": _as("quiet", lambda told: f"{_wall(told.first)}-{_wall(told.last)}", _quiet_told),
    **dict.fromkeys(("country", "country_guess"), _ANY),
    "birth_year": Written(str, lambda text: YesNoSkip.SKIP if text == SKIP else _number(BIRTH_YEARS).read(text)),
    **dict.fromkeys(("resting_hr", "max_hr"), _number(range(30, 231))),
    "events_later": Written(lambda told: "; ".join(CODEC["event"].write(each) for each in told), _events_told),
    "event": _as("event", lambda told: f"{told.day.isoformat()} {told.what}", _event_told),
    "nudges": Written(lambda told: told.text, wish_of),
    DAYS_LATER: Written(lambda told: f"{told.start.isoformat()} {days_text(told.days)}", _days_later),
    "cleared": Written(lambda told: f"{told.day.isoformat()} {told.who}", _cleared),
    "steady_until": Written(date.isoformat, _calendar_day),
    **{row.field: _number(row.values) for row in intake.COACH_SETTINGS},
    "coach_not": Written(
        " ".join, lambda text: tuple(w for w in text.split() if w in intake.COACH_SETTING_BY_WORD) or None
    ),
}


def as_rows(told: Intake, keys: Iterable[str] = CODEC) -> dict[str, str]:
    """Everything that was told, as canonical text by the id of its question; of single answers those of `keys`."""
    values = ((key, getattr(told, key)) for key in keys)
    rows = {key: _written(key, value) for key, value in values if value not in (None, ())}
    rows |= {f"{REPEAT}{place}": each.text for place, each in enumerate(told.repeats)}
    return rows | {TOLD + each.id: each.day.isoformat() for each in told.conditions}


def differing_rows(before: Intake, after: Intake) -> tuple[dict[str, str], dict[str, str]]:
    """The rows of both without the single answers that are the same."""
    keys = [key for key in CODEC if getattr(before, key) != getattr(after, key)]
    return as_rows(before, keys), as_rows(after, keys)


def from_rows(rows: Mapping[str, str]) -> Intake:
    """What the rows say; one that cannot be read (an older version wrote it) counts as not told."""
    values: dict[str, Any] = {key: _read(key, text) for key, text in rows.items() if key in CODEC}
    repeats, conditions = [], []
    for key, text in sorted(each for each in rows.items() if each[0] not in CODEC):
        if key.startswith(REPEAT) and (repeat := repeat_of(text)) is not None:
            repeats.append(repeat)
        elif key.startswith(TOLD) and key != TOLD and (day := _calendar_day(text)) is not None:
            conditions.append(ToldCondition(key.removeprefix(TOLD), day))
    return Intake(**values, repeats=tuple(repeats), conditions=tuple(conditions))


# Answers are read and written with every line, and are few and much the same for all.
@lru_cache(maxsize=4096)
def _read(key: str, text: str) -> Any:
    return CODEC[key].read(text)


@lru_cache(maxsize=4096, typed=True)
def _written(key: str, value: Any) -> str:
    return CODEC[key].write(value)


def text_of(told: Intake, question: str) -> str:
    """One answer as canonical text, "" if nothing was told."""
    value = getattr(told, question)
    return "" if value is None else CODEC[question].write(value)


def with_answer(told: Intake, question: str, text: str | None) -> Intake:
    """What was told, with one answer more or another one; without it where `text` is not canonical, or None."""
    changes: dict[str, Any] = {question: None if text is None else CODEC[question].read(text)}
    return replace(told, **changes)
