"""Triage on lines made from parts: what is said counts, what is denied does not (docs/safety.md, "Reading")."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.text.triage import Level, triage
from tests.corpus.symptoms_made import MADE

# "Want to kill myself on the hill", and short of breath on a hill or already over: the page says how they are read.
READ_OTHERWISE = {"I want to kill myself", "me falta el aire"}
COMPLAINTS = (
    *("chest pain", "chest tightness", "shortness of breath", "dizziness", "palpitations", "swelling", "numbness"),
    *("headache", "nausea", "fever", "calf pain", "knee pain", "blood in my urine", "confusion", "vomiting"),
)
DENIALS = (
    *("no {}", "no {} today", "without {}", "no sign of {}", "45 min, no {}", "no {} or {other}", "no {}, no {other}"),
    *("no {}, {other} or cough", "never had {}", "I don't have {}", "I didn't have any {}", "haven't had {}"),
    *("neither {} nor {other}", "{}? no", "{}: none", "felt good, no {}", "there was no {}", "no {} on the run"),
)


@pytest.mark.parametrize("language", MADE)
def test_a_grave_core_is_heard_whatever_stands_around_it(language: str) -> None:
    made = [line for core, line in MADE[language].lines() if core not in READ_OTHERWISE]
    for line in random.Random(7).sample(made, 600):
        verdict = triage(line)
        assert verdict.level is Level.EMERGENCY, line
        assert verdict.language == language, line


@given(st.sampled_from(DENIALS), st.sampled_from(COMPLAINTS), st.sampled_from(COMPLAINTS))
def test_what_is_denied_gets_no_level(denial: str, complaint: str, other: str) -> None:
    """ "Negation is not a symptom", whatever is denied and however."""
    assert triage(denial.format(complaint, other=other)).level is Level.NONE


@given(st.sampled_from(DENIALS), st.sampled_from(COMPLAINTS), st.sampled_from(MADE["en"].cores))
def test_a_denial_before_a_grave_core_denies_nothing_of_it(denial: str, complaint: str, core: str) -> None:
    """ "Never suppress on a negation that covers only part of the message"."""
    denied = denial.format(complaint, other="soreness")
    assert triage(f"{denied}, but {core}").level is Level.EMERGENCY
    assert triage(f"{denied}. {core}").level is Level.EMERGENCY
