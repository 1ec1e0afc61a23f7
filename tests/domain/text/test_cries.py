"""Who cries for help, or is afraid and does not say of what, is asked the closed question."""

from __future__ import annotations

import pytest

from nudgebot.domain.text.sayings import is_cry_for_help


@pytest.mark.parametrize(
    "line",
    [
        "please help",
        "im scared. something is not right",
        "I don't know what's happening to me",
        "Hilfe!",
        "hab solche Angst",
        "weiß nicht was mit mir los ist",
        "ayúdame",
        "tengo mucho miedo, no se",
        "no sé qué me pasa",
        "au secours",
        "j'ai peur",
        "socorro",
        "estou com medo",
    ],
)
def test_a_cry_for_help_or_fear_without_a_reason_is_heard(line: str) -> None:
    assert is_cry_for_help(line)


@pytest.mark.parametrize(
    "line",
    [
        "help me with my plan",
        "can you help me find a pool",
        "im scared people will laugh at me",
        "help",
        "ich habe Angst vor Hunden",
        "danke für die Hilfe gestern und bis morgen",
        "tengo miedo de los perros",
        "j'ai peur du noir",
        "tenho medo de cães",
        "30 easy",
    ],
)
def test_fear_of_something_and_help_with_something_are_talk(line: str) -> None:
    assert not is_cry_for_help(line)
