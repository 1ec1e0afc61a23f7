"""One owner a number: what belongs to the body is no minutes, and minutes are no pulse."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.text.claims import Claimed, claims
from nudgebot.domain.text.fevers import BODY, is_fever
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, triage

TODAY = date(2027, 3, 10)


@pytest.mark.parametrize(
    ("line", "minutes", "pulse"),
    [
        ("27 gentle, hr 133", 27, 133),
        ("24 + 18, Puls 133", 42, 133),
        ("ran 29, hr 144", 29, 144),
        ("26 min @ 141", 26, 141),
        ("32 @ 127 bpm", 32, 127),
        ("hr 136, 34 easy", 34, 136),
        ("31, avg hr 137", 31, 137),
        ("36 min pulse was 129", 36, 129),
        ("28 locker, HF 126", 28, 126),
        ("29 min suave, fc 132", 29, 132),
        ("pouls 128, 33 min", 33, 128),
        ("27 leve, batimentos 130", 27, 130),
        ("max 168 avg 144, 38 min", 38, 144),
        ("resting hr 58, 36 easy", 36, None),
        ("ruhepuls 52, 34 min locker", 34, None),
        ("1 hr 10 easy", 70, None),
    ],
)
def test_minutes_under_forty_are_no_pulse(line: str, minutes: int, pulse: int | None) -> None:
    reading = read(line, TODAY)
    assert (reading.intent, reading.minutes, reading.heart_rate) == (Intent.LOG, minutes, pulse)
    assert triage(line).level is Level.NONE


@pytest.mark.parametrize(
    ("line", "number"),
    [
        ("resting pulse 148", "pulse 148"),
        ("pulse 142 lying in bed", "pulse 142"),
        ("my hr is 131 at rest", "pulse 131"),
        ("pulse of 33 in bed", "pulse 33"),
        ("ruhepuls 138", "pulse 138"),
        ("bp 192/115", "pressure 192/115"),
        ("temp 40.3", "temperature 40.3"),
    ],
)
def test_a_number_alone_can_carry_a_level_and_the_verdict_says_which(line: str, number: str) -> None:
    verdict = triage(line)
    assert verdict.level.rank >= Level.CLINICIAN.rank
    assert verdict.number == number
    assert read(line, TODAY).intent is not Intent.LOG


@pytest.mark.parametrize(
    "line", ["resting pulse 148 and faint", "chest pain, pulse 142 in bed", "chest pain, bp 192/115"]
)
def test_where_words_carry_the_level_too_no_number_is_named(line: str) -> None:
    assert triage(line).number == ""


@pytest.mark.parametrize(
    "line",
    [
        "fever 39", "38.4 fever", "fever of 39", "temp this morning 38.6", "101 temp", "fever 102.5", "38,2 Fieber",
        "Fieber 39", "39 Grad Fieber", "fiebre de 38", "38,4 de fiebre", "39 de fièvre", "fièvre à 38,7",
        "febre de 39", "38,3 de febre", "woke up, temperature 37.9", "flu and a fever of 38",
    ],
)  # fmt: skip
def test_a_temperature_is_a_fever_and_no_run(line: str) -> None:
    assert read(line, TODAY).intent is not Intent.LOG
    assert triage(line).fever


@pytest.mark.parametrize("unit", ["fever", "Fieber", "temperature", "fiebre", "fièvre", "febre"])
@given(tenths=st.integers(360, 409), minutes=st.integers(15, 90))
def test_a_run_beside_a_temperature_is_counted_and_the_temperature_is_not(unit: str, tenths: int, minutes: int) -> None:
    degrees = tenths / 10
    line = f"{minutes} min easy, {unit} {degrees}"
    assert read(line, TODAY).minutes == minutes
    told = [claim for claim in claims(line) if claim.what is Claimed.TEMPERATURE]
    assert [claim.value for claim in told] == [degrees]
    assert (triage(line).level is not Level.NONE) or not is_fever(degrees)


@pytest.mark.parametrize(
    "line",
    [
        "temperature 36.7, 30 min", "38 min with a temp of 12 outside", "no fever, 40 min", "race fever, 40 min",
        "35 in 38 degrees heat", "hay fever, 30 min", "temp 98.4, ran 25",
    ],
)  # fmt: skip
def test_what_is_no_fever_is_none(line: str) -> None:
    assert not triage(line).fever
    assert read(line, TODAY).intent is Intent.LOG


@pytest.mark.parametrize(
    "line",
    [
        "felt dizzy for 15 min", "chest tightness for an hour", "pulse 150 at rest for two hours",
        "my eye went black for five minutes", "headache since 2 hours", "douleur au genou pendant 30 minutes",
        "mareo durante 20 minutos", "Schwindel, 20 Minuten lang", "tontura por 20 minutos",
    ],
)  # fmt: skip
def test_the_time_a_complaint_lasted_is_no_run(line: str) -> None:
    assert read(line, TODAY).intent is not Intent.LOG


@pytest.mark.parametrize(
    ("line", "minutes"),
    [("ran for 40 min", 40), ("no pain for 45 min", 45), ("knee sore, but ran for 35 min", 35), ("jog for 30 min", 30)],
)
def test_the_time_of_a_run_stays_one(line: str, minutes: int) -> None:
    assert read(line, TODAY).minutes == minutes


@given(st.text(max_size=80))
def test_claims_are_total_and_never_overlap(text: str) -> None:
    found = claims(text)
    assert all(0 <= one.start < one.end <= len(text) for one in found)
    assert all(one.end <= other.start for one, other in pairwise(found))


@given(st.floats(*BODY))
def test_a_fever_begins_at_thirty_seven_point_eight(celsius: float) -> None:
    # House: 37.8 °C, 100 °F; most pages say 38.0 °C, 100.4 °F (family practice notes on exercise in illness).
    assert is_fever(celsius) == (celsius >= 37.79)


@pytest.mark.parametrize(
    "line",
    ["influenza, 39 all evening", "Grippe, 38 heute früh", "gripe, 39 toda la tarde", "malade, 38 ce matin",
     "gripe e 39 à noite", "poorly, 101 when I woke", "39, calafrios", "sore throat, achy, 38.3",
     "38,6 und ich huste nur", "tos seca, 37.9", "rhume, 38,1 au réveil", "com tosse, 38,4"],
)  # fmt: skip
def test_a_bare_number_beside_an_illness_is_a_temperature_and_never_minutes(line: str) -> None:
    reading = read(line, TODAY)
    assert reading.minutes is None
    assert triage(line).fever or triage(line).sign


@pytest.mark.parametrize(
    ("line", "minutes"),
    [("flu gone, 38 min easy", 38), ("over the flu, ran 39", 39), ("ill two weeks ago, 39 today", 39),
     ("not ill, 39", 39), ("coughing a bit, 39 easy", 39), ("a cold but ran 38.5", 38),
     ("flu jab this morning, 38 easy", 38), ("gripe, pero 45 min", 45)],
)  # fmt: skip
def test_minutes_beside_an_illness_that_is_over_or_no_illness_stay_minutes(line: str, minutes: int) -> None:
    assert [c for c in claims(line) if c.what is Claimed.TEMPERATURE] == []
    assert read(line, TODAY).minutes in {minutes, None}
