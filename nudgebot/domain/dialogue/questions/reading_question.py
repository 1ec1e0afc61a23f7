"""A line that can be read in more than one way: the reading is shown, and one of the likeliest is chosen by a button.

The choices are not kept: the line is, with the key of its message (`detail`), and reading it again on its day gives
the same ones.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, today_of
from nudgebot.domain.messages import reading as words
from nudgebot.domain.messages.common import capital
from nudgebot.domain.model.actions import ChosenOption, ChosenReading, Option, Reply
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book
from nudgebot.domain.text.reply import Intent, Reading, read


def ask_which(book: Book, heard: Heard, reading: Reading) -> Answer:
    """The question with at most three readings and "something else"; nothing is done before it is answered."""
    today = today_of(book, heard)
    labels = _labels(reading.choices, today)
    offered = [(label, place, each) for place, (label, each) in enumerate(labels.items())]
    if not any(entry.day == today for entry in book.log):
        offered.sort(key=lambda option: option[2].intent is Intent.UNDO)  # there is hardly a run to correct
    choices: Choices = tuple((capital(label), ChosenReading(place)) for label, place, _ in offered)
    other: Choices = ((words.SOMETHING_ELSE, ChosenOption(Option.SOMETHING_ELSE)),)
    question = words.ask_which(offered[0][2], today)
    return ask(book, heard, Ask.READING, question, (*choices, *other), detail=heard.key)


def read_which(book: Book, heard: Heard) -> Reading | None:
    """The reading that is meant; `unknown` for something else; None if the line answers no such question."""
    asked = book.asked
    if asked is None or asked.what is not Ask.READING:
        return None
    day = book.today(asked.at)
    readings = _labels(read(asked.line, day).choices, day)
    match heard.action:
        case None:
            said = heard.text.strip(" .!?").casefold()
            if said == words.SOMETHING_ELSE.casefold():
                return Reading(Intent.UNKNOWN)
            return next((each for label, each in readings.items() if label.casefold() == said), None)
        case Reply(asked.token, ChosenOption(Option.SOMETHING_ELSE)):
            return Reading(Intent.UNKNOWN)
        case Reply(asked.token, ChosenReading(place)) if place < len(readings):
            return tuple(readings.values())[place]
        case _:
            return None


def _labels(readings: Iterable[Reading], today: date) -> dict[str, Reading]:
    """The readings by their labels; of those that read the same the likeliest."""
    found: dict[str, Reading] = {}
    for each in readings:
        found.setdefault(words.label(each, today), each)
    return found
