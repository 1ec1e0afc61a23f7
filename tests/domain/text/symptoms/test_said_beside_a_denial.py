"""Lines of people who are ill or getting over it: what is denied, what has moved, since when, and what help is for."""

from __future__ import annotations

import pytest

from nudgebot.domain.text.triage import Level, triage


@pytest.mark.parametrize(
    "line",
    ["no chest pain, just tired", "no chest tightness or palpitations, wrecked legs",
     "no pain in the chest, stiff calves", "nae sair chest, nae palpitations, jist a wee bit tired",
     "no pressure in the chest but my quads are heavy"],
)  # fmt: skip
def test_tired_legs_behind_a_denied_chest_are_no_chest(line: str) -> None:
    assert triage(line).level in {Level.NONE, Level.REST}


@pytest.mark.parametrize(
    "line",
    ["no chest pain, but tightness", "no pain in my chest, just a heavy feeling", "no chest pain, heavy left arm",
     "keine Schmerzen in der Brust, nur ein Druck", "nae chest pain, but it's ticht"],
)  # fmt: skip
def test_what_has_no_place_of_its_own_is_still_of_the_denied_one(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize(
    "line",
    ["the cough has gone to my chest and I've a temperature", "flu's settled on my chest, 38.4",
     "ya se me fue al pecho la gripa, con calentura", "Husten ist auf die Lunge gezogen, Fieber dazu",
     "le rhume est tombé sur les bronches, fièvre", "a gripe desceu para os pulmões, com febre"],
)  # fmt: skip
def test_a_cold_that_has_gone_to_the_chest_has_not_gone(line: str) -> None:
    verdict = triage(line)
    assert verdict.level is Level.CLINICIAN
    assert verdict.ill_now


@pytest.mark.parametrize(
    "line",
    ["burning up, 38.4 this morning", "he's at work and I'm burning up with fever", "estoy ardiendo de fiebre",
     "glühe richtig, Fieber 39", "je suis brûlante de fièvre"],
)  # fmt: skip
def test_burning_up_with_a_fever_is_a_fever(line: str) -> None:
    verdict = triage(line)
    assert verdict.level is Level.REST
    assert verdict.ill_now


@pytest.mark.parametrize(
    ("line", "level"),
    [("burning up after my run, fever 39", Level.URGENT), ("skin burning, it's the heat", Level.URGENT),
     ("fever, burning up and talking nonsense", Level.EMERGENCY), ("burning up and slurring", Level.EMERGENCY)],
)  # fmt: skip
def test_burning_up_from_effort_or_with_a_clouded_head_is_heat(line: str, level: Level) -> None:
    assert triage(line).level is level


@pytest.mark.parametrize(
    ("present", "past"),
    [
        ("há semanas que sinto um aperto no peito a correr", "há semanas que senti um aperto no peito a correr"),
        ("tenho dor no peito há dois meses", "tive dor no peito há dois meses"),
        ("hace meses que me aprieta el pecho al correr", "hace meses que tuve opresión en el pecho al correr"),
        ("há um mês que o peito aperta", "há um mês tive um aperto no peito"),
        ("il y a des mois que j'ai mal à la poitrine", "il y a des mois j'avais mal à la poitrine"),
    ],
)
def test_ago_with_a_verb_in_the_present_says_since(present: str, past: str) -> None:
    assert triage(present).level is Level.EMERGENCY
    assert triage(past).level is Level.CLINICIAN


@pytest.mark.parametrize(
    "line",
    ["please help me change my week", "please help me with the reminder", "ayúdame por favor a mover la tirada",
     "necesito ayuda para cambiar el entreno", "aidez-moi svp à changer de jour", "besoin d'aide avec l'appli",
     "brauche Hilfe bei den Einstellungen", "preciso de ajuda com o treino", "please help me contact my coach"],
)  # fmt: skip
def test_help_with_a_plan_calls_no_ambulance(line: str) -> None:
    assert triage(line).level is Level.NONE


@pytest.mark.parametrize(
    "line",
    ["please help me", "please help me now", "please help me find a doctor", "ayúdame por favor", "necesito ayuda ya",
     "aidez-moi vite", "besoin d'aide", "brauche Hilfe", "preciso de ajuda", "please help me with my dad"],
)  # fmt: skip
def test_a_bare_cry_for_help_does(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


def test_help_with_a_plan_hides_no_sign_in_the_same_line() -> None:
    assert triage("please help me with the plan, my chest is tight").level is Level.EMERGENCY
