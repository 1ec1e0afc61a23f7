"""The closed safety question: asked first, answered, taken back, asked once more; nothing is blocked by it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from nudgebot.app import decide
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.health.safety_question import FELT, answer_not_understood, ask_about
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.common import in_language
from nudgebot.domain.messages.health import safety as words
from nudgebot.domain.model.actions import Action
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Training, Walking
from nudgebot.domain.profile.intake_codec import from_rows
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.triage import triage
from tests.company import ANSWERS
from tests.domain.plans import MONDAY, steady, unplanned

# Heard by the second reader and by no row of the table; written for this test.
MISSED = "since this morning my leg does not belong to me and I keep bumping into doors"
MISSED_RUN = "42 min easy, since then my pee looks like beer and my legs are wood"
MISSED_IN = {
    "de": "seit heute früh gehorcht mir das linke Bein nicht und ich laufe gegen Türen",
    "es": "desde ayer un dedo se me pone blanco y no lo noto",
    "fr": "depuis ce matin ma jambe gauche ne m'obéit plus et je me cogne aux portes",
    "pt": "desde manhã que o lado esquerdo está morto e esbarro nas portas",
}
NOW = datetime.fromisoformat("2027-02-08T18:00+00:00")


def runner() -> Book:
    """A runner five weeks into the plan."""
    return steady()


def heard(text: str, *, minutes: int = 0, action: Action | None = None) -> Heard:
    """A line said `minutes` after six in the evening."""
    at = NOW + timedelta(minutes=minutes)
    return Heard(f"m{minutes}", text, at, at, action)


def tell(book: Book, *lines: str, minutes: int = 0) -> Answer:
    """The answer to the last of `lines`, said a minute apart."""
    for place, line in enumerate(lines):
        said = heard(line, minutes=minutes + place)
        done = decide.follow_alone(book, said) or answer(book, said)
        book = done.book
    return done


def asks(done: Answer) -> bool:
    """Whether the closed question is the first thing said."""
    first = done.says[0]
    return any(first.text == words.ask("", language) for language in signs.LANGUAGES)


def test_the_question_comes_first_and_the_run_is_still_counted() -> None:
    done = tell(runner(), MISSED_RUN)
    assert asks(done)
    assert [button.label for button in done.says[0].buttons] == ["Nothing like that", "Yes, something like that"]
    assert done.book.log[-1].minutes == 42
    assert "42 min" in done.says[1].text


@pytest.mark.parametrize("language", signs.LANGUAGES)
def test_the_question_holds_the_signs_and_the_number_of_the_country(language: str) -> None:
    text = words.ask("GB", language)
    assert "999" in text and text.startswith(in_language("felt", language))


@pytest.mark.parametrize("language", ["de", "es", "fr", "pt"])
def test_it_is_asked_in_the_language_of_the_line(language: str) -> None:
    done = tell(runner(), MISSED_IN[language])
    assert done.says[0].text == words.ask("", language)


def test_yes_holds_running_and_asks_for_the_words() -> None:
    done = tell(runner(), MISSED, "yes, something like that")
    standing = done.book.standing
    assert isinstance(standing, OnHold) and (standing.level, standing.sign) == ("clinician", FELT)
    assert standing.said == MISSED and done.book.plan == ()
    assert "what is it?" in done.says[0].text and "call" in done.says[0].text


def test_a_button_does_what_its_words_do() -> None:
    asked = tell(runner(), MISSED)
    no, yes = asked.says[0].buttons
    pressed = answer(asked.book, heard("", minutes=1, action=yes.action))
    assert isinstance(pressed.book.standing, OnHold)
    assert isinstance(answer(asked.book, heard("", minutes=1, action=no.action)).book.standing, Training)


def test_no_changes_nothing_and_closes_the_question() -> None:
    before = runner()
    done = tell(before, MISSED, "nothing like that")
    assert done.book.standing == before.standing and done.book.plan == before.plan
    assert done.book.safety_question is None


@pytest.mark.parametrize("standing", [Training(), Walking(NOW - timedelta(days=5), "screening"), Ill(MONDAY, MONDAY)])
def test_a_yes_taken_back_within_ten_minutes_leaves_things_as_they_were(standing: Training | Walking | Ill) -> None:
    before = replace(runner(), standing=standing)
    if isinstance(standing, Walking):
        before = replace(before, profile=replace(before.profile, signs=True))
    before = replace(before, intake=from_rows(ANSWERS))
    done = tell(before, MISSED, "yes, something like that", "I pressed the wrong one")
    assert done.book.standing == standing
    assert done.book.symptoms == before.symptoms and done.book.pauses == before.pauses


def test_after_ten_minutes_a_yes_stays() -> None:
    held = tell(runner(), MISSED, "yes, something like that").book
    late = answer(held, heard("I pressed the wrong one", minutes=15))
    assert isinstance(late.book.standing, OnHold)


def test_words_of_a_sign_after_a_yes_end_the_taking_back() -> None:
    done = tell(runner(), MISSED, "yes, something like that", "crushing pain in my chest", "I pressed the wrong one")
    standing = done.book.standing
    assert isinstance(standing, OnHold) and standing.level == "emergency"


def test_unanswered_it_is_asked_once_more_and_then_no_more() -> None:
    book = tell(runner(), MISSED).book
    again = tell(book, "/week", minutes=5)
    assert asks(again) and len(again.says) == 2
    assert not asks(tell(again.book, "/season", minutes=6))


def test_a_grave_sign_is_answered_for_what_it_is() -> None:
    done = tell(runner(), MISSED, "crushing pain in my chest")
    assert not asks(done) and done.book.safety_question is None
    assert isinstance(done.book.standing, OnHold)


def test_a_complaint_without_a_level_always_gets_it() -> None:
    assert asks(tell(runner(), "something is not right with me, I feel really odd"))


@pytest.mark.parametrize(
    "book",
    [unplanned(runner().profile, standing=Joining()), replace(runner(), standing=OnHold(NOW, "urgent", "x", "y"))],
    ids=["answering the questions", "on hold"],
)
def test_it_is_asked_in_every_state(book: Book) -> None:
    assert asks(tell(book, MISSED))


def test_the_words_after_a_command_are_read_too() -> None:
    assert isinstance(tell(runner(), "/back my chest is tight").book.standing, OnHold)
    assert asks(tell(runner(), f"/week {MISSED}"))


def test_what_is_not_understood_carries_the_signs_and_the_number_in_both_languages() -> None:
    book = replace(runner(), profile=replace(runner().profile, country="DE"))
    line = heard("der Nachbar mäht schon wieder den Rasen vor dem Haus")
    text = answer_not_understood(book, line, triage(line.text), Reading(Intent.UNKNOWN)).says[0].text
    assert text.startswith(small_talk.UNKNOWN)
    assert words.signs_line("DE", "en") in text and words.signs_line("DE", "de") in text


def test_a_short_answer_to_an_open_question_is_not_asked_about() -> None:
    asked = tell(runner(), "did a run this morning")
    assert asked.book.asked is not None
    done = tell(asked.book, "42 minutes", minutes=3)
    assert not asks(done) and done.book.log[-1].minutes == 42


def test_a_line_chosen_to_be_a_complaint_gets_it_as_its_answer() -> None:
    assert asks(ask_about(runner(), heard("well, the usual again")))


def test_a_bare_yes_beside_another_open_question_is_about_that_one() -> None:
    held = replace(runner(), standing=OnHold(NOW - timedelta(days=3), "clinician", "pain at night", "knee at night"))
    done = tell(held, MISSED, "/back", "yes")
    standing = done.book.standing
    assert isinstance(standing, OnHold) and standing.sign == "pain at night"
    assert done.book.safety_question is not None and done.book.safety_question.yes_at is None


def test_the_question_is_not_asked_again_while_a_hold_is_cleared_nor_after() -> None:
    held = replace(runner(), standing=OnHold(NOW - timedelta(days=3), "clinician", "pain at night", "knee at night"))
    done = tell(held, MISSED, "/back", "yes", "Dr Sousa, today")
    assert isinstance(done.book.standing, OnHold) and not asks(done)
    cleared = tell(done.book, "cleared")
    assert not isinstance(cleared.book.standing, OnHold) and cleared.book.safety_question is None
