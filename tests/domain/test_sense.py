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
