"""Busy days out of a calendar: shown back first, planned around once the runner says so."""

from __future__ import annotations

from datetime import date

from nudgebot.domain.calendar.busy import limited_days
from nudgebot.domain.dialogue.values import Answer, Heard, ask, replan_and_say, say, today_of, with_limits
from nudgebot.domain.messages.plan import calendar as words
from nudgebot.domain.model.actions import Agreed
from nudgebot.domain.model.busy import BusyTimes
from nudgebot.domain.model.questions import Ask, Asked
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason

YES_NO = (("Plan around them", Agreed(True)), ("Leave it", Agreed(False)))


def ask_about(book: Book, heard: Heard, times: BusyTimes) -> Answer:
    """The days that a calendar closes or shortens, asked about; nothing is kept of what it leaves open."""
    today = today_of(book, heard)
    limits = limited_days(book, times, today)
    if not limits:
        return say(book, words.NOTHING_BUSY)
    detail = ",".join(f"{day.isoformat()}={minutes}" for day, minutes in limits.items())
    return ask(book, heard, Ask.BUSY_DAYS, words.ask_about_busy_days(limits, today), YES_NO, detail=detail, line="")


def plan_around(book: Book, heard: Heard, asked: Asked, *, yes: bool) -> Answer:
    """The days planned around, or left as they are."""
    if not yes:
        return say(book, words.BUSY_DROPPED)
    pairs = (each.split("=") for each in asked.detail.split(","))
    limits = tuple(DayLimit(date.fromisoformat(day), int(minutes), LimitReason.BUSY) for day, minutes in pairs)
    return replan_and_say(with_limits(book, limits), heard, words.confirm_busy_days(len(limits)))
