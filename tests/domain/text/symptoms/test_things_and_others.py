"""Machines, hyperbole and other people in Spanish, French and Portuguese, beside complaints that sound like them."""

import pytest

from nudgebot.domain.text.triage import Level, triage

HARMLESS = [
    # machines, vehicles, animals
    "La motobomba de la finca se ahoga en cuanto la enciendo",
    "El acordeón se quedó sin aire en la verbena",
    "Al molinillo del bar le falta el aire",
    "La yegua de mi tío respira mal, la ve el veterinario",
    "Mon motoculteur s'étouffe au démarrage",
    "L'orgue de l'église manque d'air en hiver",
    "La dameuse a perdu connaissance en haut du téléski",
    "L'imprimante du bureau crache du sang",
    "A roçadeira engasgou com o capim molhado",
    "A sanfona ficou sem ar no meio da festa",
    "O gerador da aldeia está com falta de ar",
    "A empilhadeira está com taquicardia",
    # hyperbole
    "Casi me infarto con el presupuesto del taller",
    "Me falta el aire cuando llega la factura del gas",
    "Mi suegra me va a provocar un derrame",
    "La note du garagiste m'a coupé le souffle",
    "J'ai failli tomber dans les pommes au prix des billets",
    "Le coach va me faire faire une crise cardiaque",
    "Deu-me um treco quando vi o preço do bacalhau",
    "A conta do dentista deixou-me sem ar",
    "Que sufoco foi o jogo de domingo",
    # somebody else, taken care of
    "El fontanero se desmayó ayer y hoy ya está trabajando",
    "A mi consuegra le dio un infarto, está en planta",
    "La organista se desmayó en misa pero ya está como una rosa",
    "Mon locataire s'est évanoui hier, il est déjà à la maison",
    "Le sacristain a fait un AVC en mars, il remarche",
    "Une de mes clientes s'est effondrée, les pompiers l'ont emmenée",
    "A minha comadre desmaiou ontem mas hoje já tá comendo",
    "O carteiro teve um AVC e já voltou ao trabalho",
    "O meu genro está com dor no peito e está a ser visto na urgência",
]

HEARD = [
    ("Mi tractor no arranca y me falta el aire, estoy sentado", "emergency"),
    ("El aprendiz está en el suelo y no respira", "emergency"),
    ("Me dolió el pecho viendo el partido, no se va", "emergency"),
    ("Mi niña se atragantó con una uva y está morada", "emergency"),
    ("Me bajó el azúcar y mi hija tuvo que ponerme miel en la boca", "urgent"),
    ("La perra me mordió en el tobillo", "urgent"),
    ("Me paro en cada cuesta a tomar aire y antes de Navidad no me pasaba", "clinician"),
    ("Ma voiture est en panne et j'ai mal à la poitrine", "emergency"),
    ("Le facteur est par terre devant chez moi, il ne respire pas", "emergency"),
    ("J'ai fait une hypo et mon collègue a dû me donner du sucre", "urgent"),
    ("Leur chien m'a mordu au mollet", "urgent"),
    ("A minha moto parou e eu com dor no peito", "emergency"),
    ("Não durmo deitado, acordo sufocado", "emergency"),
    ("O meu aluno engasgou com uma espinha e está a ficar roxo", "emergency"),
    ("Baixou o açúcar e a vizinha teve de me pôr mel na boca", "urgent"),
    ("O cachorro do vizinho me mordeu, o cachorro me mordeu na mão", "urgent"),
    ("Paro em toda subida pra pegar ar e antes das festas não era assim", "clinician"),
    ("O xixi saiu cor de coca cola", "urgent"),
    ("A língua embolou e as palavras saem trocadas", "emergency"),
]


@pytest.mark.parametrize("line", HARMLESS)
def test_a_thing_a_hyperbole_or_somebody_in_good_hands_is_no_emergency(line: str) -> None:
    assert triage(line).level.value in {"none", "rest"}


@pytest.mark.parametrize(("line", "level"), HEARD)
def test_a_complaint_beside_a_thing_or_somebody_is_heard(line: str, level: str) -> None:
    assert triage(line).level.value == level


@pytest.mark.parametrize(
    ("told", "line"),
    [
        (True, "my cousin says his chest hurts"),
        (False, "my cousin says my chest pain is nothing"),
        (True, "mi cuñado dice que le duele el pecho"),
        (False, "mi cuñado dice que tengo mala cara, me duele el pecho"),
        (True, "meine Tante sagt, dass ihr die Brust weh tut"),
        (False, "meine Tante sagt ich sehe schlecht aus, Brustschmerzen"),
        (True, "mon voisin dit qu'il a mal à la poitrine"),
        (False, "mon voisin dit que j'ai mal à la poitrine à cause du stress"),
        (True, "o meu sogro diz que lhe dói o peito"),
        (False, "o meu sogro diz que estou pálido, dor no peito"),
    ],
)
def test_what_a_relative_tells_of_themselves_is_theirs_and_what_they_say_of_the_writer_is_not(
    told: bool, line: str
) -> None:
    verdict = triage(line)
    assert (verdict.level, verdict.about_other) == (Level.EMERGENCY, told)


@pytest.mark.parametrize("line", ["a mi nieta le falta el aire", "mi nieta dice que le cuesta respirar"])
def test_no_breath_of_somebody_beside_is_no_word_for_a_hill_or_a_mile(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY
