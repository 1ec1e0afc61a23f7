"""Conditions told in words: whose they are and what follows, by table, in five languages (docs/safety.md)."""

from __future__ import annotations

from datetime import date

import pytest

from nudgebot.domain.dialogue.settings.conditions import contradicts_adult
from nudgebot.domain.messages.health.complaints import CARE, LEVEL
from nudgebot.domain.profile.conditions import LANGUAGES, UNDER_AGE, condition_in, table

OWN = (
    ("I've got type two diabetes", "diabetes"),
    ("using an insulin pump since spring", "diabetes"),
    ("soy diabético", "diabetes"),
    ("ich bin Diabetikerin", "diabetes"),
    ("je suis diabétique", "diabetes"),
    ("tenho diabetes há dez anos", "diabetes"),
    ("I am epileptic", "epilepsy"),
    ("ich habe Epilepsie", "epilepsy"),
    ("j'ai une épilepsie", "epilepsy"),
    ("they put me on apixaban", "thinners"),
    ("I take blood thinners", "thinners"),
    ("tomo anticoagulantes", "thinners"),
    ("my cardiologist found a heart murmur", "heart"),
    ("I had a stent put in last year", "heart"),
    ("tuve un infarto", "heart"),
    ("ich hatte einen Schlaganfall", "circulation"),
    ("I am on dialysis", "kidney"),
    ("doing chemotherapy at the moment", "cancer"),
    ("I had hernia surgery ten days ago", "operation"),
    ("wurde vor zwei Wochen operiert", "operation"),
    ("I have asthma", "asthma"),
    ("diagnosed with hypertension", "blood_pressure"),
    ("ich habe Bluthochdruck", "blood_pressure"),
    ("We're expecting a baby, I'm pregnant", "pregnancy"),
    ("ich bin schwanger", "pregnancy"),
    ("estoy embarazada", "pregnancy"),
    ("I have had bulimia", "eating"),
    ("had pizza, must run it off", "eating"),
    ("no period for six months", "period"),
    ("je n'ai plus de règles", "period"),
    ("I'm 17 btw", UNDER_AGE),
    ("i am sixteen", UNDER_AGE),
    ("ich bin 15 Jahre alt", UNDER_AGE),
)
NOT_OWN = (
    "my manager is pregnant",
    "our neighbour has diabetes",
    "her husband is on dialysis",
    "my best friend takes warfarin",
    "mein Kollege hat Epilepsie",
    "mon voisin est diabétique",
    "minha tia tem diabetes",
    "mi jefa está embarazada",
    "I do not have epilepsy",
    "no heart disease, no diabetes",
    "ran a 10k for cancer research",
    "is coffee bad with hypertension?",
    "my hip operation was fifteen years ago",
    "a stroke of luck",
    "worked on my stroke in the pool",
    "no period since the menopause",
    "I am 15 min away",
    "I'm 17 stone",
    "I am 52",
    "my son is 16",
)


@pytest.mark.parametrize(("line", "condition"), OWN)
def test_a_condition_of_the_writers_is_read(line: str, condition: str) -> None:
    found = condition_in(line)
    assert found is not None
    assert found.id == condition


@pytest.mark.parametrize("line", NOT_OWN)
def test_nobody_elses_and_no_denied_condition_is_read(line: str) -> None:
    assert condition_in(line) is None


def test_a_run_beside_a_condition_is_what_is_left_of_the_line() -> None:
    found = condition_in("35 easy, forgot to say I have epilepsy")
    assert found is not None
    assert found.rest == "35 easy"


def test_every_condition_has_words_in_every_language_a_source_and_an_answer() -> None:
    for row in table():
        assert all(row.words[language] for language in LANGUAGES), row.id
        assert row.seen in {"seen", "seen in copies", "from memory"}
        assert row.follows <= {"clinician", "pregnancy", "pressure", "level", "care"}
        assert ("care" in row.follows) == (row.id in CARE)
        assert ("level" in row.follows) == (row.id in LEVEL)


def test_no_word_on_eating_speaks_of_weight_or_calories() -> None:
    for text in LEVEL.values():
        assert not any(word in text.casefold() for word in ("calor", "weight", "kilo", "slim", "fat "))


def test_a_birth_year_contradicts_adult_up_to_the_year_of_the_eighteenth_birthday() -> None:
    assert contradicts_adult(2010, date(2027, 3, 10))
    assert contradicts_adult(2009, date(2027, 3, 10))
    assert not contradicts_adult(2008, date(2027, 3, 10))
