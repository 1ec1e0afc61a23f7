"""The intake as a conversation, and settings changed later: the same questions, the same answers."""

from __future__ import annotations

from dataclasses import replace

from nudgebot.domain.dialogue.health import illness
from nudgebot.domain.dialogue.values import Answer, Heard, say, standing_when_well, with_intake
from nudgebot.domain.messages import settings as words
from nudgebot.domain.messages.health import complaints as condition_words
from nudgebot.domain.messages.health import safety
from nudgebot.domain.messages.health.illness import FIRST_WHEN_WELL
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.messages.plan.plan_pages import first_plan
from nudgebot.domain.model.actions import ChosenValue, Open, Page, Reply
from nudgebot.domain.model.intake import NOTHING_TOLD
from nudgebot.domain.model.runner import Book, Ill
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import answer_readers, intake
from nudgebot.domain.profile.intake_codec import with_answer


def ask_open_question(book: Book) -> Answer:
    """The question where the intake stands."""
    asks = intake.next_question(book.intake) or "adult"
    return Answer(book, (_question(book, asks),))


def take_answer(book: Book, heard: Heard) -> Answer:
    """One line to the question that is open: kept and the next one asked, or asked again with an example."""
    asks = intake.next_question(book.intake) or "adult"
    match heard.action:
        case Reply(_, ChosenValue(told)):
            pass
        case _:
            told = heard.text
    if told.strip().casefold().strip("/.") == intake.BACK:
        return go_back(book)
    read = intake.read_answer(asks, words.value_of(asks, told), book.intake)
    if read is None:
        first_word = book.intake == NOTHING_TOLD and book.runner.joined_at == heard.at
        return Answer(book, (_question(book, asks, wrong=not first_word),))
    if asks == "adult" and read == "no":
        return Answer(book, (Say(words.NOT_ADULT),), erase=True)
    intake_after = with_answer(book.intake, asks, read)
    if asks == "zone" and (place := answer_readers.place_in(told)) is not None:
        intake_after = replace(intake_after, country_guess=place[1])
    after = with_intake(book, intake_after)
    following = go_on(after, heard)
    return following.behind(Say(condition_words.answer_doctor_knows(read))) if asks == "doctor_knows" else following


def go_on(book: Book, heard: Heard) -> Answer:
    """The next question of the intake, or the plan where it is complete."""
    following = intake.next_question(book.intake)
    if following is not None:
        return Answer(book, (_question(book, following),))
    return _resume(book, heard) if book.weeks else _begin(book, heard)


def _resume(book: Book, heard: Heard) -> Answer:
    """The plan goes on that an interrupted question had paused."""
    today = book.today(heard.now)
    after = planner.return_after(replace(book, standing=standing_when_well(book, heard.now)), today)
    return say(after, next_line(after, today), Button("The week", Open(Page.WEEK)))


def _begin(book: Book, heard: Heard) -> Answer:
    after = with_intake(book, replace(book.intake, country_guess=None))
    told, profile = after.intake, after.profile
    after = replace(after, standing=standing_when_well(after, heard.now))
    today = after.today(heard.now)
    after = planner.begin(after, today, planner.today_closed(profile, after.local(heard.now)))
    after = illness.begin_after_joining(after, today)
    buttons = (Button("The week", Open(Page.WEEK)), Button("When to stop", Open(Page.SAFETY)))
    caution = " ".join([safety.CAUTION, *condition_words.cautions_of(told, profile.country)])
    ill = isinstance(after.standing, Ill)
    return say(after, f"{FIRST_WHEN_WELL}\n{caution}" if ill else first_plan(after, today, caution), *buttons)


def go_back(book: Book) -> Answer:
    """The question before, asked again."""
    last = intake.question_before(book.intake)
    if last is None:
        return ask_open_question(book)
    told = with_answer(book.intake, last, None)
    after = with_intake(book, told)
    return Answer(after, (_question(after, last),))


def _question(book: Book, asks: str, *, wrong: bool = False) -> Say:
    guess = book.intake.country_guess or ""
    return words.question(asks, book.intake, name=book.runner.name, wrong=wrong, guess=guess)
