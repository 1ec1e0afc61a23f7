"""An absence whose end nobody knows yet: days are kept free at once, and nobody is asked what they just said."""

from __future__ import annotations

import pytest

from nudgebot.domain.model.parameters import OPEN_AWAY
from nudgebot.domain.model.runner import LimitReason
from nudgebot.domain.text.sayings import has_no_end
from tests.domain.chats import Chat, marta
from tests.domain.model.test_rules_rule import changed


def free_days(chat: Chat) -> int:
    """Days from today on that are kept free as away."""
    today = chat.book.today(chat.now)
    return sum(limit.reason is LimitReason.AWAY and limit.day >= today for limit in chat.book.limits)


@pytest.mark.parametrize(
    "line",
    [
        "flying to my sister's, she's in hospital, no idea how long",
        "have to go home to Leeds, not sure when I'll be back",
        "no running until further notice, the house is being moved",
        "muss zu meiner Mutter ins Krankenhaus, weiß nicht wie lange",
        "me voy al pueblo por el entierro, no sé cuándo vuelvo",
        "je pars chez mon père, je ne sais pas combien de temps",
        "vou para o Porto, o meu pai está no hospital, não sei quanto tempo",
    ],
)  # fmt: skip
def test_an_absence_without_a_known_end_keeps_two_weeks_free(line: str) -> None:
    chat = marta()
    chat.says(line)
    assert free_days(chat) == OPEN_AWAY.value


@pytest.mark.parametrize(
    "line",
    ["don't know how long I ran, it was dark", "not sure how long it took", "going home now, 30 done",
     "no idea how long the bridge is shut", "I know when I'll be back: Friday"],
)  # fmt: skip
def test_another_length_that_is_not_known_is_no_absence(line: str) -> None:
    assert not has_no_end(line)


@pytest.mark.parametrize("answer", ["don't know yet", "no idea", "weiß noch nicht", "no sé", "aucune idée", "não sei"])
def test_until_when_can_be_answered_by_not_knowing(answer: str) -> None:
    chat = marta()
    assert chat.says("I'm going away").startswith("Until when?")
    assert "I keep quiet" in chat.says(answer)
    assert free_days(chat) == OPEN_AWAY.value


def test_the_row_rules_how_long_and_a_word_ends_it_earlier() -> None:
    with changed(OPEN_AWAY, 5):
        chat = marta()
        chat.says("have to go home, not sure when I'll be back")
        assert free_days(chat) == 5
    chat.waits(2)
    chat.says("back")
    assert free_days(chat) == 0
