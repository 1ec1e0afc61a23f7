"""What the commands do that touch nobody but their writer: one function a command, of the book, the line, the rest.

The table of all commands, with who may say them and where, is `app.commands`.
"""

from __future__ import annotations

from dataclasses import replace

from nudgebot.domain.dialogue import actions
from nudgebot.domain.dialogue.health import hold
from nudgebot.domain.dialogue.settings import change_setting, conditions, named_setting, onboarding
from nudgebot.domain.dialogue.values import Answer, Heard, ask, say, today_of
from nudgebot.domain.dialogue.week import changes, queries
from nudgebot.domain.messages import settings as setting_words
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.health import safety
from nudgebot.domain.messages.health.complaints import cautions_of
from nudgebot.domain.model.actions import Agreed, Open, Page
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Joining, OnHold
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.text.reply import read_pause


def start(book: Book, heard: Heard, _rest: str) -> Answer:
    """The first question, or the one where the intake stands; for a runner who has joined, what is next."""
    if isinstance(book.standing, Joining):
        return conditions.ask_open_question(book, heard)
    return say(book, f"{small_talk.WELCOME_BACK} {queries.say_next(book, heard)}", Button("The week", Open(Page.WEEK)))


def privacy(book: Book, heard: Heard, _rest: str) -> Answer:
    """What is stored, who sees it, for how long."""
    return say(book, small_talk.privacy(heard.keeps))


def safety_page(book: Book, _heard: Heard, _rest: str) -> Answer:
    """When to stop, and whom to call."""
    page = [safety.safety_page(book.profile.country), *cautions_of(book.intake, book.profile.country)]
    return say(book, "\n".join(page), kind=SAFETY)


def stop(book: Book, _heard: Heard, _rest: str) -> Answer:
    """Silence until the runner writes."""
    return actions.fall_silent(book)


def erase(book: Book, heard: Heard, _rest: str) -> Answer:
    """The question before everything is deleted."""
    return ask(book, heard, Ask.ERASE, small_talk.ERASE_ASK, (("Keep everything", Agreed(False)),))


def settings(book: Book, heard: Heard, rest: str) -> Answer:
    """All that the runner told, or a change of it."""
    setting = named_setting.setting_in(rest) if rest else None
    if setting is not None:
        return change_setting.ask_setting(book, heard, *setting)
    return Answer(book, (setting_words.settings_page(book.intake),))


def back(book: Book, heard: Heard, _rest: str) -> Answer:
    """Resuming; while the questions are asked, the one before."""
    if conditions.age_is_open(book):
        return conditions.ask_if_under_age(book, heard)
    return onboarding.go_back(book) if isinstance(book.standing, Joining) else actions.come_back(book, heard)


def away(book: Book, heard: Heard, rest: str) -> Answer:
    """Days without running, to the end that the rest names, or that is asked for."""
    if isinstance(book.standing, OnHold):
        return hold.show_hold(book)
    return changes.go_away(book, heard, read_pause(rest, today_of(book, heard)))


def pictures(book: Book, _heard: Heard, rest: str) -> Answer:
    """The ground on which pictures are drawn, shown or changed."""
    wanted = rest.casefold().strip()
    if wanted not in {"light", "dark"}:
        return say(book, setting_words.say_ground(light=bool(book.intake.light_pictures)))
    told = replace(book.intake, light_pictures=wanted == "light")
    return say(replace(book, intake=told), setting_words.say_ground(light=wanted == "light"))
