"""What a line is for with its days: the value, and the days that belong to each intent."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.log_lines.dates import WEEK_DAYS, Named, Shape, shifted, stretch
from nudgebot.domain.text.log_lines.result import Intent


class Purpose(NamedTuple):
    """An intent with the days and the number that belong to it."""

    intent: Intent
    day: date | None = None
    days: tuple[date, ...] = ()
    minutes: int | None = None
    ask_back: bool = False


def dates_of(named: list[Named], today: date, past: bool = False) -> tuple[date, ...]:
    """All the days named, in order."""
    found: set[date] = set()
    for day in named:
        if day.shape is Shape.LENGTH:
            start = max(found) if found else today
            found.update(stretch(start, next(iter(shifted(start, day.length - 1)), start)))
        else:
            found.update(day.dates(past))
    return tuple(sorted(found))


def reached(dates: tuple[date, ...], today: date) -> tuple[date, ...]:
    """The day that a move from one weekday to another goes to: "Friday to Thursday" is the Thursday before."""
    early = shifted(dates[-1], -WEEK_DAYS)
    return early if early and early[0] >= today else dates[-1:]


def days_away(named: list[Named], today: date) -> tuple[date, ...]:
    """The days of a pause that the expressions name; none where its end is open: "from Monday"."""
    shapes = {day.shape for day in named}
    ends = Shape.FROM not in shapes or bool(shapes & {Shape.LENGTH, Shape.UNTIL})
    return dates_of(named, today) if ends else ()


def with_days(intent: Intent, cues: frozenset[Cue], named: list[Named], limits: list[int], today: date) -> Purpose:
    """An intent with the days named, and the limit or the corrected value, the last of `limits`."""
    match intent:
        case Intent.SKIP:
            past = dates_of(named, today, past=True)
            ahead = dates_of(named, today)
            is_open = all(day.tense == 0 and day.is_open for day in named)
            if ahead and is_open and Cue.CANNOT in cues and not cues & {Cue.DID, Cue.RAN}:
                return Purpose(Intent.BUSY, ahead[0], ahead)  # "dentist on friday, no run"
            coming = tuple(day for day in dates_of(named, today) if day > today)
            if coming and all(day.tense > 0 for day in named):
                return Purpose(Intent.BUSY, coming[0], coming)
            return Purpose(intent, past[0] if past else today)
        case Intent.MOVE:
            dates = dates_of(named, today)
            if not dates:
                return Purpose(intent, today, (), ask_back=True)
            if len(named) == 1 and named[0].shape in {Shape.UNTIL, Shape.LENGTH}:
                late = named[0].shape is Shape.LENGTH  # "by two days" counts from today, "till Saturday" is Saturday
                return Purpose(intent, today, shifted(dates[-1], late))
            if len(named) == 1 and named[0].shape is Shape.SEVERAL and named[0].paired:
                return Purpose(intent, dates[0], reached(dates, today))  # "Monday to Thursday"
            if len(dates) > 1:
                return Purpose(intent, dates[0], dates[1:])
            return Purpose(intent, today, dates)
        case Intent.BUSY:
            dates = dates_of(named, today) or (today,)
            if dates == (today,) and Cue.BUSY not in cues:
                return Purpose(Intent.SKIP, today)  # "can't today" is no run, "busy today" a closed day
            return Purpose(intent, dates[0], dates)
        case Intent.AWAY:
            dates = days_away(named, today)
            first = next(iter(dates_of(named, today)), today)
            return Purpose(intent, dates[0] if dates else first, dates, ask_back=not dates)
        case Intent.UNDO:
            return Purpose(intent, minutes=limits[-1] if limits else None)
        case Intent.BACK | Intent.STATUS:
            dates = dates_of(named, today)
            return Purpose(intent, dates[0] if len(dates) == 1 else None)
        case _:
            return Purpose(intent)
