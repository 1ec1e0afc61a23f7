"""A wish to be gone is heard in everybody's words, and what only sounds like one is not."""

import pytest

from nudgebot.domain.text.triage import Level, triage


@pytest.mark.parametrize(
    "line",
    [
        "Emma and the boys would be happier if I just vanished",
        "looking up how many paracetamol would do it",
        "sick of being alive, did 25 though",
        "saved up my sleeping pills, they're all lined up",
        "I'm just a burden to my family these days",
        "keep thinking about driving the car into a bridge",
        "hoping I don't wake up tomorrow",
        "can't see any point in being around",
        "been hurting myself on purpose again",
        "Meine Frau wär ohne mich besser dran, glaub ich",
        "am liebsten würd ich einschlafen und nie mehr aufwachen",
        "hab heute überlegt ob ich das auto gegen einen pfeiler lenke",
        "bin allen nur noch zur last",
        "keinen lebenswillen mehr, 20 minuten trotzdem",
        "spiele mit dem gedanken mir was anzutun",
        "schlaftabletten gehortet, reicht wohl",
        "ich will nicht mehr am leben sein",
        "mir egal ob ich morgen noch aufwache",
        "i mog nimmer lebn",
        "soy una carga para mi familia y lo saben",
        "ganas de estrellarme contra un muro con el coche",
        "quisiera dormir y no despertar más",
        "ya no le veo sentido a la vida",
        "me da igual si no despierto",
        "junté las pastillas y escribí una carta de despedida",
        "nadie me extrañaría si desaparezco",
        "he vuelto a hacerme daño",
        "voy a tirarme al metro",
        "estarían mejor si yo no estuviera",
        "je suis un fardeau pour mes enfants",
        "j'ai envie de me jeter sous le métro",
        "je n'ai plus aucune raison de vivre",
        "j'ai recommencé à me scarifier",
        "mes enfants seraient plus heureux si j'étais mort",
        "cette nuit je me fous en l'air",
        "j'en ai assez d'exister",
        "mieux vaut crever",
        "j'ai mis de côté des somnifères",
        "sou um peso pra minha família",
        "penso em jogar o carro contra um poste",
        "vontade de dormir e nunca mais acordar",
        "não tenho mais razão pra viver",
        "tomara que eu não acorde amanhã",
        "juntei os comprimidos todos",
        "a família ficava melhor se eu morresse",
        "voltei a me machucar de propósito",
        "vou me jogar da ponte",
        "cansada de existir",
        "if I never woke up again it would save them all the bother",
        "si un día no me despertara, mejor para todos",
        "si demain matin je me réveillais pas, bon débarras",
    ],
)
def test_a_wish_to_be_gone_is_at_least_urgent(line: str) -> None:
    assert triage(line).level.rank >= Level.URGENT.rank


@pytest.mark.parametrize(
    "line",
    [
        "the dog would be better off without me on the lead, 25 done",
        "one step and i'm in the puddle, 32 min",
        "tired of living out of a suitcase, back home friday",
        "fed up with life on the road, can we move saturday",
        "lost the will to live at the parents evening lol",
        "this hill will be the end of me haha 40 min",
        "hab heute schluss gemacht um vier, dann 30 gelaufen",
        "die brücke ist gesperrt, 35 min andersrum",
        "keiner hat mich vermisst beim fest, also lief ich 40",
        "das macht keinen sinn mehr mit dem plan, verschieben?",
        "harto de la vida de oficina, corrí 30",
        "me corté el pelo y corrí 25",
        "nadie me echó de menos en la cena, corrí 40",
        "j'en ai marre de la pluie, 30 min quand même",
        "j'ai compté les tours de piste, 8, 35 min",
        "un pas et c'est reparti, 25 min",
        "cansei dessa chuva, 30 na esteira",
        "ninguém sentiu minha falta no almoço, corri 40",
        "queria sumir do escritório, 35 leve",
    ],
)
def test_weariness_of_something_else_is_no_wish_to_be_gone(line: str) -> None:
    assert triage(line).level.rank < Level.CLINICIAN.rank


@pytest.mark.parametrize(
    "line",
    [
        "hoping a bus hits me",
        "everyone is better off if I just died",
        "wenn ich morgen nicht mehr aufwache ist es gut",
        "si me muero mejor para todos, estarían mejor si no existiera",
    ],
)
def test_an_if_inside_the_wish_makes_no_question_of_it(line: str) -> None:
    assert triage(line).level.rank >= Level.URGENT.rank


@pytest.mark.parametrize(
    "line",
    [
        "heart attack in nineteen eighty seven, fine ever since",
        "Herzinfarkt neunzehnhundertsechsundneunzig",
        "tuve un infarto en el dos mil ocho",
        "j'ai fait un infarctus en deux mille onze",
        "infarto em dois mil e seis",
        "Schlaganfall 1988",
    ],
)
def test_a_year_in_words_is_as_long_ago_as_one_in_figures(line: str) -> None:
    assert triage(line).level.rank < Level.URGENT.rank


def test_a_year_that_may_be_a_clock_is_no_year() -> None:
    assert triage("chest pain at 1945").level is Level.EMERGENCY


@pytest.mark.parametrize(
    "line",
    [
        "gave the dog to my sister, bills are paid. goodbye old friend",
        "wrote out who gets what. you've been good company",
        "die katze ist versorgt, der brief liegt am tisch. machs gut",
        "le di el perro a mi hermana y pagué todo. gracias por todo",
        "j'ai donné le chat à ma voisine et réglé toutes les factures. adieu",
        "dei o gato pra vizinha e paguei tudo. fica com deus",
        "envelopes addressed, rent paid up, no need for any more reminders",
        "Strom ist bezahlt, Briefe liegen auf dem Tisch, Erinnerungen brauch ich keine mehr",
        "las cartas están en la mesa, ya no hace falta que me avises",
        "les lettres sont sur le buffet, plus besoin de rappels",
        "as cartas estão na gaveta, já não preciso de lembretes",
    ],
)
def test_a_farewell_with_affairs_settled_is_urgent(line: str) -> None:
    assert triage(line).level is Level.URGENT


@pytest.mark.parametrize(
    "line",
    [
        "moving to Spain, gave the cat to Jessie, thanks for everything",
        "urlaub bis zum 20., katze ist bei der nachbarin versorgt, machs gut",
        "the dogs are fed, 30 min easy, cheers for everything",
        "gracias por todo, hasta mañana",
        "merci pour tout, à demain",
    ],
)
def test_thanks_before_a_holiday_or_a_move_are_no_farewell(line: str) -> None:
    assert triage(line).level is Level.NONE


@pytest.mark.parametrize(
    "line",
    ["burning up all night, sheets soaked", "he estado ardiendo toda la noche", "die ganze Nacht geglüht"],
)
def test_a_night_of_burning_up_is_a_fever(line: str) -> None:
    found = triage(line)
    assert found.fever and found.illness


@pytest.mark.parametrize(
    "line",
    [
        "my brother says he wants to kill himself",
        "meine Frau will sich umbringen",
        "mi hermano dice que se quiere matar",
        "mon frère dit qu'il va se tuer",
        "meu irmão disse que quer morrer",
        "my lodger sits here saying she won't see the morning",
        "mi hermana está conmigo y dice que no llega a mañana",
    ],
)
def test_somebody_beside_the_writer_who_wants_to_die_is_an_emergency(line: str) -> None:
    found = triage(line)
    assert found.level is Level.EMERGENCY and found.about_other


@pytest.mark.parametrize(
    "line",
    ["my uncle killed himself last year, still sad about it. 30 done", "my husband says he'll kill himself laughing"],
)
def test_a_death_long_ago_and_laughter_are_none(line: str) -> None:
    assert triage(line).level is Level.NONE


@pytest.mark.parametrize(
    "line",
    [
        "no point going on with it",
        "es hat keinen Sinn mehr noch zu leben",
        "kein Sinn mehr mit dem Leben",
        "harta de vivir sin él",
        "cansado de la vida sin ella",
    ],
)
def test_what_names_life_itself_is_no_weariness_of_something_else(line: str) -> None:
    assert triage(line).level.rank >= Level.URGENT.rank
