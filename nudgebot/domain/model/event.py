"""An event with a date: what it asks of the days around it, by its distance."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.intake import DatedEvent, Intake
from nudgebot.domain.model.parameters import Rule

KM_IN_A_MILE: Final = 1.609344  # exact: international yard and pound agreement of 1959
HALF, MARATHON = 21.0975, 42.195  # km; World Athletics, Book of Rules, distances of road races
_HALF: Final = re.compile(r"\b(?:half|halb\w*|semi|media|meia)\b|halbmarathon|semi-?marathon")
_MARATHON: Final = re.compile(r"marat(?:h?on|ona)")
_DISTANCE: Final = re.compile(r"(\d{1,3}(?:[.,]\d)?)[ -]?(k|km|kilomet\w*|mi|miles?|milers?)\b")
_SPELT: Final = {"five k": 5.0, "ten k": 10.0, "ten miler": 10 * KM_IN_A_MILE, "ten mile": 10 * KM_IN_A_MILE}


def kilometres(what: str) -> float | None:
    """The distance of an event in km by its name ("10k", "ten miler", "half marathon"); None if it tells none."""
    line = what.casefold()
    if found := _DISTANCE.search(line):
        far = float(found[1].replace(",", "."))
        return far if found[2].startswith("k") else far * KM_IN_A_MILE
    if _MARATHON.search(line) or re.search(r"\bsemi\b|\ba half\b", line):
        return HALF if _HALF.search(line) else MARATHON
    return next((km for name, km in _SPELT.items() if name in line), None)


def events_ahead(told: Intake) -> tuple[DatedEvent, ...]:
    """The events that were told, the nearest first."""
    return () if told.event is None else (told.event, *told.events_later)


def with_event(told: Intake, event: DatedEvent, today: date) -> Intake:
    """What was told, with one event more, the nearest first; one of the same name has another date."""
    held = [each for each in events_ahead(told) if each.day >= today]
    names = [each for each in held if each.what.casefold() != event.what.casefold() and each.day != event.day]
    first, *later = sorted([*names, event], key=lambda each: each.day)[: rules.EVENTS_AHEAD.value]
    return replace(told, event=first, events_later=tuple(later))


def without_event(told: Intake, what: str) -> Intake:
    """What was told, without the event whose distance `what` names, else without the nearest."""
    held = events_ahead(told)
    far = kilometres(what)
    off = next((each for each in held if far is not None and kilometres(each.what) == far), told.event)
    left = [each for each in held if each != off]
    return replace(told, event=left[0] if left else None, events_later=tuple(left[1:]))


def with_next_event(told: Intake, today: date) -> Intake | None:
    """What was told, with the next event as the nearest once the last one and its rest are over; None before that.

    One that is a week away or less is waited for no longer, two days after the last.
    """
    if not told.events_later or (event := told.event) is None:
        return None
    following, *later = told.events_later
    near = today >= following.day - timedelta(days=rules.EVENT_LAST_LONG.value)
    if today <= (event.day + timedelta(days=rules.TOLD_FOR.value) if near else last_rest_day(event)):
        return None
    return replace(told, event=following, events_later=tuple(later))


def rest_rule(event: DatedEvent) -> Rule:
    """How many days of rest and easy walking follow: of an unknown distance as after a half marathon."""
    km = kilometres(event.what)
    if km is not None and km <= rules.EVENT_SHORT.value:
        return rules.EVENT_REST_SHORT
    return rules.EVENT_REST_MARATHON if km is not None and km > HALF else rules.EVENT_REST_HALF


def last_rest_day(event: DatedEvent) -> date:
    """The last day of rest after it."""
    return event.day + timedelta(days=rest_rule(event).value)


def closes(event: DatedEvent | None, day: date) -> bool:
    """Whether the event keeps sessions off `day`: the eve, the day itself, and the days of rest after it."""
    if event is None:
        return False
    return event.day - timedelta(days=rules.EVENT_LAST_RUN.value) < day <= last_rest_day(event)
