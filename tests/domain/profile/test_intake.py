"""The intake's answers are read as a person writes them, or asked again."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.intake import Goal, Intake, YesNoSkip
from nudgebot.domain.model.runner import Joining, Profile, Training, Walking
from nudgebot.domain.profile import intake, intake_codec
from tests.storage.examples import NOW

READ = [
    ("adult", "Yes!", "yes"),
    ("active", "not really", "no"),
    ("pregnancy", "rather not", "skip"),
    ("goal", "fat loss", "fat_loss"),
    ("goal", "custom 120", "custom 120"),
    ("goal", "Endurance", "endurance"),
    ("weekly", "about 60 minutes a week", "60"),
    ("weekly", "1h30", "90"),
    ("weekly", "none", "0"),
    ("longest", "half an hour", "30"),
    ("commute", "bike 200", "bike 200"),
    ("commute", "nope", "no"),
    ("days", "tue 45, thu 45, sun 90", "tue 45, thu 45, sun 90"),
    ("days", "Tuesday and Thursday 45, Sunday 90 min", "tue 45, thu 45, sun 90"),
    ("days", "any 60", "mon 60, tue 60, wed 60, thu 60, fri 60, sat 60, sun 60"),
    ("days", "mon-wed 30; weekend 90", "mon 30, tue 30, wed 30, sat 90, sun 90"),
    ("long_day", "Sundays", "sun"),
    ("zone", "Lisbon", "Europe/Lisbon"),
    ("zone", "europe/lisbon", "Europe/Lisbon"),
    ("zone", "München", "Europe/Berlin"),
    ("zone", "location 48.85 2.35", "Europe/Paris"),
    ("run_time", "6pm", "18:00"),
    ("run_time", "6.30 am", "06:30"),
    ("remind_at", "default", "skip"),
    ("quiet", "9:30pm to 6:30am", "21:30-06:30"),
    ("quiet", "ok", "21:30-06:30"),
    ("country", "Portugal", "PT"),
    ("country", "uk", "GB"),
    ("birth_year", "1975", "1975"),
    ("birth_year", "skip", "skip"),
]
NOT_READ = [
    ("adult", "maybe"),
    ("goal", "custom 20"),
    ("goal", "custom 400"),
    ("goal", "win the race"),
    ("weekly", "9999"),
    ("weekly", "60 on a good week, none on a bad one"),
    ("longest", "two weeks"),
    ("days", "whenever"),
    ("days", "tue"),
    ("days", "tue 45, blursday 30"),
    ("long_day", "fortnightly"),
    ("zone", "Narnia"),
    ("run_time", "25:00"),
    ("quiet", "22:00"),
    ("country", "Atlantis"),
    ("birth_year", "75"),
]


@pytest.mark.parametrize(("asks", "line", "answer"), READ)
def test_an_answer_is_read_into_its_canonical_form(asks: str, line: str, answer: str) -> None:
    assert intake.read_answer(asks, line, Intake()) == answer


@pytest.mark.parametrize(("asks", "answer"), sorted({(asks, answer) for asks, _, answer in READ}))
def test_a_canonical_answer_reads_as_itself(asks: str, answer: str) -> None:
    assert intake.read_answer(asks, answer, Intake()) == answer


@pytest.mark.parametrize(("asks", "line"), NOT_READ)
def test_what_is_no_answer_is_not_taken_for_one(asks: str, line: str) -> None:
    assert intake.read_answer(asks, line, Intake()) is None


def test_the_long_run_lies_on_an_open_day() -> None:
    assert intake.read_answer("long_day", "sun", intake_codec.from_rows({"days": "tue 45, thu 45"})) is None
    assert intake.read_answer("long_day", "thu", intake_codec.from_rows({"days": "tue 45, thu 45"})) == "thu"


@given(st.sampled_from(sorted(intake.QUESTIONS)), st.text(max_size=60))
def test_any_text_at_all_is_an_answer_or_none(question: str, text: str) -> None:
    found = intake.read_answer(question, text, Intake())
    assert found is None or intake.read_answer(question, found, Intake()) == found


ANSWERS = {
    "adult": "yes", "active": "yes", "disease": "no", "doctor_knows": "skip",
    "signs": "no", "pregnancy": "skip", "medicine": "no",
    "goal": "custom 140", "weekly": "0", "longest": "25", "commute": "no", "days": "wed 40, sat 75", "long_day": "sat",
    "zone": "Europe/Lisbon", "run_time": "12:30", "remind_at": "06:45", "quiet": "21:30-06:30", "country": "PT",
    "birth_year": "skip",
}  # fmt: skip


def test_the_questions_come_in_order_and_go_back_one_by_one() -> None:
    told, asked = Intake(pressure=True), []  # without it nobody is asked whether the doctor knows

    while (asks := intake.next_question(told)) is not None:
        asked.append(asks)
        told = intake_codec.with_answer(told, asks, ANSWERS[asks])
    assert asked == list(intake.QUESTIONS)
    assert intake.question_before(told) == "birth_year"
    assert intake.question_before(intake_codec.with_answer(told, "birth_year", None)) == "country"
    assert intake.question_before(Intake()) is None


def test_every_field_of_the_intake_has_a_form() -> None:
    assert {*intake_codec.CODEC, "conditions", "repeats"} == {field.name for field in fields(Intake)}
    assert intake_codec.as_rows(intake_codec.from_rows(ANSWERS)) == ANSWERS
    assert intake_codec.from_rows(ANSWERS).pregnancy is YesNoSkip.SKIP


@pytest.mark.parametrize(("asks", "answer"), sorted({(asks, answer) for asks, _, answer in READ}))
def test_a_canonical_answer_is_written_as_it_was_read(asks: str, answer: str) -> None:
    assert intake_codec.text_of(intake_codec.with_answer(Intake(), asks, answer), asks) == answer


@given(st.sampled_from(sorted(intake_codec.CODEC)), st.text(max_size=40))
def test_any_text_at_all_is_a_field_or_nothing_told(key: str, text: str) -> None:
    told = intake_codec.from_rows({key: text})
    assert intake_codec.from_rows(intake_codec.as_rows(told)) == told


def test_who_told_no_high_blood_pressure_is_not_asked_about_it() -> None:
    told = Intake(adult=True, active=True, disease=False)
    assert intake.next_question(told) == "signs"
    assert intake.next_question(replace(told, pressure=True)) == "doctor_knows"


def test_a_profile_adds_up_from_the_answers() -> None:
    told = intake_codec.from_rows(
        {
            "goal": "custom 200",
            "weekly": "80",
            "longest": "40",
            "commute": "bike 150",
            "days": "tue 45, thu 45, sun 90",
            "long_day": "sun",
            "zone": "America/New_York",
            "run_time": "06:15",
            "remind_at": "05:45",
            "quiet": "20:30-05:30",
            "country": "US",
            "birth_year": "1970",
            "medicine": "yes",
        }
    )
    assert intake.profile(told) == Profile(
        goal=Goal.CUSTOM,
        custom_minutes=200,
        weekly=80,
        longest=40,
        commute="bike",
        commute_minutes=150,
        open_minutes=(0, 45, 0, 45, 0, 0, 90),
        long_day=6,
        zone="America/New_York",
        run_time=time(6, 15),
        remind_at=time(5, 45),
        quiet_from=time(20, 30),
        quiet_to=time(5, 30),
        country="US",
        birth_year=1970,
        medicine=True,
    )


def test_an_answer_that_an_older_version_wrote_counts_as_not_given() -> None:
    told = intake_codec.from_rows({"zone": "Mars/Olympus", "remind_at": "dawn", "no such question": "yes"})
    assert told == Intake()
    assert intake.profile(told) == Profile()


# ACSM pre-participation screening, Riebe et al., Med Sci Sports Exerc 2015;47:2473-2479: the axes are current
# activity, signs or known disease, and wanted intensity; branch texts from memory. Easy running counts as vigorous
# here, so known disease asks for a clearance even in the active.
@pytest.mark.parametrize(
    ("active", "disease", "signs", "walks"),
    [
        (False, False, False, False),
        (False, True, False, True),
        (False, False, True, True),
        (True, False, False, False),
        (True, True, False, True),
        (True, False, True, True),
    ],
)
def test_screening_asks_for_a_clinician_where_the_algorithm_does(
    active: bool, disease: bool, signs: bool, walks: bool
) -> None:
    standing = intake.standing_after(Profile(active=active, disease=disease, signs=signs), NOW)
    assert isinstance(standing, Walking) is walks
    assert isinstance(standing, Walking | Training)
    assert not isinstance(standing, Joining)


def test_pregnancy_waits_for_the_midwife_or_doctor() -> None:
    assert intake.standing_after(Profile(pregnancy=True), NOW) == Walking(NOW, "pregnancy")
