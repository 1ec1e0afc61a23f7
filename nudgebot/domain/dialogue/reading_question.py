"""A line that can be read in more than one way: the reading is shown, and one of the likeliest is chosen by a button.

The choices are not kept: the line is, and reading it anew on its day gives the same ones.
"""

from __future__ import annotations

from nudgebot.domain.dialogue.values import Answer, Heard, ask, today_of
from nudgebot.domain.messages import reading as words
from nudgebot.domain.model.runner import Ask, Book
from nudgebot.domain.text.reply import Intent, Reading, read


def ask_which(book: Book, heard: Heard, reading: Reading) -> Answer:
    """The question with at most three readings and "something else"; nothing is done before it is answered."""
    today = today_of(book, heard)
    labels = tuple(words.label(choice, today) for choice in reading.choices)
    choices = tuple((_capital(label), label) for label in dict.fromkeys(labels))
    other = (words.SOMETHING_ELSE, words.SOMETHING_ELSE.casefold())
    return ask(book, heard, Ask.READING, words.which(reading.choices[0], today), (*choices, other))


def chosen(book: Book, heard: Heard) -> Reading | None:
    """The reading that is meant; `unknown` for something else; None where the line answers no such question."""
    asked = book.asked
    if asked is None or asked.what is not Ask.READING:
        return None
    said = heard.text.strip(" .!?").casefold()
    if said == words.SOMETHING_ELSE.casefold():
        return Reading(Intent.UNKNOWN)
    day = book.today(asked.at)
    return next((c for c in read(asked.line, day).choices if words.label(c, day).casefold() == said), None)


def _capital(label: str) -> str:
    return label[:1].upper() + label[1:]
