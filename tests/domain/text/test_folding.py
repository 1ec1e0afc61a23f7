"""A line is made plain once, and every reader of it sees the same letters and digits at the same places."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.profile import places
from nudgebot.domain.text.claims import Claimed, claims
from nudgebot.domain.text.days_told import Visit, visit_in
from nudgebot.domain.text.folding import fold, squeezed
from nudgebot.domain.text.reply import read, read_minutes
from nudgebot.domain.text.sayings import is_cry_for_help
from nudgebot.domain.text.triage import Level, triage
from nudgebot.domain.text.weather import weather_in

TODAY = date(2027, 3, 10)


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("４０ ｍｉｎ", "40 min"),  # full width
        ("٤٠ min", "40 min"),  # Arabic-Indic digits (Unicode, category Nd)
        ("४० min", "40 min"),  # Devanagari digits
        ("𝟜𝟘 min", "40 min"),  # mathematical digits
        ("4️⃣0️⃣", "40"),  # keycaps
        ("Çığlık, Señor Ångström", "ciglik, senor angstrom"),
        ("weiß, Þór, Øystein", "weiss, thor, oystein"),
        ("сhеst", "chest"),  # Cyrillic look-alikes (UTS 39)
        ("don’t – it´s 5′30″", "don't - it's 5'30\""),
        ("38 ℃, 38 º", "38 °c, 38 °"),
        ("3×8 ⁄ ٪", "3x8 / ٪"),
        ("1½ h", "1½ h"),  # a fraction stays one sign: it is not 11/2
        ("Ø 138", "ø 138"),  # by itself the sign of an average, and no letter
        ("a_b", "a b"),
    ],
)
def test_the_many_ways_to_write_one_character_become_one(written: str, plain: str) -> None:
    assert fold(written)[0] == plain


@given(st.text(max_size=80))
def test_every_plain_character_knows_its_place_in_the_line_as_sent(text: str) -> None:
    plain, at = fold(text)
    assert len(plain) == len(at)
    assert list(at) == sorted(at)
    assert all(0 <= place < len(text) for place in at)
    assert plain == plain.lower()
    assert not any(char.isdecimal() and not char.isascii() for char in plain)


def test_all_readers_take_the_same_line_alike_however_it_is_written() -> None:
    for line in ("42 min ruhig, Puls 131", "４２ ＭＩＮ ruhig, Puls １３１", "٤٢ min ruhig, Puls ١٣١"):
        reading = read(line, TODAY)
        assert (reading.minutes, reading.heart_rate) == (42, 131)
    assert triage("crushing сhеst pain").level is Level.EMERGENCY
    assert read_minutes("４２") == 42
    assert weather_in("３４ ℃ outside").air == 34
    assert is_cry_for_help("J’ai très peur.") and is_cry_for_help("Ｈｅｌｐ ｍｅ!")
    assert places.zone_of("ŁÓDŹ") == places.zone_of("Lodz") is not None
    assert squeezed("  São\tPaulo ") == "sao paulo"


@pytest.mark.parametrize(
    ("line", "value"),
    [
        ("je garde le petit, 39,2 d'fièvre", 39.2),  # a word with its short form glued to it
        ("my temp is 38.7.", 38.7),  # the full stop belongs to the sentence
        ("fever 38.9… lying down", 38.9),
    ],
)
def test_a_temperature_is_claimed_beside_a_mark_or_an_elision(line: str, value: float) -> None:
    assert [(claim.what, claim.value) for claim in claims(line)] == [(Claimed.TEMPERATURE, value)]


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("me pusieron un stent hace nueve años", Level.NONE),  # as "hace 9 años"
        ("me pusieron un stent hace dos semanas", Level.CLINICIAN),
        ("knee pain, seven out of ten", Level.CLINICIAN),
        ("das Knie tut weh, sieben von zehn", Level.CLINICIAN),
        ("dor no joelho, sete em dez", Level.CLINICIAN),
        ("dor no joelho de dez em dez minutos", Level.REST),  # every ten minutes
    ],
)
def test_a_number_in_words_counts_in_triage_in_every_language(line: str, level: Level) -> None:
    assert triage(line).level is level


def test_the_word_of_a_clinician_is_dated_by_numbers_in_words() -> None:
    assert visit_in("my gp, eleven days ago", TODAY) == Visit(date(2027, 2, 27), date(2027, 2, 27))
    assert visit_in("minha médica, em fevereiro", TODAY) == Visit(date(2027, 2, 1), date(2027, 2, 28))
    assert visit_in("Kardiologin im Jänner", TODAY) == Visit(date(2027, 1, 1), date(2027, 1, 31))
