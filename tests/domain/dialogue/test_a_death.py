"""Somebody near has died: a word of sympathy comes first, and the running waits as long as it is said to."""

from __future__ import annotations

import pytest

from nudgebot.domain.messages.common import in_all
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.text.sayings import tells_a_death
from tests.domain.chats import marta
from tests.domain.dialogue.week.test_away_without_end import free_days

DEATHS = {
    "en": "my gran passed away this morning",
    "es": "ayer falleció mi abuelo, mañana es el velorio",
    "de": "mein Opa ist heute Nacht gestorben",
    "fr": "ma grand-mère est morte hier soir",
    "pt": "o meu avô faleceu ontem à noite",
}


@pytest.mark.parametrize("language", DEATHS)
def test_sympathy_comes_first_in_the_language_of_the_line(language: str) -> None:
    assert marta().says(DEATHS[language]).startswith(in_all("sympathy")[language])


def test_days_without_runs_are_offered_where_nothing_else_is_said() -> None:
    chat = marta()
    chat.says("dad died last night")
    assert chat.book.asked is not None
    assert chat.book.asked.what is Ask.UNTIL
    chat.says("don't know yet")
    assert free_days(chat) == 14


def test_days_that_are_told_with_it_are_kept_free() -> None:
    chat = marta()
    said = chat.says("lost my brother, flying home tomorrow, not sure when I'll be back")
    assert said.startswith(in_all("sympathy")["en"])
    assert free_days(chat) == 14


@pytest.mark.parametrize(
    "line",
    ["my watch died at 5k", "I nearly died on that hill", "my son passed his exam", "funeral pace today, 30 min",
     "lost my friend at the start", "enterrement de vie de garçon samedi", "mi reloj murió a los 20 minutos"],
)  # fmt: skip
def test_what_died_of_a_thing_or_in_jest_is_no_death(line: str) -> None:
    assert not tells_a_death(line)
