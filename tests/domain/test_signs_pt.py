"""Portuguese complaints and harmless Portuguese lines, each at its level."""

import pytest

from nudgebot.domain.text.triage import triage


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("Sinto uma bigorna no peito desde o almoço", "emergency"),
        ("Fiquei desacordado uns segundos na calçada", "emergency"),
        ("As palavras saem trocadas desde manhã", "emergency"),
        ("Metade do corpo dormente de repente", "emergency"),
        ("A bombinha não fez efeito e continuo com chiado", "emergency"),
        ("Escarrei sangue depois da corrida", "emergency"),
        ("Tomei a caixa toda de comprimidos", "emergency"),
        ("Fui atropelada por uma moto ontem", "urgent"),
        ("Bati com a testa no poste da rua", "urgent"),
        ("Não vejo a hora de correr no sábado", "none"),
        ("Apaguei a mensagem sem querer, foram 30 minutos", "none"),
        ("Morri de rir com o treino de hoje", "none"),
        ("Desmaiei de sono no sofá, corro amanhã", "none"),
        ("Maré vazia, 40 minutos na praia", "none"),
    ],
)
def test_a_portuguese_line_is_heard_at_its_level(text: str, level: str) -> None:
    assert triage(text).level.value == level
