"""What may be an exaggeration and may be no such thing is taken for what it says: of two levels the higher."""

import pytest

from nudgebot.domain.text.triage import Level, triage


@pytest.mark.parametrize(
    "line",
    [
        "debts make me want to die", "work makes me want to die", "los lunes me dan ganas de matarme",
        "quiero desaparecer del mapa", "les dettes me donnent envie de mourir", "le chef me rend suicidaire",
        "a burocracia me dá vontade de morrer",
    ],
)  # fmt: skip
def test_a_wish_to_die_counts_whatever_is_blamed_for_it(line: str) -> None:
    assert triage(line).level.rank >= Level.URGENT.rank


@pytest.mark.parametrize(
    "line",
    [
        "overtime made me pass out", "desmaiei com a notícia", "tive um avc na festa",
        "j'ai perdu connaissance devant le match", "me dio un infarto con la noticia",
        "tuve un infarto con el perro al lado",
    ],
)  # fmt: skip
def test_what_is_told_as_having_happened_counts_whatever_it_happened_at(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize(
    "line",
    [
        "the price of eggs makes me faint", "casi me da un infarto con la factura", "me da un infarto con el precio",
        "j'ai failli faire un infarctus avec ce prix", "fast einen Herzinfarkt gekriegt bei dem Preis",
    ],
)  # fmt: skip
def test_a_price_that_nearly_killed_is_an_exaggeration(line: str) -> None:
    assert triage(line).level is Level.NONE
