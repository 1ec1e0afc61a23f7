"""Spanish, from Spain to the Río de la Plata: signs at their level, and everyday lines at none."""

import pytest

from nudgebot.domain.text.triage import triage


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("Subiendo la loma me dio una puntada en el pecho que me corre para el brazo", "emergency"),
        ("siento el pecho raro desde que llegué a casa", "emergency"),
        ("se me enreda la lengua y hablo como borracho", "emergency"),
        ("el inhalador no me hace nada y sigo con pitos", "emergency"),
        ("anoche perdí el sentido en la cocina", "emergency"),
        ("tosí y eché sangre al toser", "emergency"),
        ("se me torció la boca al despertar", "emergency"),
        ("me tomé un puñado de pastillas", "emergency"),
        ("me atropelló una moto en el cruce", "urgent"),
        ("Me di un porrazo en la nuca al bajar", "urgent"),
        ("no me puedo poner de puntillas desde el tirón, no puedo apoyar el pie", "urgent"),
        ("me mordió un perro callejero en la pantorrilla", "urgent"),
        ("se me mueve todo, como en un barco", "clinician"),
        ("he bajado de peso sin hacer dieta", "clinician"),
    ],
)
def test_a_sign_said_in_spanish_is_heard_at_its_level(line: str, level: str) -> None:
    assert triage(line).level.value == level


@pytest.mark.parametrize(
    "line",
    [
        "casi me muero de la risa con tu mensaje",
        "me comí la cabeza pensando en el horario",
        "30 minutos dando vueltas al parque",
        "un final de infarto el de anoche",
        "a mi móvil le dio un soponcio, perdí el registro",
        "me mareo con los números del plan",
        "me tiré de cabeza a la piscina después del trote",
        "quieres matarme con esas cuestas jaja",
    ],
)
def test_an_everyday_line_in_spanish_is_no_sign(line: str) -> None:
    assert triage(line).level.value == "none"
