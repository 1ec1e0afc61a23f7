"""A line as one intent: the reading with the days, the numbers and the activity that belong to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.text.learned import sums
from nudgebot.domain.text.learned.mentions import LIMIT, NEW, Numeral
from nudgebot.domain.text.learned.stack import Weighed
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.log_lines.days_off import stretch_of_month
from nudgebot.domain.text.log_lines.intents import LONG_BREAK
from nudgebot.domain.text.log_lines.purposes import with_days
from nudgebot.domain.text.log_lines.result import Intent, Reading, Run
from nudgebot.domain.text.log_lines.rules import Parsed, extras_of
from nudgebot.domain.text.log_lines.runs import activity_of
from nudgebot.domain.text.log_lines.units import Sort

LEAST_ROLE = Rule(
    "that a number is the limit or the corrected value", 50, "% likely", "left-out-writers", Choice.MEASURED
)


def is_pause(rules: Reading) -> bool:
    """Whether the rules read a stretch of days without a run."""
    return rules.intent is Intent.AWAY and len(rules.days) >= LONG_BREAK


def read_as(parse: Parsed, weighed: Weighed, intent: Intent) -> Reading:
    """The line as one intent, with the days and numbers that belong to it."""
    rules = parse.reading
    if is_pause(rules):
        if intent in {Intent.SKIP, Intent.BUSY}:
            return rules  # no run on any of these days: a stretch of them is a pause
        if intent is Intent.SYMPTOM:  # asked about, and whoever says so, the days are kept free
            return replace(rules, intent=intent, second_intent=Intent.AWAY)
    if intent is Intent.LOG:
        if weighed.based.sums:
            return as_run(parse, weighed, weighed.based.sums[0][1])
        extras = extras_of(parse.amounts)
        return Reading(
            Intent.LOG, day=_day_done(parse), ask_back=True, language=rules.language, distance_km=_distance(parse),
            heart_rate=extras.get(Sort.PULSE), rpe=extras.get(Sort.EFFORT),
        )  # fmt: skip
    if rules.intent is intent:
        reading = rules
    else:
        what = parse.purpose
        if what is None or what.intent is not intent:
            cues: frozenset[Cue] = frozenset().union(*[clause.cues for clause in parse.clauses])
            what = with_days(intent, cues, list(parse.days), [], parse.today)
        reading = Reading(intent, what.minutes, what.day, what.days, ask_back=what.ask_back, language=rules.language)
    if intent is Intent.AWAY and reading.ask_back and (dates := stretch_of_month(parse.line, parse.today)):
        reading = replace(reading, day=dates[0], days=dates, ask_back=False)
    role = {Intent.BUSY: LIMIT, Intent.UNDO: NEW}.get(intent)
    if role is not None and reading.minutes is None:
        reading = replace(reading, minutes=_of_role(weighed, role))
    return reading


def _of_role(weighed: Weighed, role: int) -> int | None:
    """The minutes of the number that most likely has a role; None where none likely has it."""
    based = weighed.based
    at = max(range(len(based.mentions)), key=lambda n: based.roles[n][role], default=None)
    return int(based.mentions[at].values[0]) if at is not None and based.roles[at][role] >= LEAST_ROLE.share else None


def as_run(parse: Parsed, weighed: Weighed, candidate: sums.MinutesOption) -> Reading:
    """A finished run of the candidate's minutes; the rules' own run where the minutes are theirs."""
    rules, told = parse.reading, parse.told
    if told.runs and rules.intent is Intent.LOG and sums.rules_minutes(parse) == candidate.minutes:
        return replace(rules, ask_back=False)
    parts = [weighed.based.mentions[at] for at in candidate.parts]
    logs = _on_days(parse, parts)
    taken = sums.places_of(weighed.based.mentions, candidate)
    extras = extras_of([a for a in parse.amounts if taken.isdisjoint(range(a.first, a.last))])
    what = parse.purpose
    beside = what.intent if what is not None and what.days and rules.intent is Intent.LOG else None
    return Reading(
        Intent.LOG,
        minutes=None if logs else candidate.minutes,
        day=None if logs else _day_done(parse, min(taken, default=0)),
        logs=logs,
        days=what.days if what is not None and beside else (),
        heart_rate=extras.get(Sort.PULSE),
        rpe=extras.get(Sort.EFFORT),
        distance_km=_distance(parse),
        activity=_activity(parse, parts, taken),
        second_intent=beside,
        language=rules.language,
    )


def _on_days(parse: Parsed, parts: Sequence[Numeral]) -> tuple[Run, ...]:
    """A run on each of several days gone that stand beside the parts of a sum, one for one; else nothing."""
    days = _days_gone(parse) if len(parts) > 1 else []
    if not days or len(days) != len(parts) or len({day for _, day in days}) != len(days):
        return ()
    firsts = [part.first for part in parts]
    before = all(at < first for (at, _), first in zip(days, firsts, strict=True))
    behind = all(at > first for (at, _), first in zip(days, firsts, strict=True))
    if not (before or behind):
        return ()
    found = [Run(day, int(part.values[0])) for (_, day), part in zip(days, parts, strict=True)]
    return tuple(sorted(found, key=lambda run: run.day))


def _days_gone(parse: Parsed) -> list[tuple[int, date]]:
    """The last day gone of each day expression that has one, with the place of the expression."""
    return [
        (named.first, max(past))
        for named in parse.days
        if (past := [day for day in named.gone if day <= parse.today]) and named.tense <= 0
    ]


def _distance(parse: Parsed) -> float | None:
    far = parse.told.distance_km or sum(a.value for a in parse.amounts if a.sort is Sort.DISTANCE)
    return round(far, 3) if far else None


def _day_done(parse: Parsed, at: int = 0) -> date:
    """The day a run was done: the rules', else the last day gone of the expression that is nearest to `at`."""
    if parse.reading.intent is Intent.LOG and parse.reading.day is not None:
        return parse.reading.day
    return min([(abs(place - at), day) for place, day in _days_gone(parse)], default=(0, parse.today))[1]


def _activity(parse: Parsed, parts: Sequence[Numeral], taken: set[int]) -> Activity:
    """What moved: of the longest part as the rules read it, else said beside the numbers, which have the places
    `taken`, else anywhere in the line.
    """
    longest = int(max((part.values[0] for part in parts), default=0))
    if len(parts) > 1 and parse.reading.intent is Intent.LOG and parse.reading.minutes == longest:
        return parse.reading.activity
    near = [clause for clause in parse.clauses if not taken.isdisjoint(range(clause.first, clause.last))]
    named = (activity_of(parse.line, clause) for clause in (*near, *parse.clauses))
    return next((activity for activity in named if activity is not None), Activity.RUN)
