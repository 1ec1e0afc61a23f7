"""Every reason has its words, and every number in them comes from the reason."""

from __future__ import annotations

from nudgebot.domain.messages.plan.why import CHOICES, SENTENCES
from nudgebot.domain.model.parameters import Choice
from nudgebot.domain.planning.reasons import ReasonText
from tests.talking import joined


def test_every_reason_has_a_sentence_and_every_choice_a_name() -> None:
    assert set(SENTENCES) == set(ReasonText)
    assert set(CHOICES) == set(Choice)


def test_a_week_says_why_with_source_and_choice() -> None:
    text = joined("/why").texts[0]
    assert "75 min" in text
    assert "American Diabetes Association" in text
    assert "your own choice" in text
    assert "our own cautious choice" in text or "common practice" in text
