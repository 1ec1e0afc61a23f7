"""The question which of several readings is meant: what its buttons say."""

from datetime import date

import pytest

from nudgebot.domain.messages.reading import SOMETHING_ELSE, ask_which, label
from nudgebot.domain.text.reply import Intent, Reading, Run

WEDNESDAY = date(2027, 3, 10)
FRIDAY, TUESDAY = date(2027, 3, 12), date(2027, 3, 9)


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (Reading(Intent.LOG, minutes=35, day=WEDNESDAY), "35 min done"),
        (Reading(Intent.LOG, minutes=35, day=TUESDAY), "35 min done yesterday"),
        (Reading(Intent.LOG, day=WEDNESDAY), "a run done"),
        (Reading(Intent.LOG, logs=(Run(TUESDAY, 20), Run(WEDNESDAY, 25))), "20 + 25 min done"),
        (Reading(Intent.SKIP, day=WEDNESDAY), "no run today"),
        (Reading(Intent.MOVE, day=WEDNESDAY, days=(FRIDAY,)), "move a run to Friday 12 March"),
        (Reading(Intent.BUSY, day=FRIDAY, days=(FRIDAY,)), "no time on Friday 12 March"),
        (Reading(Intent.BUSY, minutes=20, days=(WEDNESDAY,)), "at most 20 min today"),
        (Reading(Intent.UNDO, minutes=41), "correct to 41 min"),
    ],
)
def test_a_button_says_what_would_be_done_and_when(reading: Reading, said: str) -> None:
    assert label(reading, WEDNESDAY) == said


def test_the_likeliest_reading_is_shown_in_the_question() -> None:
    assert "35 min done" in ask_which(Reading(Intent.LOG, minutes=35, day=WEDNESDAY), WEDNESDAY)


@pytest.mark.parametrize("intent", list(Intent))
def test_every_intent_has_a_button_and_only_unknown_is_something_else(intent: Intent) -> None:
    text = label(Reading(intent), WEDNESDAY)
    assert 0 < len(text) <= 40
    assert (text == SOMETHING_ELSE.casefold()) == (intent is Intent.UNKNOWN)
