"""What a hold rests on: its signs and their days, whose word ends it, and from when on that word is taken."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Final

from nudgebot.domain.dialogue.values import rank_of
from nudgebot.domain.model.parameters import EMERGENCY_WAIT
from nudgebot.domain.model.runner import Book, OnHold, SymptomNote, Walking
from nudgebot.domain.text.symptoms.clearance import Clearer
from nudgebot.domain.text.symptoms.table import MIND, PREGNANCY, is_muscle_or_joint
from nudgebot.domain.text.triage import Level

HOLD_ENDED: Final = "hold_ended"  # the note that parts the signs of an old hold from those of a new one


def word_counts(book: Book, clearer: Clearer) -> bool:
    """Whether the word of somebody of that kind ends the hold."""
    match clearer:
        case Clearer.DOCTOR:
            return True
        case Clearer.MIDWIFE:
            return midwife_counts(book)
        case Clearer.PHYSIO:
            return physio_counts(book)
        case Clearer.NOBODY | Clearer.UNTOLD:
            return False


def midwife_counts(book: Book) -> bool:
    """Whether every sign of the hold, or what is walked for, is of pregnancy."""
    standing = book.standing
    if isinstance(standing, Walking):
        return standing.why == "pregnancy"
    return isinstance(standing, OnHold) and signs_of(book, standing) <= PREGNANCY


def physio_counts(book: Book) -> bool:
    """Whether every sign of the hold is of muscle, bone or joint."""
    standing = book.standing
    return isinstance(standing, OnHold) and all(is_muscle_or_joint(sign) for sign in signs_of(book, standing))


def open_notes(book: Book) -> tuple[SymptomNote, ...]:
    """The complaints that belong to the hold that stands, oldest first."""
    ends = [place for place, note in enumerate(book.symptoms) if note.sign == HOLD_ENDED]
    since = book.symptoms[ends[-1] + 1 :] if ends else book.symptoms
    return tuple(n for n in since if rank_of(n.level) >= Level.CLINICIAN.rank and n.sign not in MIND)


def signs_of(book: Book, standing: OnHold) -> frozenset[str]:
    """Every sign of the hold."""
    return frozenset({standing.sign, *(note.sign for note in open_notes(book))})


def said_on(book: Book, standing: OnHold) -> date:
    """The day of the sentence that is kept."""
    return next((note.day for note in open_notes(book) if note.sign == standing.sign), book.today(standing.since))


def reported_on(book: Book, standing: OnHold) -> date:
    """The day of the newest sign: whoever was seen before it could not know of it."""
    return max((book.today(standing.since), *(note.day for note in open_notes(book))))


def earliest_word(book: Book, standing: OnHold) -> datetime | None:
    """The instant from which a word on running is taken; None if it is at any time.

    A day after an emergency is always another calendar day than its own.
    """
    times = [standing.since] if standing.level == Level.EMERGENCY.value else []
    times += [note.at for note in open_notes(book) if note.level == Level.EMERGENCY.value and note.at is not None]
    return max(times) + timedelta(hours=EMERGENCY_WAIT.value) if times else None
