"""The corpus of replies holds the reader to the shares it promises, in the part that no rule was made from too."""

import pytest

from tests.corpus.replies import (
    LANGUAGES,
    PARTS,
    asked_needlessly,
    intent_right,
    minutes_right,
    read_all,
    share,
    stored_falsely,
)

INTENT_SHARE = {"en": 0.97}  # of the lines of a language; 0.90 in the others
MINUTES_SHARE = {"en": 0.99}
OTHERS_SHARE = 0.90
ASKED_SHARE = 0.05  # of the clear lines


@pytest.mark.parametrize("language", LANGUAGES)
def test_intent_and_minutes_are_right_as_often_as_promised(language: str) -> None:
    pairs = [pair for part in PARTS for pair in read_all(part, language)]
    assert share(intent_right, pairs) >= INTENT_SHARE.get(language, OTHERS_SHARE)
    assert share(minutes_right, pairs) >= MINUTES_SHARE.get(language, OTHERS_SHARE)


@pytest.mark.parametrize("language", LANGUAGES)
def test_under_a_twentieth_of_the_clear_lines_is_asked_about(language: str) -> None:
    clear = [pair for part in PARTS for pair in read_all(part, language) if pair[0].clear]
    assert share(asked_needlessly, clear) < ASKED_SHARE


@pytest.mark.parametrize("part", PARTS)
def test_no_number_is_stored_that_the_runner_did_not_mean(part: str) -> None:
    assert [row.text for row, reading in read_all(part) if stored_falsely(row, reading)] == []
