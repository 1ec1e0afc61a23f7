"""An illness: nothing is planned while it lasts, its end is asked for, and the way back is gentle."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue.values import (
    Answer,
    Heard,
    ask,
    replan,
    say,
    today_of,
    with_limits,
    with_pause,
    without_limits,
)
from nudgebot.domain.messages import health as words
from nudgebot.domain.model.runner import Ask, Book, DayLimit, Ill, LimitReason, Training
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import places
from nudgebot.domain.text.reply import read_days

FEVER_WAIT = timedelta(days=3)  # 72 h after the last fever (house; the upper end of 24-72 h, coaching practice)
WELL = re.compile(
    r"\b(?:better|(?:fine|ok|okay|well|healthy|good) (?:again|now)|recovered|back to normal|no (?:more )?fever|"
    r"fever(?: i)?s? (?:is |has |has been )?(?:gone|over))\b"
)
NOT_WELL = re.compile(r"\b(?:not|isnt|no|hardly|never) (?:\w+ )?better\b|\bworse\b")


def says_well(text: str) -> bool:
    """Whether somebody who was ill says that it is over."""
    line = places.fold(text)
    return WELL.search(line) is not None and not NOT_WELL.search(line)


def back_from_illness(book: Book, heard: Heard) -> Answer:
    """The first question back after an illness; a later day with a fever, where the line names one, is kept."""
    ill, today = book.standing, today_of(book, heard)
    if isinstance(ill, Ill) and ill.last_fever is not None and "fever" in heard.text.casefold():
        named = [day for day in read_days(heard.text, today, past=True) if ill.last_fever < day <= today]
        book = replace(book, standing=replace(ill, last_fever=max(named, default=ill.last_fever)))
    return ask(book, heard, Ask.ILL_BACK, words.FIRST_QUESTION_BACK, words.YES_NO)


def no_heart_sign(book: Book, heard: Heard) -> Answer:
    """No to the first question back starts the way back, 72 h after the last fever at the earliest."""
    today = today_of(book, heard)
    book = replace(book, asked=None)
    last = book.standing.last_fever if isinstance(book.standing, Ill) else None
    after, text = _well_again(book, heard, last)
    if last is None:
        return say(after, text)
    said = f"{text}\n{words.last_fever(last, today)}"
    return ask(after, heard, Ask.LAST_FEVER, said, words.later_fever(last, today), day=last)


def fever_lasted(book: Book, heard: Heard, last: date) -> Answer:
    """The fever went on to `last`, the later of what was told before and now: the wait is counted from there."""
    return say(*_well_again(book, heard, last))


def _well_again(book: Book, heard: Heard, last_fever: date | None) -> tuple[Book, str]:
    """The book on the way back from an illness, running 72 h after the last fever at the earliest, and the words."""
    today = today_of(book, heard)
    days = 0 if last_fever is None else max(0, ((last_fever + FEVER_WAIT) - today).days)
    wait = tuple(DayLimit(today + timedelta(days=i), 0, LimitReason.ILL) for i in range(days))
    opened = without_limits(
        book, {lim.day for lim in book.limits if lim.day >= today and lim.reason is LimitReason.ILL}
    )
    opened = with_pause(opened, today)
    after = replace(with_limits(opened, wait) if wait else opened, standing=Training())
    after = planner.after_illness(after, today + timedelta(days=days))
    after, replanned = replan(after, heard)
    return after, words.well_again(after, today, days, replanned)
