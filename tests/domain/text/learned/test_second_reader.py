"""The second reader of signs: what it hears, how it is trained, what it costs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.text.learned import intents, signs
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.triage import Level
from tests.corpus.lines import TODAY
from tests.corpus.signs_curve import interval
from tests.corpus.signs_training import Example, complaint_table, language_table

# Lines written for this test: none of them stands in the corpora.
COMPLAINTS = (
    "since lunch something has been kneeling on my ribs and I am grey and dripping",
    "the left side of the newspaper went missing for ten minutes and then it was back",
    "my water has been the colour of strong tea since the long one",
    "seit heute früh hängt mein linker Arm so komisch und ich finde die Wörter nicht",
    "desde anoche veo una sombra negra que baja por el ojo derecho",
    "j'ai la langue qui gonfle depuis le dessert et j'avale mal",
    "o coração anda aos saltos desde ontem e fico tonto quando me levanto",
)
HARMLESS = (
    "33 min easy along the canal",
    "can we move thursday to saturday please",
    "heute 28 Minuten locker gelaufen",
    "ayer 35 minutos por el parque, muy bien",
    "je passe ma sortie à demain",
    "42 minutos leves hoje",
)


@pytest.mark.parametrize("line", COMPLAINTS)
def test_a_complaint_in_words_of_its_own_is_heard(line: str) -> None:
    assert signs.complains(line, TODAY)


@pytest.mark.parametrize("line", HARMLESS)
def test_ordinary_traffic_is_not_asked_about(line: str) -> None:
    assert not signs.complains(line, TODAY)


@given(st.text(max_size=300))
def test_any_text_has_a_probability_and_a_language(text: str) -> None:
    assert 0 <= signs.probability(text, TODAY) <= 1
    assert signs.language_of(text, "en") in signs.LANGUAGES


@given(st.text(min_size=1, max_size=60), st.integers(30, 200))
def test_the_features_of_a_long_line_are_no_more_than_those_of_its_two_ends(text: str, times: int) -> None:
    said, letters, across, skeletons = intents.heard_blocks(intents.shown_in(line_of(text * times)))
    assert len(said) <= 4 * (intents.WORDS_READ + 2) and len(skeletons) <= intents.WORDS_READ
    assert len(letters) <= 3 * intents.WORDS_READ * 26 and len(across) <= 3 * 1400


@pytest.mark.parametrize(
    ("by_ear", "plain"),
    [
        ("meenits", "minutes"), ("minits", "minutes"), ("dokter", "doktor"), ("zwanzg", "zwanzig"),
        ("kilometter", "kilometer"), ("domingu", "domingo"), ("kaminar", "caminar"),
    ],
)  # fmt: skip
def test_a_word_written_by_ear_has_the_skeleton_of_the_word(by_ear: str, plain: str) -> None:
    assert intents.skeleton(by_ear) == intents.skeleton(plain)


def test_a_sign_at_the_end_of_a_long_line_is_still_heard() -> None:
    assert signs.complains("lovely weather again. " * 150 + COMPLAINTS[0] + ". " + COMPLAINTS[0], TODAY)


def test_an_ordinary_complaint_in_a_few_words_is_not_asked_about() -> None:
    assert not signs.complains("my left hamstring is a bit sore", TODAY, signs.LineKind.ORDINARY)
    assert signs.complains(COMPLAINTS[0], TODAY, signs.LineKind.ORDINARY)


def test_nothing_of_the_lexicons_is_among_the_features() -> None:
    assert not [name for name in (*vars(signs), *vars(intents)) if name in {"triage", "lexicon", "mentions", "table"}]


def test_the_same_lines_train_the_same_weights() -> None:
    lines = [Example(text, "en", "a", Level.URGENT) for text in COMPLAINTS]
    lines += [
        Example(text, language, "b", Level.NONE) for text, language in zip(HARMLESS, signs.LANGUAGES, strict=False)
    ]
    assert complaint_table(lines) == complaint_table(list(lines))
    assert language_table(lines) == language_table(list(lines))


@pytest.mark.parametrize(
    ("line", "language"),
    [
        ("ich war gestern mit dem Rad unterwegs, keine Zeit für mehr", "de"),
        ("mañana no puedo, lo dejamos para el sábado", "es"),
        ("demain je ne peux pas, on verra samedi", "fr"),
        ("amanhã não consigo, fica para sábado", "pt"),
        ("tomorrow is no good, saturday then", "en"),
    ],
)
def test_the_language_of_a_line_is_heard(line: str, language: str) -> None:
    assert signs.language_of(line, "") == language


def test_the_interval_is_wilsons() -> None:
    # 5 of 50 at 95 %: 0.0435 to 0.2136, the worked value of Newcombe's calculator (from memory)
    low, high = interval(5, 50)
    assert low == pytest.approx(0.0435, abs=5e-4)
    assert high == pytest.approx(0.2136, abs=5e-4)
