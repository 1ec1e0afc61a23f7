"""What somebody on hold writes, and what it gets: news of a clinician, an illness beside it, questions, light words."""

from __future__ import annotations

from datetime import timedelta

import pytest

from nudgebot.domain.model.questions import ClearingStep
from nudgebot.domain.model.runner import OnHold
from nudgebot.domain.text.sayings import says_lifted, says_well
from tests.domain.dialogue.health.test_hold import CALF, EMERGENCY, HEAD, SHIN, START, runner, said, text

DAY = timedelta(days=1)


@pytest.mark.parametrize(
    "line",
    [
        "GP had a listen and a look, nowt to worry about",
        "scan came back fine, consultant happy for me tae jog",
        "the physio reckons its only a bruise",
        "Kardiologe sagt alles in Ordnung",
        "la doctora dice que todo está bien",
        "le médecin dit que tout va bien",
        "o médico disse que está tudo bem",
        "bloods were normal",
    ],
)
def test_news_of_a_clinician_begins_the_end_of_the_hold_and_is_no_more_than_asked(line: str) -> None:
    book = said(runner(), SHIN).book
    answered = said(book, line, at=START + 2 * DAY)
    assert isinstance(answered.book.standing, OnHold)
    assert answered.book.standing.clearing is not None
    assert answered.book.standing.clearing.step is ClearingStep.CLEARED
    assert len(answered.says) == 1


@pytest.mark.parametrize(
    "line",
    [
        "MRI is booked for the 22nd",
        "seeing my doc tomorrow",
        "Termin beim Arzt ist nächste Woche",
        "demain je vois le médecin",
    ],
)
def test_a_visit_to_come_gets_the_wait_and_no_question(line: str) -> None:
    answered = said(said(runner(), CALF).book, line, at=START + DAY)
    assert text(answered).startswith("Good that somebody is looking at it.")
    assert isinstance(answered.book.standing, OnHold)
    assert answered.book.safety_question is None


@pytest.mark.parametrize("line", ["my brother is a vet and says it's fine", "the cat's x-ray was clear"])
def test_who_examines_no_people_is_no_clinician(line: str) -> None:
    answered = said(said(runner(), CALF).book, line, at=START + DAY)
    assert isinstance(answered.book.standing, OnHold)
    assert answered.book.standing.clearing is None


def test_a_run_is_not_taken_back_by_a_line_on_hold_that_may_mean_something_else() -> None:
    book = said(runner(), "26 easy", SHIN).book
    after = said(book, "all the tests were clear, take it slowly they said", at=START + 2 * DAY).book
    assert after.log == book.log


@pytest.mark.parametrize(
    "line", ["surely just wind", "prob nothing, I sat awkwardly", "it has passed now, going to bed"]
)
def test_within_a_day_of_an_emergency_light_words_get_the_call_and_nothing_beside_it(line: str) -> None:
    answered = said(said(runner(), EMERGENCY).book, line, at=START + timedelta(hours=2))
    assert "needs to be looked at today" in text(answered)
    assert "call 112" in text(answered)
    assert len(answered.says) == 1


def test_the_typed_word_says_yes_to_the_first_question() -> None:
    answered = said(said(runner(), SHIN).book, "/back", "cleared", at=START + 2 * DAY)
    standing = answered.book.standing
    assert isinstance(standing, OnHold)
    assert standing.clearing is not None
    assert standing.clearing.step is ClearingStep.WHO


def test_walking_is_answered_by_what_the_hold_is_about() -> None:
    assert "are fine as long as nothing hurts" in text(said(runner(), SHIN, "is cycling ok meanwhile?"))
    for sign in (EMERGENCY, HEAD, "heard a pop in my heel tendon and can't put weight on it"):
        asked = said(said(runner(), sign).book, "could I swim a bit?", at=START + 2 * DAY)
        assert "for the clinician to say" in text(asked)


@pytest.mark.parametrize(
    "line", ["may I start again?", "it's two weeks now. can i run again", "darf ich wieder anfangen?"]
)
def test_whoever_asks_to_run_again_is_asked_whether_a_clinician_said_so(line: str) -> None:
    asked = said(said(runner(), SHIN).book, line, at=START + 2 * DAY)
    assert text(asked) == "Has a clinician cleared you to run?"
    assert isinstance(asked.book.standing, OnHold)


def test_whoever_was_named_is_not_asked_for_again() -> None:
    hold = said(runner(), CALF).book
    dated = said(hold, "ultrasound at the hospital this morning, all clear, can run", "yes", at=START + 2 * DAY)
    assert "the one word" in text(dated)
    undated = said(hold, "the doctor says I can run", "yes", at=START + 2 * DAY)
    assert "which day was that" in text(undated)
    unnamed = said(hold, "the tests were all clear", "yes", at=START + 2 * DAY)
    assert text(unnamed).startswith("Who was it, and when?")
    early = said(hold, "saw the doctor the day before I wrote to you, he cleared me", "yes", "yesterday", at=START)
    assert isinstance(early.book.standing, OnHold)


def test_an_illness_beneath_a_hold_is_known_to_be_over() -> None:
    book = said(runner(), SHIN, "and now 38.9 fever on top").book
    answered = said(book, "temperature came down on its own yesterday", at=START + 3 * DAY)
    assert text(answered).startswith("Good that the illness is over.")
    standing = answered.book.standing
    assert isinstance(standing, OnHold)
    assert standing.beneath is not None
    assert standing.beneath.last_fever == (START + 2 * DAY).date()


@pytest.mark.parametrize(
    "line",
    ["the flu finally lifted", "my temp has gone down over night", "das Fieber ist gesunken", "la fiebre ya se ha ido",
     "la fièvre est tombée", "a febre baixou"],
)  # fmt: skip
def test_an_illness_that_is_said_to_have_gone_is_over(line: str) -> None:
    assert says_lifted(line)


@pytest.mark.parametrize(
    "line",
    ["fever went up again", "the bug went round the house", "the fever has not gone", "la fièvre n'est pas tombée",
     "fever came down but I feel worse", "a little better, still feverish", "besser, aber noch krank"],
)  # fmt: skip
def test_an_illness_that_goes_on_is_not_over(line: str) -> None:
    assert not says_lifted(line)
    assert not says_well(line)


def test_a_walk_on_hold_is_counted_without_a_word_against_it() -> None:
    answered = said(runner(), SHIN, "30 min walk")
    assert "do not run" not in text(answered)
    assert answered.book.log[-1].minutes == 30
