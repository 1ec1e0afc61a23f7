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
        ("As mãos não respondem com o frio e estou a tremer", "emergency"),
        ("Não consigo pousar o pé desde a queda", "urgent"),
        ("Acabou-me o remédio do coração", "urgent"),
        ("Esqueci a varfarina duas vezes esta semana", "urgent"),
        ("Apareceu-me um carocinho duro debaixo do braço", "clinician"),
        ("Choro todos os dias há meses", "clinician"),
        ("A canela piora a cada quilómetro, dói muito", "clinician"),
        ("Emagreci sem querer uns sete quilos", "clinician"),
        ("Acordo encharcada em suor todas as noites", "clinician"),
        ("Levanto-me cinco vezes à noite para urinar", "clinician"),
        ("parece que sentaram um boi em cima de mim, aqui no meio", "emergency"),
        ("a sopa escorre pelo canto da boca desde manhã", "emergency"),
        ("minha mão direita ficou boba, a caneca caiu da mão", "emergency"),
        ("comi caranguejo e estou com os beiços que nem linguiça", "emergency"),
        ("o queixo não desce ao peito e estou a arder em febre", "emergency"),
        ("senti um estouro dentro da cabeça ao levantar a caixa", "emergency"),
        ("obro preto que nem alcatrão e vejo a sala rodar", "emergency"),
        ("vai um risco encarnado pelo braço acima", "urgent"),
        ("veio descendo um pano preto na vista", "urgent"),
        ("o pé direito tá batendo no chão, não levanta a ponta", "urgent"),
        ("o bebê tá quietão desde ontem, nem com chocolate deu sinal", "urgent"),
        ("rezo pra não acordar", "urgent"),
        ("me apertou o coração ver a escola fechada", "none"),
        ("a carrinha está com falta de ar, é o filtro", "none"),
        ("cabeça a ferver de ideias para a feira", "none"),
        ("saiu vermelho o carro depois da pintura", "none"),
        ("Engoli um caroço de azeitona mas tudo bem", "none"),
        ("Camisola encharcada de suor, ótima corrida", "none"),
        ("Encontramo-nos sempre no mesmo sítio, pernas boas", "none"),
        ("Estou confuso com os dias, é terça ou quinta?", "none"),
        ("Perdi peso com o plano, estou contente", "none"),
        ("Chorei de rir com o grupo", "none"),
        ("Não vejo a hora de correr no sábado", "none"),
        ("Apaguei a mensagem sem querer, foram 30 minutos", "none"),
        ("Morri de rir com o treino de hoje", "none"),
        ("Desmaiei de sono no sofá, corro amanhã", "none"),
        ("Maré vazia, 40 minutos na praia", "none"),
    ],
)
def test_a_portuguese_line_is_heard_at_its_level(text: str, level: str) -> None:
    assert triage(text).level.value == level
