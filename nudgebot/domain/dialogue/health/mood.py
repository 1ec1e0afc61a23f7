"""Low mood and thoughts of self-harm without intent: a doctor or the crisis line, no hold, nothing that grows."""

from __future__ import annotations

from dataclasses import replace

from nudgebot.domain.dialogue.runs.log_run import store
from nudgebot.domain.dialogue.values import Answer, Heard, say, with_note
from nudgebot.domain.messages.health import mood as words
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.model.speech import SAFETY
from nudgebot.domain.text.reply import Reading
from nudgebot.domain.text.symptoms.table import MIND
from nudgebot.domain.text.triage import Level, Verdict


def is_about_mood(verdict: Verdict) -> bool:
    """Whether low mood or such thoughts are the gravest that a line tells, and nothing of the body stands beside it."""
    grave = {sign.id for sign in verdict.signs if sign.level.rank >= Level.CLINICIAN.rank}
    return verdict.level is not Level.EMERGENCY and not verdict.about_other and bool(grave) and grave <= MIND


def answer_low_mood(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> Answer:
    """The kind answer; a finished run in the line is kept. Running is not taken away: moving helps many."""
    book, entries = store(book, heard, reading)
    after = replace(with_note(book, heard, verdict.level.value, verdict.sign), asked=None)
    text = words.answer(
        verdict.language,
        book.profile.country,
        thoughts=verdict.level is Level.URGENT,
        optional=isinstance(book.standing, Training | Walking),
        minutes=sum(entry.minutes for entry in entries) or None,
    )
    return say(after, text, kind=SAFETY)


def is_asked_about(book: Book) -> bool:
    """Whether the last complaint was one of mood, so that "better" or "worse" is about that."""
    return bool(book.symptoms) and book.symptoms[-1].sign in MIND


def take_feeling(book: Book, heard: Heard, how: str) -> Answer:
    """Better, the same or worse: worse is told as if it had just been written, and asked about again."""
    after = replace(book, asked=None)
    if how == "worse":
        last = book.symptoms[-1]
        after = with_note(after, heard, last.level, last.sign)
    return say(after, words.answer_feeling(how, book.profile.country), kind=SAFETY)
