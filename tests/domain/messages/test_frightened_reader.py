"""What somebody who is frightened reads: in which order, for whom, and in which language (docs/safety.md)."""

from __future__ import annotations

import pytest

from nudgebot.domain.messages.common import in_all
from nudgebot.domain.messages.health import safety
from nudgebot.domain.profile import places
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES
from nudgebot.domain.text.triage import Level, triage
from tests.talking import joined

COMPRESSIONS = tuple(in_all("aid_cpr").values())


@pytest.mark.parametrize(
    ("line", "language", "aid"),
    [
        ("crushing weight on my breastbone and I feel sick", "en", "chest"),
        ("my speech is slurred and my arm is weak", "en", "stroke"),
        ("I blacked out in the middle of the run", "en", "lie_down"),
        ("me aprieta el pecho y sudo frío", "es", "chest"),
        ("Druck auf der Brust seit einer Stunde", "de", "chest"),
        ("j'ai une douleur dans la poitrine", "fr", "chest"),
        ("dor forte no peito agora", "pt", "chest"),
    ],
)
def test_an_emergency_says_call_then_company_then_one_line_for_the_sign(line: str, language: str, aid: str) -> None:
    verdict = triage(line)
    first, second, third, *_ = safety.answer(verdict, "PT").splitlines()
    assert verdict.level is Level.EMERGENCY
    assert places.emergency_call("PT", language) in first
    assert second == in_all("stay")[language]
    assert third == in_all(f"aid_{aid}")[language]


@pytest.mark.parametrize(
    "line",
    [
        "I passed out at the kerb",
        "resting pulse 38 and I feel faint",
        "me desmayé corriendo",
        "bin beim Laufen ohnmächtig geworden",
        "je me suis évanoui en courant",
        "desmaiei a meio da corrida",
    ],
)
def test_resuscitation_is_never_told_to_the_one_who_fell(line: str) -> None:
    text = safety.answer(triage(line), "GB")
    assert not any(words in text for words in COMPRESSIONS)


@pytest.mark.parametrize("line", ["a man next to me collapsed and is not responding", "my friend just passed out here"])
def test_resuscitation_is_told_to_whoever_stands_by(line: str) -> None:
    lines = safety.answer(triage(line), "GB").splitlines()
    assert lines[0] == "For whoever is with you: call 999 now."
    assert lines[1] == in_all("other_stay")["en"]
    assert lines[2] == in_all("aid_cpr")["en"]


@pytest.mark.parametrize(
    ("line", "quoted"),
    [
        ("long week. the right calf is swollen and throbs, bed now", "the right calf is swollen and throbs"),
        ("22 easy, then my pulse stayed irregular all evening", "then my pulse stayed irregular all evening"),
        ("die linke Wade ist dick und heiß", "die linke Wade ist dick und heiß"),
    ],
)
def test_an_urgent_answer_quotes_the_words_that_led_to_it(line: str, quoted: str) -> None:
    verdict = triage(line)
    assert verdict.level is Level.URGENT
    assert verdict.words == quoted
    assert quoted in safety.answer(verdict, "DE")


@pytest.mark.parametrize(
    "line", ["my calf is swollen " * 30, "blah " * 200 + "my calf is swollen and hot " + "blah " * 200]
)
def test_a_quote_is_the_runners_own_and_short(line: str) -> None:
    words = triage(line).words
    assert words
    assert words.removesuffix(" …") in " ".join(line.split())
    assert len(words) <= 82


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("country", ["", "US", "FR"])
def test_the_line_of_signs_has_the_number_to_call_in_its_language(language: str, country: str) -> None:
    assert places.emergency_call(country, language) in safety.signs_line(country, language)


@pytest.mark.parametrize(
    ("line", "call"),
    [
        ("wibble wobble", "call 112"),
        ("/nosuchcommand", "call 112"),
        ("weiß gar nicht was das soll", "ruf die 112 an"),
        ("je ne sais pas ce qui m'arrive", "appelle le 112"),
    ],
)
def test_every_answer_that_a_line_was_not_understood_carries_the_number(line: str, call: str) -> None:
    assert call in "\n".join(joined(line).texts)  # with "I did not get that", or in the closed question


def test_on_hold_the_number_of_the_country_comes_first() -> None:
    assert (
        joined("crushing chest pain\nI am so scared").texts[-1].startswith("If no doctor has seen you yet: call 112.")
    )
