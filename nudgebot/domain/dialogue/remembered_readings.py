"""What a runner said a line means, by a button: the reading of that message and of the same words from then on.

The words themselves are kept only with the runner's consent, for whoever hosts the bot to train the reader with, and
never where they tell of a complaint; otherwise a digest that tells the same words again.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from hashlib import sha256

from nudgebot.domain.dialogue.values import Answer, Heard, say, today_of
from nudgebot.domain.messages import reading as words
from nudgebot.domain.model.questions import PressedReading
from nudgebot.domain.model.runner import Book
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import Intent, Reading, read_meant
from nudgebot.domain.text.triage import Level, triage

MOST = 200  # pressed readings that are kept, the newest
DIGEST = 24  # hex digits: two lines of a runner never share them
_WORD = re.compile(r"[^\W_]+")
_YES, _NO = frozenset(("yes", "on", "ok", "sure")), frozenset(("no", "off", "stop"))


def digest_of(text: str) -> str:
    """What the same words give again, whatever their capitals, signs and spaces."""
    return sha256(" ".join(_WORD.findall(text.casefold())).encode()).hexdigest()[:DIGEST]


def remember(book: Book, heard: Heard, line: str, reading: Reading) -> Book:
    """The book with what `line`, the message that `heard` carries the key of, was said to mean."""
    kept = tuple(one for one in book.readings if one.key != heard.key and one.digest != digest_of(line))
    given = line if book.teaches and not _tells_of_health(line, reading, today_of(book, heard)) else ""
    minutes = sum(run.minutes for run in reading.logs) or reading.minutes
    pressed = PressedReading(heard.at, heard.key, digest_of(line), reading.intent.value, minutes, given)
    return replace(book, readings=(*kept[1 - MOST :], pressed))


def message_of(before: Book, after: Book) -> str:
    """The key of the message whose meaning was pressed between two books: what is done is its doing. "" for none."""
    known = {(one.key, one.at) for one in before.readings}
    return next((one.key for one in after.readings if (one.key, one.at) not in known), "")


def apply_remembered(book: Book, heard: Heard, reading: Reading, today: date) -> Reading:
    """`reading`, or what its writer said that these words mean.

    An edit in other words is what the first version was said to be, where that is among the choices.
    """
    same = next((one for one in reversed(book.readings) if one.digest == digest_of(heard.text)), None)
    if same is not None:
        return read_meant(heard.text, today, Intent(same.intent), same.minutes) or reading
    edited = next((one for one in book.readings if one.key == heard.key), None)
    if edited is None:
        return reading
    return next((each for each in reading.choices if each.intent == edited.intent), reading)


def set_teaching(book: Book, _heard: Heard, rest: str) -> Answer:
    """Whether lines whose meaning was pressed may be handed to the host for training; without a word, how it stands."""
    said = rest.strip(" .!").casefold()
    if said in _YES:
        return say(replace(book, teaches=True), words.TEACHES)
    if said in _NO:
        forgotten = tuple(replace(one, line="") for one in book.readings)
        return say(replace(book, teaches=False, readings=forgotten), words.TEACHES_NOT)
    return say(book, words.show_teaching(teaches=book.teaches))


def _tells_of_health(line: str, reading: Reading, today: date) -> bool:
    """Whether a line says anything of its writer's health."""
    return reading.intent is Intent.SYMPTOM or triage(line).level is not Level.NONE or signs.complains(line, today)
