"""A hold that rests on a number alone: the button that says what else the number was lifts it at once.

Where words carried the level too there is no such button. (docs/safety.md, "Hold")
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime

from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.values import Answer, Heard, replan, say, standing_when_well, today_of, with_pause
from nudgebot.domain.messages.health import hold as words
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.messages.runs import say_counted
from nudgebot.domain.model.actions import NumberWas, Undo
from nudgebot.domain.model.runner import Book, Joining, OnHold
from nudgebot.domain.model.speech import Button
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.triage import Verdict

MINUTES = range(1, 301)  # of one run that a number taken for something else can have been
WERE_MINUTES = re.compile(
    r"\W*(?:those|that|it|these|they) (?:were|was|are|is) (?:the )?min(?:ute)?s\W*", re.IGNORECASE
)
A_SLIP = re.compile(r"\W*(?:the|that) number was a slip\W*", re.IGNORECASE)


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
    return lift(book, heard, hold, as_minutes=as_minutes)


def lift(book: Book, heard: Heard, hold: OnHold, *, as_minutes: bool) -> Answer:
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
    return int(value) if int(value) in MINUTES else None
