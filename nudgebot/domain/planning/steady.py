"""Times in which a plan does not grow, however well weeks went: after an emergency, in low mood, with a condition."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.model.parameters import STEADY_AFTER_EMERGENCY, STEADY_AFTER_LOW_MOOD
from nudgebot.domain.model.runner import Book
from nudgebot.domain.profile import conditions
from nudgebot.domain.text.symptoms.table import MIND


def steady(book: Book, day: date) -> bool:
    """Whether the week that begins on `day` is no larger than the one before it."""
    return day < steady_until(book) or low(book, day) or conditions.keeps_level(book.intake)


def after_emergency(book: Book, today: date) -> Book:
    """The book of a runner who runs again after an emergency on `today`."""
    until = today + timedelta(days=STEADY_AFTER_EMERGENCY.value)
    return replace(book, intake=replace(book.intake, steady_until=until))


def steady_until(book: Book) -> date:
    """The first day on which the plan may grow again after an emergency; long past where there was none."""
    return book.intake.steady_until or date.min


def low(book: Book, day: date) -> bool:
    """Whether low mood was told in the two weeks up to `day`: sessions are optional then, and no gap is warned of."""
    most = timedelta(days=STEADY_AFTER_LOW_MOOD.value)
    return any(note.sign in MIND and note.day <= day < note.day + most for note in book.symptoms)
