"""Nudges after a complaint, in an illness, after low mood and on hold."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book, Ill, OnHold, at_wall
from nudgebot.domain.nudging import times
from nudgebot.domain.nudging.calls import WHILE_ILL, Call
from nudgebot.domain.planning.gap import day_exists
from nudgebot.domain.text.symptoms.groups import MIND

FOLLOW_UP_AFTER, FOLLOW_UP_EVERY = rules.FOLLOW_UP_FIRST.span, rules.FOLLOW_UP_NEXT.span


def days_around(book: Book, now: datetime) -> Iterator[date]:
    """The runner's days from a day before `now` to a day after it, those that exist in their zone."""
    today = book.local(now).date()
    for offset in (-1, 0, 1):
        day = today + timedelta(days=offset)
        if day_exists(day, book.profile.zone):
            yield day


def how_are_you(book: Book, now: datetime, *, mood_alone: bool = False) -> Iterator[Call]:
    """The kind question on the day after a complaint, and after low mood; `mood_alone` on hold."""
    for day in days_around(book, now) if book.symptoms else ():
        before = day - timedelta(days=1)
        complained = any(note.day == before and note.level == "rest" for note in book.symptoms)
        if (complained and not mood_alone) or asks_about_mood(book, day):
            yield Call(NudgeKind.HOW_ARE_YOU, day, "", times.question_due(book, day))


def how_are_you_ill(book: Book, ill: Ill) -> Iterator[Call]:
    """The question on the days of an illness on which it is asked."""
    for after in rules.ILL_DAYS:
        day = ill.since + after.span
        if day_exists(day, book.profile.zone):
            yield Call(NudgeKind.HOW_ARE_YOU, day, WHILE_ILL, times.question_due(book, day))


def asks_about_mood(book: Book, day: date) -> bool:
    """Whether low mood was told a day or three days before `day`."""
    return any(
        note.sign in MIND and day - note.day in (rules.MOOD_DAY.span, rules.MOOD_LATER.span) for note in book.symptoms
    )


def follow_ups(book: Book, hold: OnHold) -> Iterator[Call]:
    """The question after a hold, whether a clinician has been seen."""
    first = book.local(hold.since + FOLLOW_UP_AFTER)
    for n in range(rules.FOLLOW_UPS_MOST.value):
        day = first.date() + n * FOLLOW_UP_EVERY
        at = at_wall(day, first.time().replace(fold=first.fold), book.profile)
        due = times.quiet_until(book, at) or at
        yield Call(NudgeKind.SAFETY_FOLLOWUP, day, str(n + 1), due)
