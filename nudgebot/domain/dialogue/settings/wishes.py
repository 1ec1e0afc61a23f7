"""How much the runner wants to hear, told in a sentence: done at once, since it is as easily said the other way."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, say, today_of, with_intake
from nudgebot.domain.messages import settings as words
from nudgebot.domain.model.actions import ChosenValue
from nudgebot.domain.model.intake import Quiet
from nudgebot.domain.model.nudged import AS_USUAL, NudgeWish
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book
from nudgebot.domain.nudging.times import evening_before
from nudgebot.domain.profile.sentences import nudge_words
from nudgebot.domain.profile.sentences.nudge_words import quiet_in

SETTING = "nudges"  # the setting's id


def answer_wish(book: Book, heard: Heard) -> Answer | None:
    """The answer to a line about the messages themselves; None for any other."""
    held = book.intake.nudges
    quiet = quiet_in(heard.text, Quiet(book.profile.quiet_from, book.profile.quiet_to))
    if quiet is not None:
        return _set_quiet(book, quiet)
    wish = nudge_words.wish_in(heard.text, today_of(book, heard), held)
    return None if wish is None else set_wish(book, heard, wish)


def _set_quiet(book: Book, quiet: Quiet) -> Answer:
    """Other quiet hours; a reminder that was chosen inside them comes at their end, else it would break them."""
    told = replace(book.intake, quiet=quiet)
    moved = isinstance(told.remind_at, time) and quiet.holds(told.remind_at)
    told = replace(told, remind_at=quiet.last) if moved else told
    after = with_intake(book, told)
    return say(after, words.confirm_quiet(quiet, moved=moved))


def set_wish(book: Book, heard: Heard, wish: NudgeWish) -> Answer:
    """The wish in force from now on, with what else could be wanted as buttons."""
    if wish == (book.intake.nudges or AS_USUAL):
        return say(book, words.say_same_wish(wish))
    after = replace(book, intake=replace(book.intake, nudges=wish))
    return ask(after, heard, Ask.SETTING, words.confirm_wish(wish), _others(wish), detail=SETTING)


def ask_if_clash(book: Book, heard: Heard, said: str) -> Answer:
    """What was said of a time, and one question where the reminder now comes after the run that it is for."""
    profile = book.profile
    if profile.remind_at <= profile.run_time or evening_before(book) or profile.run_time < profile.day_turn:
        return say(book, said)
    held = book.intake.nudges or AS_USUAL
    choices: Choices = (
        ("The evening before", ChosenValue(replace(held, eve=True).text)),
        ("As it is", ChosenValue(held.text)),
    )
    text = f"{said} {words.ask_about_clash(profile.remind_at, profile.run_time)}"
    return ask(book, heard, Ask.SETTING, text, choices, detail=SETTING)


def _others(wish: NudgeWish) -> Choices:
    return tuple((label, ChosenValue(other.text)) for label, other in words.OPTIONS if other != wish)
