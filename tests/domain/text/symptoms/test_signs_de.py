"""German as it is spoken: signs are heard at their level, and harmless lines stay harmless."""

from __future__ import annotations

import pytest

from nudgebot.domain.text.triage import triage


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("Mir hockt einer auf der Brust, so ein Gewicht", "emergency"),
        ("Krieg kaum noch Luft im Sitzen", "emergency"),
        ("Mein Mundwinkel hängt und ich nuschel plötzlich", "emergency"),
        ("Linke Seite plötzlich taub", "emergency"),
        ("Beim Laufen umgekippt, am Boden aufgewacht", "emergency"),
        ("Unten rum alles taub und kann nicht pinkeln", "emergency"),
        ("Das Asthmaspray hilft nicht", "emergency"),
        ("Ich mag nimmer leben", "emergency"),
        ("Heute hat mich ein Auto angefahren", "urgent"),
        ("Stuhl ist pechschwarz", "urgent"),
        ("Blutverdünner seit Tagen nicht genommen", "urgent"),
        ("Ein Hund hat mich in die Wade gebissen", "urgent"),
        ("Der Dackel hat mich gebissen", "urgent"),
        ("Knoten in der Achsel ertastet", "clinician"),
        ("Ich bin seit Wochen nur noch traurig und leer", "clinician"),
        ("Hockt mir ein Amboss da vorn seit dem Hügel", "emergency"),
        ("Um mich rum wie ein Eisenband, seit dem Aufstieg", "emergency"),
        ("Der Becher ist mir dreimal aus der Hand gefallen", "emergency"),
        ("Die Suppe läuft mir auf einer Seite raus", "emergency"),
        ("Meine Tochter meint, ich rede wie ein Besoffener", "emergency"),
        ("Vom Schild fehlt mir die linke Hälfte", "emergency"),
        ("Flach liegen geht nicht mehr, ich ersticke sonst", "emergency"),
        ("Bim Schnuufe stichts, wenn i tief yschnuufe", "emergency"),
        ("I han d Rüebe agschlage und schlof dauernd ii", "emergency"),
        ("Des Häferl rutscht ma dauernd aus der Hand", "emergency"),
        ("Aufm Klo wars heut wie Malzbier", "urgent"),
        ("A roter Strich zieht vom Daumen nauf", "urgent"),
        ("Kimm nimma auf d Zehenspitzen", "urgent"),
        ("Ich fall den Kindern nur zur Last", "urgent"),
    ],
)
def test_a_sign_in_everyday_german_is_heard_at_its_level(line: str, level: str) -> None:
    assert triage(line).level.value == level


@pytest.mark.parametrize(
    "line",
    [
        "Mein Vorderrad hat keine Luft mehr",
        "Ich ersticke in Arbeit, Lauf auf Freitag bitte",
        "Die Treppen bringen mich um, aber 5 km geschafft",
        "Ich bin ganz durcheinander mit den Tagen, war heute Lauf dran?",
        "Halb totgelacht beim Vereinsabend, morgen laufe ich",
        "Der Rucksack drückt auf der Schulter, sonst gut",
        "Die Drehmaschine hat Herzrasen",
        "Der Pistenbully ist ohnmächtig geworden",
        "Die Stromrechnung macht mir Herzrasen",
        "Vor lauter Lachen keine Luft mehr",
        "Schwiegervater hat zwei Stents bekommen und schimpft über das Essen",
        "Die Organistin ist kollabiert, liegt im Krankenhaus",
        "Der Trecker hat einen Herzinfarkt, ich schraube heute",
        "Bei dem Dieselpreis kriegst einen Herzinfarkt",
        "Ich sterbe vor Stress, Lauf bitte verschieben",
        "Da vorn am Deich war die Straße eng, 30 min",
        "Licht aus im Büro und ab nach Hause, 25 min gelaufen",
        "Haxn gegessen beim Wirt, morgen lauf ich",
        "Mit der Katze auf dem Schoß den ganzen Abend gesessen",
    ],
)
def test_a_turn_of_phrase_is_no_sign(line: str) -> None:
    assert triage(line).level.value == "none"
