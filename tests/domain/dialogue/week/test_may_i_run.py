""" "May I run on Friday?": yes where a session is planned, else whether one more fits, or the reason why not."""

from __future__ import annotations

from datetime import timedelta

import pytest

from nudgebot.domain.planning.more import may_run
from nudgebot.domain.text.sayings import asks_to_run
from tests.domain.chats import marta


@pytest.mark.parametrize(
    "line",
    ["could I run on saturday?", "should i go for a run tonight", "is it ok to jog tomorrow", "soll ich morgen laufen?",
     "debo correr el lunes?", "je peux courir demain ?", "posso correr hoje?"],
)  # fmt: skip
def test_the_question_is_heard_in_five_languages(line: str) -> None:
    assert asks_to_run(line)


@pytest.mark.parametrize(
    "line",
    ["can I run with a cold?", "may I run after a vaccination", "can i run in the snow", "darf ich mit Husten laufen?",
     "can you run my numbers", "I can run tomorrow", "puedo correr sin desayunar?"],
)  # fmt: skip
def test_what_is_asked_beside_it_makes_it_another_question(line: str) -> None:
    assert not asks_to_run(line)


def test_a_planned_day_is_yes_and_any_other_as_the_limits_have_it() -> None:
    chat = marta()
    chat.waits(2)
    today = chat.book.today(chat.now)
    for n in range(5):
        day = today + timedelta(days=n)
        answer = chat.says(f"can I run on {day:%A}?")
        if chat.book.session_on(day) is not None:
            assert answer.startswith("Yes: "), day
        elif may_run(chat.book, day):
            assert answer.startswith("Nothing is planned "), day
        else:
            assert answer.startswith(("Better not ", f"{day:%A} is closed")), day


def test_somebody_who_is_ill_may_not() -> None:
    chat = marta()
    chat.says("flu, in bed with 39.2")
    assert chat.says("can I run today?").startswith("Not today.")


def test_a_wait_after_an_illness_is_named() -> None:
    chat = marta()
    chat.says("fever since last night")
    chat.waits(2)
    chat.says("better now, no fever since this morning", "no")
    assert "running waits after the illness" in chat.says("can i run today?")


@pytest.mark.parametrize(
    "line", ["what's this week", "what have I got on friday?", "was steht morgen an?", "je fais quoi demain ?"]
)
def test_a_question_about_the_plan_shows_it(line: str) -> None:
    assert marta().says(line).startswith("This week: ")


def test_asking_changes_nothing() -> None:
    chat = marta()
    before = chat.book
    chat.says("can I run on thursday?")
    assert (chat.book.plan, chat.book.limits, chat.book.weeks) == (before.plan, before.limits, before.weeks)
