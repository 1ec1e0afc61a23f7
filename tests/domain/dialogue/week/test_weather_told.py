"""What a line tells of the weather, in five languages, and what it does not."""

from __future__ import annotations

from datetime import date

import pytest

from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.weather import damp_in, weather_in, wind_in

TODAY = date(2027, 1, 6)


@pytest.mark.parametrize(
    ("line", "air"),
    [
        ("it's 31 in the shade, shall I go?", 31),
        ("35 outside, can I run?", 35),
        ("is 37 too hot for an easy one?", 37),
        ("minus 14 this morning", -14),
        ("11 below and blowing", -11),
        ("6 degrees below zero here", -6),
        ("between 28 and 33 degrees", 33),
        ("26-31 °C all week", 31),
        ("bei 32 Grad laufen?", 32),
        ("es sind minus 12 Grad draußen", -12),
        ("hace 35 grados, ¿salgo a correr?", 35),
        ("estamos a -3 grados", -3),
        ("il fait 36 degrés, je peux courir ?", 36),
        ("moins 8 ce matin", -8),
        ("estão 37 graus, posso correr?", 37),
        ("40 min easy at 27°C", 27),
    ],
)
def test_degrees_are_read_in_five_languages(line: str, air: float) -> None:
    assert weather_in(line).air == air


@pytest.mark.parametrize(
    "line",
    [
        "35 outside, felt good",  # minutes, most likely
        "fever 38.6 degrees",
        "my temperature is 39",
        "Fieber, 39 Grad",
        "45 min on a 4 degree incline",
        "42 easy",
        "busy from 5 to 7",
        "hr 132, zone 2",
        "I quit smoking in May",
        "my boss smokes",
        "smoked salmon for lunch",
        "the smoke alarm went off",
        "airport run, 30 min",
        "cold sore on my lip",
        "that hill was a killer",
    ],
)
def test_a_line_without_weather_tells_none(line: str) -> None:
    assert not weather_in(line).anything


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("22 min easy, 33 degrees and humid", 22),
        ("ran 26 today, wind 35 km/h, -4 C", 26),
        ("31 min, AQI was 90", 31),
        ("24 easy at 19 °C", 24),
        ("35 min bei 30 Grad", 35),
        ("33 min, 88 F", 33),
    ],
)
def test_the_weather_is_never_minutes(line: str, minutes: int) -> None:
    assert read(line, TODAY).minutes == minutes


@pytest.mark.parametrize(
    "line",
    ["35 degrees out, ok to run?", "it's 34 outside, should I go?", "AQI 160, safe to run?", "is 36 too hot to jog?",
     "-21 and gusts of 40 km/h, can I run?"],
)  # fmt: skip
def test_a_question_about_the_weather_is_no_run(line: str) -> None:
    reading = read(line, TODAY)
    assert reading.weather.asks
    assert reading.intent is not Intent.LOG or reading.minutes is None


@pytest.mark.parametrize(
    ("line", "kmh"),
    [
        ("-9 and 30 km/h of wind", 30),
        ("wind at 20 mph, -9", 32.2),
        ("gusts of 15 m/s, -9", 54),
        ("25 knots of wind, -9", 46.3),
        ("-9, howling wind", 49),
        ("-9 and breezy", 28),
        ("-9, no wind at all", 0),
        ("-9 Grad, windstill", 0),
        ("-9 Grad und starker Wind", 49),
        ("-9 grados y viento fuerte", 49),
        ("-9 degrés, pas de vent", 0),
        ("-9 graus, muito vento", 49),
        ("-9", None),
    ],
)
def test_wind_is_read_as_a_number_or_a_word(line: str, kmh: float | None) -> None:
    told = weather_in(line).wind_kmh
    assert told == (None if kmh is None else pytest.approx(kmh, abs=0.1))


@pytest.mark.parametrize(
    "line",
    [
        "bushfire smoke all over town",
        "the air is foul tonight",
        "terrible air quality here",
        "so much smoke, can I run?",
        "it's too smoky",
        "smog again",
        "die Luft ist furchtbar",
        "überall Rauch vom Waldbrand",
        "huele a humo en toda la ciudad",
        "el aire está fatal",
        "l'air est irrespirable",
        "fumée partout dehors",
        "o ar está péssimo",
        "cheira a fumo na rua, corro?",
    ],
)
def test_bad_air_is_heard_in_words(line: str) -> None:
    assert weather_in(line).smoke


@pytest.mark.parametrize("line", ["the smoke is gone", "no more smoke here", "air is clear now", "Luft ist wieder gut"])
def test_air_that_cleared_is_no_bad_air(line: str) -> None:
    told = weather_in(line)
    assert told.cleared
    assert not told.smoke


@pytest.mark.parametrize(
    ("line", "index"),
    [("aqi 143", 143), ("AQI's at 201 now", 201), ("air quality index is 77", 77), ("the air quality is 164", 164),
     ("Luftqualität 120", 120), ("índice de calidad del aire 155", 155), ("qualité de l'air 180", 180),
     ("qualidade do ar 99", 99), ("AQHI 9", None), ("air quality 4 today", None)],
)  # fmt: skip
def test_an_air_index_is_read_and_another_countrys_scale_is_not(line: str, index: int | None) -> None:
    told = weather_in(line)
    assert told.air_index == index
    assert told.other_index is (index is None)


@pytest.mark.parametrize(
    "line",
    [
        "is it too hot to run this evening?",
        "too cold for a run tomorrow?",
        "should I run in this heat?",
        "ist es heute zu heiß zum Laufen?",
        "kann ich bei der Kälte laufen, ist das zu kalt?",
        "¿hace demasiado calor para correr?",
        "fait-il trop chaud pour courir ?",
        "está muito calor para correr?",
    ],
)
def test_a_question_about_heat_or_cold_is_one_in_five_languages(line: str) -> None:
    assert weather_in(line).asks


@pytest.mark.parametrize(
    "line", ["too hot, no run today", "36 degrees, skipped it", "cold out, 35 min", "hot day, 30 min"]
)
def test_a_statement_is_no_question(line: str) -> None:
    assert not weather_in(line).asks


@pytest.mark.parametrize(
    ("line", "fahrenheit", "celsius"),
    [("95 degrees and sunny", False, 35), ("28 degrees", False, 28), ("28 degrees", True, -2.2), ("28 C", True, 28),
     ("41 F", False, 5), ("-5 F", False, -20.6)],
)  # fmt: skip
def test_degrees_without_a_letter_are_those_of_the_country(line: str, fahrenheit: bool, celsius: float) -> None:
    assert weather_in(line).conditions(fahrenheit=fahrenheit).air_c == celsius


def test_answers_to_our_questions_are_read_and_other_lines_are_not() -> None:
    assert [wind_in(line) for line in ("calm", "breezy", "strong wind", "about 30 km/h", "25 min easy")] == [
        0, 28, 49, 30, None,
    ]  # fmt: skip
    assert [damp_in(line) for line in ("dry", "in between", "very humid", "65 %", "80", "25 min easy")] == [
        30, 50, 70, 65, 80, None,
    ]  # fmt: skip


@pytest.mark.parametrize("line", ["it was 38 degrees in Seville last week", "gestern waren es 36 Grad"])
def test_weather_of_the_past_is_told_as_past(line: str) -> None:
    assert weather_in(line).past
