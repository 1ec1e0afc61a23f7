"""Lines whose words are those of a sign and whose sense is another, and the signs that stand right beside them."""

from __future__ import annotations

from datetime import date

import pytest

from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Illness, Level, triage

TODAY = date(2027, 3, 10)

HARMLESS = (
    # a day that is too hot, not a body
    "it was boiling hot on the canal, 45 min",
    "burning up out there this afternoon, 20 min in the shade",
    "40 min con el asfalto ardiendo",
    "30 min sous un soleil brûlant",
    "25 min, o dia estava a ferver lá fora",
    "kochend heiß im Park, 35 min locker",
    # a clinician's way to deny
    "negative palpitations, negative dizziness. 32 min easy",
    "neg for chest pain, ran 45",
    "niego dolor en el pecho, 30 min suaves",
    "nego dor no peito, 40 min",
    "verneine Brustschmerzen, 25 min",
    "nie toute douleur dans la poitrine, 30 min",
    # fog, no lost sight
    "40 min, couldn't see 15 metres for the fog",
    "35 min und im Nebel nichts gesehen",
    "30 min, no veía nada con la niebla",
    "25 min, je ne voyais plus rien dans la brume",
    # said for fun
    "I am dying of hunger after those 50 minutes",
    "im dyin with the thirst, 40 done",
    "35 min with Rosa, we were dying of laughter",
    "ich sterbe vor Hunger, 40 min",
    "30 min, me estoy muriendo de sueño",
    "je meurs de soif, 45 min",
    "estou a morrer de cansaço, 30 min",
)


@pytest.mark.parametrize("line", HARMLESS)
def test_weather_a_denial_or_hyperbole_is_no_sign(line: str) -> None:
    verdict = triage(line)
    assert (verdict.level, verdict.question) == (Level.NONE, "")


SIGNS = (
    ("I feel boiling hot and dizzy, stopped at the bridge", Level.URGENT),
    ("my skin is boiling hot to the touch and I am confused", Level.EMERGENCY),
    ("estoy ardiendo y no sudo", Level.EMERGENCY),
    ("ran a negative split with chest pain in the last mile", Level.EMERGENCY),
    ("covid negative but chest pain since noon", Level.EMERGENCY),
    ("lateral flow negative chest pain though", Level.EMERGENCY),
    ("negative chest pain, but I fainted on the hill", Level.EMERGENCY),
    ("I am dying of chest pain", Level.EMERGENCY),
    ("I think I'm dying", Level.EMERGENCY),
    ("can't see out of my right eye, like a mist", Level.EMERGENCY),
    ("retrosternal pressure since the hill", Level.EMERGENCY),
    # American Heart Association: one shock, the clinic the same day; several, or one with signs, call at once.
    ("my defibrillator just went off at the lake", Level.EMERGENCY),
    ("der Defi hat heute früh ausgelöst", Level.EMERGENCY),
    ("el desfibrilador se disparó dos veces", Level.EMERGENCY),
    ("mon défibrillateur a choqué cet après-midi", Level.EMERGENCY),
    ("o desfibrilhador deu-me um choque", Level.EMERGENCY),
    ("je meurs", Level.EMERGENCY),
    ("estoy muriendo de sed y confundido con este calor", Level.EMERGENCY),
)


@pytest.mark.parametrize(("line", "level"), SIGNS)
def test_the_sign_beside_such_words_is_read_as_before(line: str, level: Level) -> None:
    assert triage(line).level.rank >= level.rank


@pytest.mark.parametrize(
    "line",
    [
        "38.4 and I can't stop shivering",
        "shivering since lunch, 39.2",
        "102.4 with chills",
        "39,1 und ich zittere",
        "38,6 con escalofríos",
        "38,9, je grelotte",
        "38,4 e calafrios a noite toda",
        "38 °C and shivers",
    ],
)
def test_a_fever_told_by_its_number_and_shivers_is_one(line: str) -> None:
    assert [each.illness for each in triage(line).told] == [Illness.FEVER]
    assert read(line, TODAY).minutes is None


@pytest.mark.parametrize(
    ("line", "minutes"), [("38 easy, shivering at the start", 38), ("ran 40.5 min in the sleet, shivering after", 41)]
)
def test_minutes_beside_shivers_stay_minutes(line: str, minutes: int) -> None:
    assert not triage(line).told
    assert read(line, TODAY).minutes == minutes


@pytest.mark.parametrize("line", ["36.9 and shivering", "38.9 outside, shivering with delight", "38.5 km, shivering"])
def test_no_fever_is_made_of_another_number_beside_shivers(line: str) -> None:
    assert not triage(line).told


# JNC 7 (JAMA 2003;289:2560-2572): stage 1 from 140 or 90, stage 2 from 160 or 100 mmHg.
@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("bp 139/89", Level.NONE),
        ("bp 140/82", Level.REST),
        ("blood pressure a bit high, 148/88", Level.REST),
        ("tensión 15 con 9", Level.REST),
        ("bp 159/99", Level.REST),
        ("bp 160/90", Level.CLINICIAN),
        ("pressão 15 por 10", Level.CLINICIAN),
        ("my blood pressure is high", Level.CLINICIAN),
        ("bp 148/92 with a terrible headache", Level.URGENT),
        ("bp 179/110", Level.URGENT),
    ],
)
def test_a_blood_pressure_holds_from_its_second_stage_on(line: str, level: Level) -> None:
    assert triage(line).level is level


@pytest.mark.parametrize(
    "line", ["25 min by the weir, sun gone by the end", "30 min footing, bord de mer", "sun up at last, 40 easy"]
)
def test_the_sun_and_the_sea_are_no_days_of_the_week(line: str) -> None:
    reading = read(line, TODAY)
    assert (reading.day, reading.days) == (TODAY, ())


@pytest.mark.parametrize("line", ["dolore al petto da ieri", "ból głowy i gorączka", "smärta i bröstet"])
def test_a_line_in_a_language_that_is_not_read_is_no_talk(line: str) -> None:
    """Then it is answered with the signs that mean call, and the number."""
    assert read(line, TODAY).intent is not Intent.HELLO


@pytest.mark.parametrize("line", ["hallo zusammen", "bom dia a todos", "good morning all", "buenas, gente"])
def test_a_greeting_stays_one(line: str) -> None:
    assert read(line, TODAY).intent is Intent.HELLO


ELSEWHERE = (
    "bedroom temperature 38, slept badly, 25 min",
    "temperature of the bath 39, lovely after 30 min",
    "temp 41 in the sauna, 20 min jog first",
    "Backofen auf Temperatur 180 Grad, vorher 25 min",
    "38 grados de temperatura en el invernadero, luego 20 min",
    "température de la chambre 38, 20 min",
    "temperatura do carro 41, 30 min",
    "Seetemperatur 13 Grad, vorher 25 min",
    # to do a stretch of running, not to be struck down or to jump
    "knocked out six miles with Priya",
    "Ken and I knocked out 50 min",
    "quiero aventarme 6 km el domingo",
    "aventarnos otra vuelta",
    # a heart attack that somebody or something nearly gave me
    "casi me da un infarto con la factura del gas, 30 min",
    "je vais faire une crise cardiaque devant cette finale",
    "vou ter um ataque cardíaco com este exame",
    "kriege noch einen Herzinfarkt bei diesem Elfmeterschießen",
    "esta humedad me mata",
    # machines
    "mon scooter a fait un arrêt cardiaque au feu",
    "der Toaster hat einen Herzinfarkt",
    "my sewing machine collapsed",
    "el celular tuvo un infarto a los 3 km",
    "a batedeira teve um enfarte",
    # places that are no backside, and a backside that is only tired of a bench
    "the bottom of my shoe is numb with cold, 20 min",
    "numb backside from the pew, 25 min after church",
    "le chien derrière le portail endormi, 25 min",
    # a period, and a walk, that are nothing but that
    "period day 2, 20 min easy",
    "meine Tage, 25 min locker",
    "con la regla, 20 min suaves",
    "spotted two deer, 30 min",
    "spin bike 35 min",
)


@pytest.mark.parametrize("line", ELSEWHERE)
def test_a_room_an_idiom_of_doing_excitement_or_a_machine_is_no_grave_sign(line: str) -> None:
    verdict = triage(line)
    assert verdict.level.rank <= Level.REST.rank
    assert verdict.question == ""


# Clauses of docs/sources-safety.md: cauda equina, heavy periods, dizzy (exercise screening), bone stress (limp).
MISSED = (
    ("I can't feel my backside since lunch", Level.EMERGENCY),
    ("my rear has gone numb", Level.EMERGENCY),
    ("no siento las nalgas", Level.EMERGENCY),
    ("mein Hintern ist gefühllos", Level.EMERGENCY),
    ("je ne sens plus mon postérieur", Level.EMERGENCY),
    ("perdi a sensibilidade no bumbum", Level.EMERGENCY),
    ("a tampon every half hour and I am dizzy", Level.EMERGENCY),
    ("eine Binde pro Stunde und mir ist schwindelig", Level.EMERGENCY),
    ("a pad each hour since noon", Level.URGENT),
    ("dos tampones por hora, la regla más fuerte", Level.URGENT),
    ("une protection par heure", Level.URGENT),
    ("my period has lasted 12 days and I'm pale", Level.URGENT),
    ("meine Periode seit 11 Tagen, ganz bleich", Level.URGENT),
    ("a menstruação dura há 12 dias", Level.CLINICIAN),
    ("the trees went round and round on the last bend, fine now", Level.CLINICIAN),
    ("la calle me daba vueltas al acabar", Level.CLINICIAN),
    ("der Weg drehte sich beim letzten Kilometer", Level.CLINICIAN),
    ("tout tournait autour de moi au dernier kilomètre", Level.CLINICIAN),
    ("a rua girava no último quilómetro", Level.CLINICIAN),
    ("ankle makes me walk like a penguin", Level.CLINICIAN),
    ("camino de lado por el tobillo", Level.CLINICIAN),
    ("ich gehe nur schief wegen dem Knöchel", Level.CLINICIAN),
    ("je marche comme un crabe, c'est la hanche", Level.CLINICIAN),
    ("ando feito pato por causa do tornozelo", Level.CLINICIAN),
    # and what stands right beside the harmless ones
    ("temp 39.4 and in the kitchen I nearly fell", Level.REST),
    ("temperature 40.1 after the sauna", Level.EMERGENCY),
    ("got knocked out 2 minutes into the game", Level.EMERGENCY),
    ("ganas de aventarme de la azotea", Level.EMERGENCY),
    ("casi me da un infarto con este dolor en el pecho", Level.EMERGENCY),
    ("je crois que je vais faire un infarctus", Level.EMERGENCY),
    ("vou ter um enfarte, falta-me o ar", Level.EMERGENCY),
    ("my phone died and my chest is tight", Level.EMERGENCY),
    ("treadmill 20 min then blacked out", Level.EMERGENCY),
    ("oven on then blacked out", Level.EMERGENCY),
    ("esteira 15 min e desmaiei", Level.EMERGENCY),
    ("vélo puis évanouie", Level.EMERGENCY),
)


@pytest.mark.parametrize(("line", "level"), MISSED)
def test_a_sign_in_words_of_every_day_is_heard(line: str, level: Level) -> None:
    assert triage(line).level.rank >= level.rank


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("ça fait 14 ans mon infarctus, le cardiologue est d'accord", Level.NONE),
        ("o enfarte tem uns sete anos, o cardiologista autorizou", Level.NONE),
        ("infarto hace unos 6 años, dado de alta", Level.NONE),
        ("Lungenembolie 2014, vom Arzt freigegeben, 30 min", Level.NONE),
        ("heart attack 2013, consultant says I'm fine, 35 min", Level.NONE),
        ("ça fait 14 ans mon infarctus", Level.CLINICIAN),
        ("o enfarte tem uns sete anos", Level.CLINICIAN),
        # what goes on, or may be a time of day, is no past
        ("ça fait 14 ans que j'ai mal à la poitrine", Level.EMERGENCY),
        ("faz três dias que tenho dor no peito", Level.EMERGENCY),
        ("chest pain 2014 and not cleared", Level.EMERGENCY),
    ],
)
def test_what_is_years_gone_is_settled_only_with_a_clearance(line: str, level: Level) -> None:
    assert triage(line).level is level


SPOTTING = (
    "a bit of spotting after the jog",
    "he manchado un poco esta tarde",
    "leichte Schmierblutung seit gestern",
    "quelques pertes brunes ce soir",
    "corrimento castanho depois da caminhada",
)


@pytest.mark.parametrize("line", SPOTTING)
def test_spotting_is_asked_about_and_urgent_where_a_pregnancy_was_told(line: str) -> None:
    """American College of Obstetricians and Gynecologists, Committee Opinion 804: bleeding is a reason to stop."""
    alone, told = triage(line), triage(line, pregnant=True)
    assert (alone.level, alone.question) == (Level.NONE, "plain")
    assert told.level is Level.URGENT
    assert triage(f"14 weeks pregnant. {line}").level is Level.URGENT


@pytest.mark.parametrize("line", ["25 min easy", "spotted a fox", "no spotting, 20 min", "my sister is spotting"])
def test_a_told_pregnancy_makes_no_sign_of_a_plain_line(line: str) -> None:
    assert triage(line, pregnant=True).level is Level.NONE


@pytest.mark.parametrize(
    "line",
    [
        "no more fever since Monday, just tired", "I no longer have a temperature", "kein Fieber mehr, nur schlapp",
        "je n'ai plus de fièvre depuis mardi", "ya no tengo fiebre", "já não tenho febre desde ontem",
        "no vomiting since last night",
    ],
)  # fmt: skip
def test_an_illness_that_is_no_longer_there_was_one(line: str) -> None:
    (told,) = triage(line).told
    assert told.past


@pytest.mark.parametrize("line", ["no fever", "kein Fieber, 30 min", "no fever and no cough, easy 25", "sin fiebre"])
def test_an_illness_that_is_only_denied_was_none(line: str) -> None:
    assert not triage(line).told


# ADA position statement on type 1 and 2 diabetes (from memory): breath like fruit or acetone with sickness.
@pytest.mark.parametrize(
    "line",
    ["nauseous and my breath smells like pear drops", "kotzübel, und der Atem riecht fruchtig",
     "vomité y huelo a acetona", "envie de vomir, haleine de pomme", "com vómitos e hálito frutado",
     "sat in the van with the engine running, hose from the exhaust", "ich ließ den Motor in der Garage laufen"],
)  # fmt: skip
def test_a_breath_of_acetone_with_sickness_and_a_means_at_hand_are_emergencies(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize("line", ["nail polish all over the sofa, 30 min", "the workshop smells of acetone again"])
def test_a_smell_of_acetone_alone_is_no_sign(line: str) -> None:
    assert triage(line).level is Level.NONE


@pytest.mark.parametrize(
    ("line", "activity"),
    [("cycled instead of my run, 35 min", "bike"), ("war rudern statt joggen, 30 Minuten", "row"),
     ("nagé à la place de courir, 40 min", "swim"), ("instead of running I walked, 50 minutes", "walk")],
)  # fmt: skip
def test_what_was_done_in_place_of_a_run_is_what_its_minutes_are_of(line: str, activity: str) -> None:
    assert read(line, TODAY).activity.value == activity


@pytest.mark.parametrize(("line", "back"), [("So, 25 min gelaufen", 0), ("So, geschafft, 30", 0), ("Mi, 30", 0)])
def test_a_german_so_before_a_comma_begins_to_tell_and_is_no_sunday(line: str, back: int) -> None:
    day = read(line, TODAY).day
    assert day is None or (TODAY - day).days == back
