"""Regional spellings of English: read as the words of the dictionary, by every reader of a line."""

from datetime import date

import pytest

from nudgebot.domain.text.line.spelling import standard
from nudgebot.domain.text.line.tokens import tokens
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, triage
from nudgebot.domain.text.word_files import sections

WEDNESDAY = date(2027, 3, 10)
LANGUAGES = (
    ("alone", "beside", "in_english"),
    ("german", "in_german"),
    ("french", "in_french"),
    ("spanish", "in_spanish"),
    ("portuguese", "in_portuguese"),
)


@pytest.mark.parametrize(
    ("regional", "plain"),
    [
        ("pain in ma chest noo", "pain in my chest now"),
        ("canna breathe richt lyin doon", "can't breathe right lying down"),
        ("skelpit ma heid on the door last nicht, spewin", "skelped my head on the door last night, spewing"),
        ("a ticht band roon the chest gaun up the brae", "a tight band round the chest going up the brae"),
        ("pissin reid since yestreen", "pissing red since yesterday"),
        ("nae pain in ma chest, jist tired", "no pain in my chest, just tired"),
        ("she's drapped doon beside me, isnae breathin", "she's dropped down beside me, isn't breathing"),
    ],
)
def test_a_sign_in_regional_spelling_has_the_level_of_the_plain_one(regional: str, plain: str) -> None:
    assert triage(regional).level is triage(plain).level


@pytest.mark.parametrize("line", ["ae airm's deid", "heid dunted, spewin", "cannae lift ma left airm a' o a sudden"])
def test_an_emergency_is_one_in_regional_spelling(line: str) -> None:
    assert triage(line).level is Level.EMERGENCY


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("25 minties roon the hoose afore work", 25),
        ("twinty fower minutes rinnin roon the loch", 24),
        ("half an oor doun by the watter", 30),
        ("27 Minutn ganga, aba schnoi wars ned", 27),
        ("33 minuten gange, immer em Bach noo", 33),
    ],
)
def test_a_run_is_counted_in_regional_spelling(line: str, minutes: int) -> None:
    reading = read(line, WEDNESDAY)
    assert (reading.intent, reading.minutes) == (Intent.LOG, minutes)


@pytest.mark.parametrize(
    "line",
    [
        "amanhã vou sair com o cão", "ma femme court aussi", "heid 50 min ums Moor, schee wars",  # of other languages
        "hoy ye imposible", "Ned hert us coming", "seek and ye shall find, 30 min", "to Boston is 3 h",
        "n 7 of 10", "on a nut free diet", "q and a at the club", "c grade climb", "hut to hut, 50 min",
    ],
)  # fmt: skip
def test_a_word_that_is_another_elsewhere_stays_as_it_is(line: str) -> None:
    assert standard(line.lower().replace(",", "").split()) == {}


def test_tokens_keep_their_places_in_the_line_as_it_was_sent() -> None:
    line = "Ma HEID's sair the noo"
    assert [line[token.start : token.end] for token in tokens(line)] == line.split()


@pytest.mark.parametrize("kinds", LANGUAGES)
def test_no_spelling_stands_for_two_words_of_a_language_and_none_for_itself(kinds: tuple[str, ...]) -> None:
    rows = [line.split(": ") for kind in kinds for line in sections("regional")[kind]]
    spellings = [spelling for _, listed in rows for spelling in listed.split()]
    assert len(spellings) == len(set(spellings))
    assert not {word for word, _ in rows} & set(spellings)


@pytest.mark.parametrize(
    ("thumbed", "plain"),
    [
        ("heit nix gloffe, d Schicht war z lang", "heute nichts gelaufen, die Schicht war zu lang"),
        ("gestan 25 Minutn", "gestern 25 Minuten"),
        ("auj 30 min avec mon frere", "aujourd'hui 30 min avec mon frère"),
        ("hj n corri, tava chovendo", "hoje não corri, estava chovendo"),
        ("hj 30 min c o cao", "hoje 30 min com o cão"),
    ],
)
def test_a_line_in_another_spelling_is_read_as_the_plain_one(thumbed: str, plain: str) -> None:
    one, other = read(thumbed, WEDNESDAY), read(plain, WEDNESDAY)
    assert (one.intent, one.minutes, one.day) == (other.intent, other.minutes, other.day)


@pytest.mark.parametrize(
    ("thumbed", "plain"),
    [
        ("hob Schmerzn in der Bruscht", "habe Schmerzen in der Brust"),
        ("mir duad die Bruscht weh", "mir tut die Brust weh"),
        ("me duele el pexo y el braso", "me duele el pecho y el brazo"),
        ("hj n consigo respirar", "hoje não consigo respirar"),
    ],
)
def test_a_sign_in_another_spelling_has_the_level_of_the_plain_one(thumbed: str, plain: str) -> None:
    assert triage(thumbed).level is triage(plain).level is Level.EMERGENCY
