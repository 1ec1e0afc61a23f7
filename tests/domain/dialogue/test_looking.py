"""Looking changes nothing: no session appears because somebody looked. (docs/nudges.md, "The two-day rule")"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.nudging import nudges
from tests.domain.chats import Chat, marta, standing

LOOKS = (
    "/week",
    "/season",
    "/why",
    "/progress",
    "/easy",
    "/settings",
    "/safety",
    "/undo",
    "what is next?",
    "why so little?",
)
LIVES = st.lists(
    st.sampled_from(
        [
            "",
            "",
            "",
            "{n} easy",
            "{n} easy",
            "no run today",
            "busy tomorrow",
            "away for 3 days",
            "my calf is sore",
            "{n} walk",
        ]
    ).flatmap(lambda line: st.integers(10, 60).map(lambda n: line.replace("{n}", str(n)))),
    min_size=4,
    max_size=14,
)


@settings(max_examples=12)
@given(LIVES, st.sampled_from(LOOKS), st.integers(0, 3))
def test_a_life_that_is_looked_at_every_day_is_the_one_that_is_not(lines: list[str], look: str, every: int) -> None:
    looked, alone = marta(), marta()
    for day, line in enumerate(lines):
        for chat in (looked, alone):
            chat.waits(1)
            if line:
                chat.says(line)
        if day % (every + 1) == 0:
            before = standing(looked.book)
            looked.says(look)
            assert standing(looked.book) == before, look
    assert standing(looked.book) == standing(alone.book)


@pytest.mark.parametrize("look", LOOKS)
def test_what_will_be_sent_does_not_change_by_a_look(look: str) -> None:
    def pending(chat: Chat) -> list[tuple[str, date]]:
        return [(each.kind, each.at.date()) for each in nudges.forecast_nudges(chat.book, chat.now, 6)]

    chat, other = marta(), marta()
    chat.waits(2)
    other.waits(2)
    chat.says(look)
    other.says("hello")  # heard as well, and nothing else
    assert pending(chat) == pending(other)


def test_a_session_that_passed_without_a_word_is_named_and_its_buttons_answer_it() -> None:
    chat = marta()
    chat.waits(2)  # Wednesday's run was told by nobody
    chat.now = chat.now.replace(day=7)
    assert "No word yet about the 20 min yesterday." in chat.says("/week")
    chat.says("did it 2027-01-06")
    assert [entry.day for entry in chat.book.log] == [date(2027, 1, 6)]
    assert "No word yet" in chat.says("/week"), "Monday's is still to tell"
    chat.says("skip 2027-01-04")
    assert "No word yet" not in chat.says("/week")
