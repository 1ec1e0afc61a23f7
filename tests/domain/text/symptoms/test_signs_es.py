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
        ("es como si me pusieran una losa encima, y llevo así desde las nueve", "emergency"),
        ("la sopa se me sale por la esquina de la boca desde esta mañana", "emergency"),
        ("la taza se me resbala de la mano, la derecha está como prestada", "emergency"),
        ("sentí que se rasgaba algo por dentro, entre las paletas", "emergency"),
        ("tengo los labios como chorizos desde que tomé la pastilla", "emergency"),
        ("no me acuerdo cuál es mi calle y ni una gota de sudor", "emergency"),
        ("el pantalón ni me entra, una raya colorada que va subiendo por la pierna", "urgent"),
        ("el chiquillo no se me mueve desde anoche, voy de 30 semanas", "urgent"),
        ("me arde cuando orino y traigo calentura de 39", "urgent"),
        ("veo los renglones torcidos y una mosca que no está", "urgent"),
        ("mis hijos están mejor sin mí que conmigo", "urgent"),
    ],
)
def test_a_sign_said_in_spanish_is_heard_at_its_level(line: str, level: str) -> None:
    assert triage(line).level.value == level


@pytest.mark.parametrize(
    "line",
    [
        "el recibo vino alto, casi me da un infarto con la factura",
        "el jueves tengo turno partido, salgo el viernes",
        "se me ha ido el santo al cielo con la hora",
        "fue una puñalada por la espalda lo del ascenso",
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
