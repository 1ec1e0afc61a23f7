"""An event with a date: told, taken off, run."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from nudgebot.domain.dialogue.settings import change_setting, named_setting
from nudgebot.domain.dialogue.values import Answer, Heard, ask, replan, say, today_of, with_entries
from nudgebot.domain.messages.plan import changes as words
from nudgebot.domain.messages.plan.changes import with_plan
from nudgebot.domain.model.actions import Undo
from nudgebot.domain.model.event import without_event
from nudgebot.domain.model.intake import DatedEvent
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.parameters import TOLD_FOR
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold
from nudgebot.domain.model.speech import Button
from nudgebot.domain.planning import limits
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import Intent, Reading, read_minutes
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")


def answer_event(book: Book, heard: Heard, reading: Reading) -> Answer | None:
    """The answer to a line about an event, ahead or just over; None for any other."""
    if isinstance(book.standing, Joining | OnHold | Ill):
        return None
    today, line = today_of(book, heard), squeezed(heard.text)
    event = book.intake.event
    over = event is not None and timedelta() <= today - event.day <= timedelta(days=TOLD_FOR.value)
    if event is not None and over and not any(entry.day == event.day and entry.is_run for entry in book.log):
        return _answer_after(book, heard, event, line, reading)
    if event is not None and event.day >= today and P.called_off.search(line) and P.event.search(line):
        return _take_off(book, heard)
    if reading.intent is Intent.LOG and reading.minutes is not None:
        return None
    fact = named_setting.fact_in(heard.text, today)
    return change_setting.ask_setting(book, heard, *fact) if fact is not None and fact[0] == "event" else None


def _answer_after(book: Book, heard: Heard, event: DatedEvent, line: str, reading: Reading) -> Answer | None:
    """A line on the day of the event, or right after it."""
    minutes = reading.minutes if reading.intent is Intent.LOG else None
    if minutes is None and (P.finished.search(line) or reading.intent is Intent.LOG):
        minutes = read_minutes(heard.text)
    about = reading.day in {None, event.day} or heard.at.date() == event.day
    if minutes is not None and about and (P.finished.search(line) or reading.intent is Intent.LOG):
        return log_event(book, heard, event, minutes, reading)
    if P.stopped_early.search(line):
        return ask(book, heard, Ask.MINUTES, words.DID_NOT_FINISH, day=event.day)
    if P.finished.search(line):
        return ask(book, heard, Ask.MINUTES, f"{words.FINISHED} {words.HOW_LONG}", day=event.day)
    if P.called_off.search(line) or (reading.intent is Intent.SKIP and today_of(book, heard) == event.day):
        return _take_off(book, heard)
    return None


def log_event(book: Book, heard: Heard, event: DatedEvent, minutes: int, reading: Reading) -> Answer:
    """The event in the log: whatever its length it counts, it was hard, and nobody calls it a jump."""
    entry = LogEntry(
        heard.key, event.day, minutes, effort=reading.rpe, heart_rate=reading.heart_rate,
        distance_km=reading.distance_km, hard=True, cap=limits.session_max(book, event.day), noted_at=heard.at,
    )  # fmt: skip
    after, _ = replan(with_entries(book, (entry,)), heard)
    text = words.congratulate(event, minutes, today_of(book, heard))
    return say(after, text, Button("Undo", Undo(heard.key)))


def _take_off(book: Book, heard: Heard) -> Answer:
    """The event taken off, with the days it had closed."""
    today = today_of(book, heard)
    off = replace(book, intake=without_event(book.intake, heard.text))
    after, replanned = change_setting.lay_around_event(off, heard, book.intake.event)
    return say(after, with_plan(words.TAKEN_OFF, after, today, replanned))
