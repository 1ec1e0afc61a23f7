"""The number to call, and what is said about a sign (docs/safety.md)."""

import re

import pytest

from nudgebot.domain.messages.common import in_all
from nudgebot.domain.messages.health import safety
from nudgebot.domain.profile import places
from nudgebot.domain.text import sayings
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES
from nudgebot.domain.text.symptoms.table import table
from nudgebot.domain.text.triage import Level, Verdict, triage

# Published numbers: European Union (112), NHS (999), health.govt.nz (111), triplezero.gov.au (000), CDC (911).
PUBLISHED = {"DE": "112", "PT": "112", "FR": "112", "GB": "999", "NZ": "111", "AU": "000", "US": "911"}
DRIVE = {"en": "drive", "es": "conduzcas", "de": "Fahr nicht", "fr": "conduis pas", "pt": "conduzas"}
NAMES_OF_DISEASES = (
    "heart attack", "angina", "stroke", "embolism", "thrombosis", "blood clot", "sepsis", "concussion", "fracture",
    "hyponatr", "heatstroke", "hypothermia", "anaphylaxis", "infarto", "ictus", "herzinfarkt", "schlaganfall",
    "infarctus", "avc", "enfarte",
)  # fmt: skip


@pytest.mark.parametrize(("country", "dial"), PUBLISHED.items())
def test_the_published_numbers_are_dialled(country: str, dial: str) -> None:
    assert places.emergency_call(country) == f"call {dial}"


@pytest.mark.parametrize("country", ["", "XX", "zz", "ZZZ"])
def test_an_unknown_country_gets_the_local_number(country: str) -> None:
    assert places.emergency_call(country) == "call the local emergency number (112 from most mobiles)"


def test_no_country_is_listed_twice_and_every_number_has_its_source() -> None:
    countries = [country for number in places.emergency_numbers("number") for country in number.countries]
    assert len(countries) == len(set(countries))
    for number in places.emergency_numbers("number"):
        assert number.source
        assert number.seen in {"seen", "seen in copies", "from memory"}


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("country", ["", "GB", "NZ", "BR"])
@pytest.mark.parametrize("aid", ["", "cpr", "crisis"])
def test_the_first_line_of_an_emergency_says_stop_call_and_do_not_drive(language: str, country: str, aid: str) -> None:
    verdict = Verdict(Level.EMERGENCY, "x", language=language, first_aid=aid)
    first = safety.answer(verdict, country).splitlines()[0]
    assert places.emergency_call(country, language) in first
    assert DRIVE[language] in first
    assert any(stop in first.lower() for stop in ("stop", "para", "hör", "halt", "arrête"))


def test_every_line_for_a_sign_that_the_table_names_is_there_in_every_language() -> None:
    for row in table():
        if row.aid:
            assert set(in_all(f"aid_{row.aid}")) == set(LANGUAGES)


def test_no_answer_names_a_disease_as_what_the_runner_has() -> None:
    for row in table():
        for language in LANGUAGES:
            verdict = Verdict(Level(row.level), row.id, language=language, first_aid=row.aid, msk=row.body == "msk")
            said = safety.answer(verdict, "PT").lower()
            assert not [name for name in NAMES_OF_DISEASES if re.search(rf"\b{name}", said)]


def test_a_logged_run_is_noted_after_the_safety_words() -> None:
    said = safety.answer(triage("45 min, tight chest at the end"), "PT", logged_minutes=45).splitlines()
    assert "112" in said[0]
    assert said[-1] == "Your 45 min are noted."


def test_a_low_sugar_begins_with_the_sugar() -> None:
    said = safety.answer(triage("had a hypo, treated it, clear head"), "PT")
    assert said.startswith("Stop, take 15 g of fast sugar now, check again in 15 minutes.")


def test_an_urgent_answer_says_today_and_what_would_make_it_an_emergency() -> None:
    said = safety.answer(triage("left calf swollen and warm"), "GB").splitlines()
    assert said[0] == "Stop running and get medical advice today."
    assert said[1] == "You wrote: “left calf swollen and warm”. That is why."
    assert "call 999" in said[2]


def test_a_physiotherapist_counts_for_muscle_and_joint_only() -> None:
    assert "physiotherapist" in safety.answer(triage("hamstring pain 7/10"), "")
    assert "physiotherapist" not in safety.answer(triage("bronchitis and a fever"), "")


def test_thoughts_of_self_harm_are_answered_warmly_and_not_with_the_words_for_exercise() -> None:
    said = safety.answer(triage("wish I was dead sometimes"), "GB")
    assert said.startswith("I am glad that you wrote it.")
    assert "crisis line (116 123) or a doctor" in said
    assert "chest pain" not in said
    assert "crisis line" in safety.answer(triage("I want to kill myself"), "GB")


def test_somebody_beside_the_writer_gets_the_call_and_no_hold() -> None:
    said = safety.answer(triage("my friend just collapsed next to me, not breathing"), "US")
    assert said.splitlines()[0] == "For whoever is with you: call 911 now."
    assert "compressions" in said
    assert "hold" not in said


def test_the_calf_and_the_chest_have_their_question() -> None:
    assert "If yes: medical advice today." in safety.answer(triage("left calf sore after the run"), "")
    assert "If yes: stop" in safety.answer(triage("heartburn after pizza"), "")
    assert safety.if_yes("calf").level is Level.URGENT
    assert safety.if_yes("chest").level is Level.EMERGENCY
    assert safety.if_yes("plain").level is Level.EMERGENCY


CLEARED = (
    ("doctor cleared me to run", True),
    ("physio says I can run again", True),
    ("got the all clear from the doctor", True),
    ("el médico me ha dado el alta para correr", True),
    ("der Arzt hat mich freigegeben", True),
    ("le médecin m'a autorisé à courir", True),
    ("o médico deu-me luz verde", True),
    ("has the doctor cleared me?", False),
    ("the doctor has not cleared me yet", False),
    ("if the doctor clears me I'll run", False),
    ("doctor said not to run", False),
    ("cleared my schedule to run", False),
    ("der Arzt hat mich noch nicht freigegeben", False),
)


@pytest.mark.parametrize(("line", "cleared"), CLEARED)
def test_a_line_that_says_a_clinician_cleared_running_is_heard(line: str, cleared: bool) -> None:
    assert sayings.says_cleared(line) is cleared


MISREAD = (
    ("that was about my father", True),
    ("I was joking", True),
    ("no no I was talking about a movie", True),
    ("hablaba de mi padre", True),
    ("das war ein Scherz", True),
    ("c'était une blague", True),
    ("estava a falar do meu pai", True),
    ("I'm not joking, my chest hurts", False),
    ("my father is here", False),
    ("my dad drove me to the doctor", False),
)


@pytest.mark.parametrize(("line", "was"), MISREAD)
def test_a_line_that_takes_a_complaint_back_is_heard(line: str, was: bool) -> None:
    assert sayings.misread(line) is was


def test_the_safety_page_has_the_number_the_signs_and_the_limits() -> None:
    page = safety.safety_page("NZ")
    assert "call 111" in page
    assert "no clinician has reviewed" in page
    assert "chest" in page


# Published: hpft.nhs.uk (Samaritans 116 123), health.wyo.gov (988), service-public.fr (3114).
@pytest.mark.parametrize(("country", "line"), [("GB", "116 123"), ("US", "988"), ("FR", "3114")])
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("level", [Level.EMERGENCY, Level.URGENT])
def test_a_crisis_line_is_named_with_its_number_where_its_page_was_seen(
    country: str, line: str, language: str, level: Level
) -> None:
    verdict = Verdict(level, "x", language=language, first_aid="crisis")
    assert f"({line})" in safety.answer(verdict, country)
    assert "{" not in safety.answer(verdict, country)


def test_where_no_page_was_seen_no_crisis_line_has_a_number() -> None:
    assert all(number.seen == "seen" for number in places.emergency_numbers("crisis"))
    verdict = Verdict(Level.URGENT, "x", first_aid="crisis")
    assert "your local crisis line or a doctor" in safety.answer(verdict, "PT")
