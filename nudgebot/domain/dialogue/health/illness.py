"""An illness as a standing: entered by what is told, prolonged by it, and left by a question and a gentle way back.

Nothing is planned while it lasts; its end is never assumed. (docs/safety.md, "Ill")
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue.values import Heard, limit, today_of, with_note, with_pause
from nudgebot.domain.model.parameters import ILLNESS_LINGERS, OLD_ILLNESS
from nudgebot.domain.model.runner import Book, Ill, LimitReason, OnHold, SymptomNote
from nudgebot.domain.planning import planner
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.sayings import says_lifted, says_well
from nudgebot.domain.text.triage import Illness, Level, Verdict

COVID_TOLD = "covid told"  # the note by which an illness that follows soon is known as its return
JOINING_ILL = "ill at joining: "  # under this sign the notes keep an illness that was told during the intake


def record_illness(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The book with the illness that was told: as its standing, or under a hold, which wins."""
    today = today_of(book, heard)
    before = illness_of(book)
    back = any(note.sign == COVID_TOLD and today - note.day <= ILLNESS_LINGERS.span for note in book.symptoms)
    ill = before or Ill(today, last_ill=today, covid=back)
    over = not is_still_ill(book, heard, verdict)
    for each in verdict.told:
        last = _last_day(heard.text, today, past=each.past or over)
        ill = replace(ill, last_ill=later_of(ill.last_ill, last))
        match each.illness:
            case Illness.FEVER:
                ill = replace(ill, last_fever=later_of(ill.last_fever, last))
            case Illness.UPSET:
                ill = replace(ill, last_upset=later_of(ill.last_upset, last))
            case Illness.COVID:
                ill = replace(ill, covid=True)
                book = with_note(book, heard, Level.NONE.value, COVID_TOLD)
            case Illness.ILL:
                pass
    ill = replace(ill, deep=ill.deep or verdict.deep)
    if isinstance(book.standing, OnHold):
        return replace(book, standing=replace(book.standing, beneath=ill))
    if isinstance(book.standing, Ill):
        return replace(book, standing=ill)
    closed = limit(with_pause(book, today), (today,), LimitReason.ILL)
    return planner.pause(replace(closed, standing=ill, returning=None, half_runs=0), today)


def is_still_ill(book: Book, heard: Heard, verdict: Verdict) -> bool:
    """Whether an illness told is there now; not one that has lifted, nor one of a day gone of somebody who is well."""
    if not verdict.ill_now or says_lifted(heard.text):
        return False
    today = today_of(book, heard)
    named = read_days(heard.text, today, past=True)
    return not (says_well(heard.text) and named and max(named) < today)


def note_while_joining(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The book with an illness that was told during the intake kept for its end."""
    today = today_of(book, heard)
    notes = tuple(
        SymptomNote(
            _last_day(heard.text, today, past=each.past),
            Level.REST.value,
            f"{JOINING_ILL}{each.illness.value}",
            "deep" if verdict.deep else "",
            None,
            heard.at,
        )
        for each in verdict.told
    )
    return replace(book, symptoms=(*book.symptoms, *notes))


def begin_after_joining(book: Book, today: date) -> Book:
    """The book whose intake has just ended, ill where an illness was told meanwhile."""
    notes = [n for n in book.symptoms if n.sign.startswith(JOINING_ILL) and today - n.day <= OLD_ILLNESS.span]
    if not notes:
        return book

    def last(kind: Illness) -> date | None:
        return max((n.day for n in notes if n.sign == f"{JOINING_ILL}{kind.value}"), default=None)

    ill = Ill(
        min(n.day for n in notes),
        last(Illness.FEVER),
        last(Illness.UPSET),
        max(n.day for n in notes),
        last(Illness.COVID) is not None,
        any(n.spot == "deep" for n in notes),
    )
    return planner.pause(replace(book, standing=ill), today)


def illness_of(book: Book) -> Ill | None:
    """The illness that stands, or waits under a hold; None if there is none."""
    match book.standing:
        case Ill():
            return book.standing
        case OnHold(beneath=beneath):
            return beneath
        case _:
            return None


def is_on_its_way_back(book: Book, today: date) -> bool:
    """Whether the runner is ill, or on the gentle way back from an illness or a hold."""
    if isinstance(book.standing, Ill) or (book.walk_run is not None and book.walk_run.walk_until is not None):
        return True
    gentle = book.half_runs > 0 or (book.returning is not None and today <= book.returning.end)
    return gentle and any(today - pause.last <= ILLNESS_LINGERS.span for pause in book.pauses)


def later_of(one: date | None, other: date) -> date:
    """The later of two days, the first of which may not be known."""
    return other if one is None else max(one, other)


def _last_day(text: str, today: date, *, past: bool) -> date:
    """The last day of what is told: the latest day gone that the line names, yesterday where it is over, else today."""
    if not past:
        return today
    named = [day for day in read_days(text, today, past=True) if day <= today]
    return max(named, default=today - timedelta(days=1))


def with_last_day(book: Book, day: date) -> Book:
    """The book of somebody who is ill, with `day` as a day on which what was told was still there."""
    ill = book.standing
    if not isinstance(ill, Ill):
        return book
    fever, upset = (None if last is None else max(last, day) for last in (ill.last_fever, ill.last_upset))
    return replace(
        book, standing=replace(ill, last_ill=later_of(ill.last_ill, day), last_fever=fever, last_upset=upset)
    )


def with_fever_today(book: Book, today: date) -> Book:
    """The book of somebody who is ill, with today as a day of fever."""
    ill = book.standing
    return replace(book, standing=replace(ill, last_fever=today, last_ill=today)) if isinstance(ill, Ill) else book
