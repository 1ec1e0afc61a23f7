"""Lines whose sense lies in the whole: what was left out, where one is, never again, weeks off, what it was."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from nudgebot.domain.model.actions import Feeling
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.profile.intake import read_answer
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.reply import read
from nudgebot.domain.text.sayings import Whereabouts, feeling_told, whereabouts_in
from nudgebot.domain.text.taking_back import says_how_long_it_was
from nudgebot.domain.text.triage import triage
from tests.talking import joined

WEDNESDAY = date(2027, 1, 6)
EVENING = "@ 2027-01-06 18:50\n"


@pytest.mark.parametrize(
    ("line", "minutes", "activity"),
    [
        ("26 min with no walking at all", 26, Activity.RUN),
        ("33 ohne Gehen", 33, Activity.RUN),
        ("27 min de course sans marcher une fois", 27, Activity.RUN),
        ("28 min sin andar", 28, Activity.RUN),
        ("31 minutos sem caminhada", 31, Activity.RUN),
        ("not a run, 34 walk", 34, Activity.WALK),
        ("26 min walk without the dog", 26, Activity.WALK),
    ],
)
def test_what_was_left_out_is_not_what_moved(line: str, minutes: int, activity: Activity) -> None:
    reading = read(line, WEDNESDAY)
    assert (reading.intent, reading.minutes, reading.activity) == (Intent.LOG, minutes, activity)


@pytest.mark.parametrize(
    ("line", "weeks"),
    [
        ("my physio wants four weeks without running", 4),
        ("Orthopäde sagt zwei Wochen kein Laufen", 2),
        ("deux semaines sans courir, dit le kiné", 2),
        ("la fisio dice cuatro semanas sin correr", 4),
        ("a fisioterapeuta disse três semanas sem correr", 3),
        ("physio ordered 3 weeks of rest", 3),
    ],
)
def test_weeks_off_are_a_pause_of_so_many_weeks_in_five_languages(line: str, weeks: int) -> None:
    reading = read(line, WEDNESDAY)
    assert Intent.AWAY in {reading.intent, reading.second_intent}, reading
    assert reading.days[-1] - reading.days[0] == timedelta(weeks=weeks, days=-1)


@pytest.mark.parametrize(
    "line", ["llevo dos semanas sin correr", "ça fait un mois sans courir", "seit 2 Wochen kein Lauf"]
)
def test_how_long_it_has_been_is_no_pause_to_come(line: str) -> None:
    reading = read(line, WEDNESDAY)
    assert reading.intent is not Intent.AWAY or reading.ask_back


@pytest.mark.parametrize(
    "line",
    ["never again on a thursday", "nie mehr am Dienstag", "plus jamais le samedi", "nunca más el viernes",
     "nunca mais à quinta"],
)  # fmt: skip
def test_never_again_on_a_weekday_is_about_every_week(line: str) -> None:
    reading = read(line, WEDNESDAY)
    assert (reading.intent, reading.day, reading.days) == (Intent.SETTINGS, None, ())
    assert not reading.ask_back or reading.choices[0].intent is Intent.SETTINGS


@pytest.mark.parametrize(
    ("line", "place"),
    [
        ("in Faro again", Whereabouts("faro", False, False)),
        ("wieder in Graz", Whereabouts("graz", False, False)),
        ("de nuevo en Cádiz", Whereabouts("cadiz", False, False)),
        ("je suis à Lyon jusqu'à dimanche", Whereabouts("lyon", False, True)),
        ("em Braga outra vez", Whereabouts("braga", False, False)),
        ("back home in Leeds", Whereabouts("leeds", True, False)),
        ("ran 30 in Faro", None),
        ("in Faro again, 30 easy", None),
    ],
)
def test_a_line_that_says_where_one_is_says_nothing_else(line: str, place: Whereabouts | None) -> None:
    assert whereabouts_in(line) == place
    if place is not None and not place.back:
        assert read(line, WEDNESDAY).intent is not Intent.BACK


def test_a_place_far_away_asks_about_the_clock_and_ends_no_pause() -> None:
    told = joined(f"{EVENING}away till sunday\nin Helsinki again\nback in Porto")
    assert told.texts[-2] == "Change time zone to Europe/Helsinki (now Europe/Lisbon)?"
    assert told.texts[-1].startswith("Good to have you back.")


@pytest.mark.parametrize(
    "line", ["das waren 41", "ach, es waren 41 min", "it was only 41", "eran 41", "c'était 41", "foram 41"]
)
def test_minutes_told_again_mend_the_run_and_add_none(line: str) -> None:
    log = joined(f"{EVENING}36\n{line}\n@ dump").dump["log"]
    assert [entry["minutes"] for entry in log] == [41]


def test_the_same_minutes_told_again_change_nothing() -> None:
    told = joined(f"{EVENING}36\nit was 36 min\n@ dump")
    assert told.texts[-1] == "That is how I have it: 36 min run today."
    assert [entry["minutes"] for entry in told.dump["log"]] == [36]


@pytest.mark.parametrize("line", ["es waren 41", "foram 41", "it was 41"])
def test_minutes_of_a_session_that_waits_for_a_word_are_its_run(line: str) -> None:
    told = joined(f"@ 2027-01-05 19:00\n30\n@ 2027-01-06 20:45\n{line}\n@ dump")
    assert [(entry["date"], entry["minutes"]) for entry in told.dump["log"]] == [("2027-01-05", 30), ("2027-01-06", 41)]


@pytest.mark.parametrize(
    "line", ["it was 38 degrees", "was it 38?", "it was 38 and sunny", "38", "das waren noch Zeiten"]
)
def test_a_line_with_more_in_it_does_not_say_how_long_it_was(line: str) -> None:
    assert not says_how_long_it_was(line)


def test_a_pause_is_shown_as_its_dates_and_a_walk_and_nothing_is_let_go_for_weeks() -> None:
    text = joined(f"{EVENING}no running for three weeks").texts[-1]
    assert text == (
        "Noted: no runs Wed 6 Jan to Tue 26 Jan, the last day included. I keep quiet until then.\n"
        "A 10 to 20 minute brisk walk now and then keeps the rhythm meanwhile."
    )


@pytest.mark.parametrize(
    "line",
    [
        "meniscus, the doctor says five weeks break",
        "Bänderriss, Arzt sagt vier Wochen Pause",
        "physio: two weeks of rest",
    ],
)
def test_weeks_off_that_a_clinician_orders_are_kept_free_or_asked_about(line: str) -> None:
    reading = read(line, WEDNESDAY)
    offered = (reading.intent, reading.second_intent, *(each.intent for each in reading.choices))
    assert Intent.AWAY in offered


def test_a_complaint_with_weeks_off_is_asked_about_and_the_weeks_are_kept_free() -> None:
    told = joined(f"{EVENING}bad hamstring, the physio ordered 4 weeks of rest\n@ dump")
    asked, kept = told.texts[-2:]
    assert asked.startswith("Is that something you feel?")
    assert kept.startswith("Noted: no runs Wed 6 Jan to Tue 2 Feb")
    assert told.dump["standing"] == "away"


@pytest.mark.parametrize(
    ("line", "how"),
    [
        ("knee is fine today", Feeling.BETTER), ("rodilla mejor", Feeling.BETTER), ("ne fait plus mal", Feeling.BETTER),
        ("heut is wieder guad", Feeling.BETTER), ("no better", Feeling.SAME), ("noch nicht besser", Feeling.SAME),
        ("ya no me duele", Feeling.BETTER), ("it no longer aches", Feeling.BETTER), ("gêne plus", Feeling.BETTER),
        ("na mesma", Feeling.SAME), ("toujours pareil", Feeling.SAME), ("a bit worse", Feeling.WORSE),
        ("pior que ontem", Feeling.WORSE), ("thank you", None), ("is that good?", None),
    ],
)  # fmt: skip
def test_how_somebody_feels_is_heard_in_their_own_words(line: str, how: Feeling | None) -> None:
    assert feeling_told(line) is how


def test_an_answer_to_how_are_you_needs_no_button() -> None:
    told = joined(f"{EVENING}left shin a bit sore\n@ 2027-01-07 09:00\nshin is fine today")
    assert told.texts[-1].startswith("Good to hear.")


def test_while_ill_a_line_that_is_not_understood_is_asked_how_it_is() -> None:
    told = joined(f"{EVENING}fever 38.9\n@ 2027-01-08 09:00\nhm grmpf\nno temp since last night")
    unclear, well = told.messages[-2:]
    assert unclear["text"].startswith("I did not get that. How are you: better, the same, or worse?")
    assert unclear["buttons"] == ["Better", "Same", "Worse"]
    assert well["text"].startswith("Good. One question first:")


def test_the_way_back_after_an_illness_says_how_short_it_is() -> None:
    told = joined(f"{EVENING}fever 38.9\n@ 2027-01-15 09:00\nbetter\nno")
    assert "days without a run it starts gently: about half until" in told.texts[-1]


def test_no_matter_is_an_answer_to_a_question_with_a_usual_one() -> None:
    told = Intake(days=(40, 30, 40, 30, 40, 60, 60))
    answers = [read_answer(asks, "egal", told) for asks in ("long_day", "run_time", "quiet", "goal")]
    assert answers == ["sun", "18:00", "21:30-06:30", None]


@pytest.mark.parametrize(
    ("line", "answer"),
    [("yes love", "yes"), ("yes im 61", "yes"), ("no thank you", "no"), ("yes but not often", None), ("maybe", None)],
)
def test_a_yes_or_a_no_may_have_kind_words_behind_it(line: str, answer: str | None) -> None:
    assert read_answer("adult", line, Intake()) == answer


def test_a_kind_of_session_is_put_right_by_its_minutes() -> None:
    told = joined(f"{EVENING}24 yesterday\n31\noops the 24 was a bike ride\nundo the wed 1\n@ dump")
    assert told.texts[-2].startswith("Corrected: 24 min run yesterday is now 24 min bike ride yesterday.")
    assert [(entry["minutes"], entry["kind"]) for entry in told.dump["log"]] == [(24, "bike")]


def test_a_wish_that_has_no_room_leaves_the_plan_as_it_is() -> None:
    told = joined(f"{EVENING}30\n@ dump\n@ 2027-01-07 10:00\ncan i do tuesday not monday\n@ dump")
    plans = [each["plan"] for each in told.objects if "plan" in each]
    assert plans[0] == plans[1]


def test_who_is_back_from_nothing_changes_nothing() -> None:
    told = joined("@ 2027-01-07 08:00\n@ dump\nI'm back\n@ dump")
    plans = [each["plan"] for each in told.objects if "plan" in each]
    assert plans[0] == plans[1]
    assert told.texts[-1].startswith("Good to have you back.")


def test_an_open_choice_after_a_complaint_takes_the_place_of_the_check_in() -> None:
    told = joined(f"{EVENING}shins a bit sore\n@ 2027-01-06 23:00")
    asked = [each for each in told.messages if each["kind"] == "nudge:check_in" and each["at"] > "2027-01-06"]
    assert asked == []


def test_on_hold_small_talk_gets_a_short_answer_from_the_second_day_on() -> None:
    told = joined(f"{EVENING}chest pain on the stairs\nthanks\n@ 2027-01-08 12:00\nthank you")
    thanked = [each["text"] for each in told.messages if not each["kind"].startswith("nudge")]
    assert "112" in thanked[1]
    assert thanked[-1] == "Thanks for telling me. Running is on hold; /back when a clinician has cleared it."


def test_an_exaggeration_beside_a_run_is_no_illness_to_be_asked_about() -> None:
    told = joined(
        f"{EVENING}34 done, the gas bill nearly gave me a heart attack\n@ 2027-01-07 19:00\nhad a stroke in 2018"
    )
    assert [text.split(":")[0] for text in told.texts[-2:]] == ["Counted", "Did I read that right"]


def test_a_temperature_beside_a_sore_throat_is_a_fever() -> None:
    for line in ("tonsils like golf balls, 38.7", "Halsschmerzen und 38,9", "gorge en feu, 38.6"):
        assert triage(line).fever, line


def test_where_nothing_was_run_that_day_a_run_is_offered_before_a_correction() -> None:
    told = joined(f"{EVENING}ran 31. no wait it was 29")
    assert told.messages[-1]["buttons"] == ["29 min done", "Correct to 29 min", "Something else"]


def test_days_are_kept_free_where_somebody_says_in_scots_that_no_end_is_known() -> None:
    told = joined(f"{EVENING}ma faither's in the hospital, dinna ken when I'll be back")
    assert "no runs" in told.texts[-1]
