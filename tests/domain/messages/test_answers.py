"""Ordinary questions get a reviewed answer, and nothing of the body is answered there."""

from __future__ import annotations

import pytest

from nudgebot.domain.messages.reviewed_answers import answer_to, answers
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.triage import Level, triage
from tests.talking import joined

ASKED = (
    ("will folk stare at me out there?", "laughed at"),
    ("is there any point to this", "worth it"),
    ("honestly im bored of the same loop", "boring"),
    ("feeling guilty that I stayed in", "guilt"),
    ("I missed a whole week, what happens?", "missed several"),
    ("everyone overtakes me, am I too slow", "too slow"),
    ("warum muss ich erst gehen?", "walk first"),
    ("can I take walking breaks?", "walk breaks"),
    ("when am I allowed to run", "when running starts"),
    ("could I switch my days around?", "swap days"),
    ("is the treadmill alright when it rains?", "treadmill"),
    ("flying to Chile on business, what about my runs?", "travel"),
    ("do I need special shoes?", "shoes"),
    ("how should I dress in the frost?", "clothes for cold"),
    ("what should I wear", "clothes"),
    ("do we taper?", "taper"),
    ("how often should I run", "how many days"),
    ("what do you mean by gap?", "what a gap is"),
    ("why are you reminding me again", "why a message"),
    ("warum bekomme ich so viele nachrichten?", "why a message"),
    ("darf ich auch mal gehen?", "walk breaks"),
    ("can I run on an empty stomach?", "food before"),
    ("should I drink during the run?", "drink"),
    ("do I have to stretch first?", "warm up"),
    ("is morning better or evening?", "time of day"),
    ("are hills allowed", "hills"),
    ("should I do weights as well?", "strength"),
    ("will I lose weight?", "weight"),
    ("how do I get faster?", "faster"),
    ("am I too old to begin?", "age"),
    ("can I listen to music?", "music"),
    ("is it ok to run in the dark?", "dark"),
)


@pytest.mark.parametrize(("said", "topic"), ASKED)
def test_a_question_finds_its_answer(said: str, topic: str) -> None:
    row = answer_to(squeezed(said))
    assert row is not None
    assert row.topic == topic
    assert triage(said).level is Level.NONE


def test_every_answer_of_the_page_is_asked_for_in_a_test() -> None:
    assert {topic for _, topic in ASKED} == {row.topic for row in answers()}


@pytest.mark.parametrize(
    "said",
    [
        "42 easy",
        "slow 30 min in the dark",
        "ran on the treadmill, 25 min",
        "new shoes, 30 min",
        "walked 40 min up the hill",
        "busy on thursday",
    ],
)
def test_a_report_is_no_question(said: str) -> None:
    assert answer_to(squeezed(said)) is None


@pytest.mark.parametrize("said", ["is it ok to run with chest pain?", "can I run in the dark, my chest is tight?"])
def test_a_warning_sign_comes_before_any_answer_of_the_page(said: str) -> None:
    text = joined(said).texts[-1]
    assert "112" in text
    assert not any(row.text in text for row in answers())


def test_a_run_called_off_in_passing_is_called_off() -> None:
    assert joined("no run today, boring meeting").texts[-1].startswith("Fine, no run today")


def test_answers_are_short_and_blame_nobody() -> None:
    for row in answers():
        assert len(row.text) <= 260
        assert not {"must", "fail", "failed", "never miss", "breach"} & set(row.text.casefold().split())
