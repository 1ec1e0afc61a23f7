"""A hold: how it begins, what it rests on, whose word ends it and from when on.

A hold that rests on a number alone has a button that says what else the number was, which lifts it at once. Where
words carried the level too there is no such button. (docs/safety.md, "Hold")
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final

from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.values import (
    Answer,
    Heard,
    rank_of,
    replan,
    say,
    standing_when_well,
    today_of,
    with_pause,
)
from nudgebot.domain.messages.health import hold as words
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.messages.runs import say_counted
from nudgebot.domain.model.actions import NumberWas, Resume, Undo
from nudgebot.domain.model.parameters import EMERGENCY_WAIT
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, SymptomNote, Walking
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake
from nudgebot.domain.text.illness_talk import Clearer
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.sayings import asks_about_moving
from nudgebot.domain.text.symptoms.table import MIND, PREGNANCY, is_muscle_or_joint
from nudgebot.domain.text.triage import Level, Verdict

MINUTES_OF_A_RUN = range(1, 301)  # of one run that a number taken for something else can have been
WERE_MINUTES = re.compile(
    r"\W*(?:those|that|it|these|they) (?:were|was|are|is) (?:the )?min(?:ute)?s\W*", re.IGNORECASE
)
A_SLIP = re.compile(r"\W*(?:the|that) number was a slip\W*", re.IGNORECASE)


def put_on_hold(
    book: Book, heard: Heard, level: Level, sign: str, *, asked_yes: bool = False, number: str = ""
) -> Book:
    """The book on hold: no session is planned any more. A hold as grave that already stands is kept.

    A second emergency starts the day again in which no word on running is taken. An illness waits under the hold.
    `number` is the number that alone carried the level, "" if words did, or if another sign was told before or after.
    """
    standing = book.standing
    if isinstance(standing, OnHold) and Level(standing.level).rank >= level.rank:
        since = heard.at if level is Level.EMERGENCY else standing.since
        kept = replace(standing, since=since, clearing=None, asked_yes=standing.asked_yes or asked_yes, number="")
        return replace(book, standing=kept, plan=(), asked=None)
    beneath = standing if isinstance(standing, Ill) else standing.beneath if isinstance(standing, OnHold) else None
    number = "" if isinstance(standing, OnHold) else number
    hold = OnHold(heard.at, level.value, sign, heard.text, asked_yes=asked_yes, number=number, beneath=beneath)
    return replace(with_pause(book, today_of(book, heard)), standing=hold, plan=(), asked=None, returning=None)


def show_hold(book: Book, heard: Heard | None = None) -> Answer:
    """What a line that is no log and no end of the hold gets: how it ends; within a day of an emergency the call."""
    country = book.profile.country
    fresh = heard is not None and is_fresh(book, heard)
    text = words.same_day(country) if fresh else words.hold_page(book.standing, country)
    return say(book, text, Button(words.CLEARED, Resume()), kind=SAFETY)


def is_fresh(book: Book, heard: Heard) -> bool:
    """Whether the emergency of a hold is so fresh that nobody's word on running is taken yet."""
    earliest = earliest_word(book, book.standing) if isinstance(book.standing, OnHold) else None
    return earliest is not None and heard.at < earliest


def answer_about_moving(book: Book, heard: Heard) -> Answer | None:
    """The answer to whether walking, cycling or the like may go on; None for a line that does not ask it."""
    if not asks_about_moving(heard.text):
        return None
    standing = book.standing
    # What cannot bear weight or is hot is of muscle and joint too: only the mildest hold leaves walking free.
    mild = isinstance(standing, OnHold) and standing.level == Level.CLINICIAN.value and physio_counts(book)
    text = words.MOVING_EASILY if mild else words.answer_moving(book.profile.country)
    return say(book, text, Button(words.CLEARED, Resume()), kind=SAFETY)


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


def offer_button(verdict: Verdict, since: datetime, *, counted_already: bool) -> Button | None:
    """The button of a first answer that says what else the number was; None if words carried the level too."""
    minutes = _minutes(verdict.number)
    if not verdict.number:
        return None
    as_minutes = minutes is not None and not counted_already
    return Button(words.WERE_MINUTES if as_minutes else words.A_SLIP, NumberWas(since, as_minutes))


def lift_if_corrected(book: Book, heard: Heard) -> Answer | None:
    """The hold lifted and the log mended; None if the hold rests on more than a number, or the line says no such."""
    hold = book.standing
    if not isinstance(hold, OnHold) or not hold.number:
        return None
    as_minutes = WERE_MINUTES.fullmatch(heard.text) is not None
    if not as_minutes and A_SLIP.fullmatch(heard.text) is None:
        return None
    return lift_number_hold(book, heard, hold, as_minutes=as_minutes)


def lift_number_hold(book: Book, heard: Heard, hold: OnHold, *, as_minutes: bool) -> Answer:
    """The hold lifted, which rests on a number alone; `as_minutes`, with the number counted as a run."""
    today = today_of(book, heard)
    day = book.today(hold.since)
    earlier = hold.beneath if hold.beneath is not None and hold.beneath.since < day else None
    notes = tuple(note for note in book.symptoms if note.at != hold.since)
    back = replace(with_pause(book, today), symptoms=notes, asked=None)
    if intake.next_question(book.intake) is not None:
        return say(replace(back, standing=Joining()), words.LIFTED_JOINING)
    after = replace(back, standing=earlier or standing_when_well(back, heard.now))
    first = words.LIFTED
    buttons: tuple[Button, ...] = ()
    minutes = _minutes(hold.number)
    if as_minutes and minutes is not None:
        run = Reading(Intent.LOG, minutes=minutes, day=day)
        after, entries = log_run.store(after, replace(heard, text=hold.said), run)
        first = f"{first} {say_counted(entries, today)}"
        buttons = (Button("Undo", Undo(heard.key)),)
    if earlier is None:
        after, _ = replan(planner.return_after(after, today), heard)
    return say(after, f"{first} {next_line(after, today)}", *buttons)


def _minutes(number: str) -> int | None:
    """The whole minutes that a number as triage words it ("pulse 35") can have been."""
    kind, _, value = number.partition(" ")
    if kind == "pressure" or not value.isdigit():
        return None
    return int(value) if int(value) in MINUTES_OF_A_RUN else None
