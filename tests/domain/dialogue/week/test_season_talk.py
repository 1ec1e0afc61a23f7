"""What the season says through the conversation: easy, weather, travel, events, holidays, shapes that begin later."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from nudgebot.domain.dialogue.settings.named_setting import WeekShape, shape_in
from nudgebot.domain.messages.runs import band_of
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import DayLimit, LimitReason, Profile
from nudgebot.domain.profile.effort import Trust
from nudgebot.domain.profile.places import public_holidays
from tests.domain import plans
from tests.talking import MARTA, joined, talk


# Corpus Christi is 60 days after Easter Sunday, which is 28 March in 2027 (Portuguese labour code, article 234).
def test_public_holidays_are_those_of_the_country_and_nothing_is_assumed_elsewhere() -> None:
    assert public_holidays("PT", date(2027, 5, 24)) == ((date(2027, 5, 27), "Corpus Christi"),)
    assert public_holidays("PT", date(2027, 1, 4)) == ()
    assert public_holidays("", date(2027, 5, 24)) == public_holidays("XX", date(2027, 5, 24)) == ()


def test_a_week_review_offers_each_public_holiday_the_other_way_round_with_one_press() -> None:
    # The week holds Good Friday, a closed day for this runner, and Easter Sunday, an open one.
    opened, closed = (
        joined(f"@ 2027-03-22 07:00\n{press}", at=datetime(2027, 3, 14, 17, 0, tzinfo=UTC)) for press in ("#2", "#3")
    )
    review = next(m for m in opened.messages if m["kind"] == "nudge:week_review")
    assert review["buttons"][1:] == ["Fri 26 Mar: open", "Sun 28 Mar: no run"]
    assert "Noted, Friday: at most 60 min." in opened.texts[-1]
    assert "Noted, Sunday: no run." in closed.texts[-1]


# Check value: 50 years and nothing else gives 109 to 129, 64-76 % of the lowest maximum, 170 (ACSM 2011; Fox 1971).
def test_the_band_of_a_runner_of_fifty_is_the_check_value() -> None:
    band = band_of(Profile(birth_year=1977), date(2027, 6, 1))
    assert band is not None
    assert (band.low, band.high, band.trust) == (109, 129, Trust.AGE)
    assert band_of(Profile(birth_year=1977, medicine=True), date(2027, 6, 1)) is None
    assert band_of(Profile(), date(2027, 6, 1)) is None


def test_a_measured_heart_rate_replaces_the_formula() -> None:
    played = joined("resting heart rate 60\nyes\nmax hr 173\nyes\n/easy")
    assert "105 to 126" in played.texts[-1]  # Karvonen 1957: 60 + 0.40 and 0.59 of 113


def test_an_average_over_the_band_counts_in_full_and_is_told() -> None:
    played = joined("@ 2027-01-04 19:00\n20 min, hr 150\n@ dump")
    assert "slower next time" in played.texts[-1]
    assert played.dump["done"] == 20


def test_after_five_zones_there_is_no_run_on_the_arrival_day_and_a_short_one_next() -> None:
    played = joined("@ 2027-01-06 08:00\nzone Tokyo\nyes\nJP\n@ dump")
    assert all(session["date"] != "2027-01-06" for session in played.dump["plan"])
    assert played.dump["plan"][0]["minutes"] <= 30
    near = joined("@ 2027-01-06 08:00\nzone Madrid\nyes\nES\n@ dump")
    assert near.dump["plan"][0]["date"] == "2027-01-06"


# House rule; no run is longer than 30 min until one was run, whichever day the runner comes to it.
def test_the_first_run_after_five_zones_stays_short_on_whichever_day_it_falls() -> None:
    flown = "20\n@ 2027-01-05 08:00\nzone Tokyo\nyes\nJP\n"
    skipped = joined(f"@ 2027-01-04 19:00\n{flown}@ 2027-01-07 08:00\n@ dump")
    longest = max(session["minutes"] for session in skipped.dump["plan"] if session["date"] > "2027-01-06")
    assert longest <= 30
    home = joined("@ 2027-01-04 19:00\n20\n@ 2027-01-05 08:00\nzone Madrid\nyes\nES\n@ 2027-01-07 08:00\n@ dump")
    assert max(session["minutes"] for session in home.dump["plan"]) == 35


def test_what_a_flight_asks_of_a_day_is_over_once_an_earlier_day_had_its_run() -> None:
    landed = date(2027, 1, 5)
    days = [landed + timedelta(days=n) for n in range(3)]
    limits = tuple(DayLimit(day, 30 if day > landed else 0, LimitReason.FLIGHT) for day in days)
    book = replace(plans.steady(), limits=limits, log=())
    ran_before = replace(book, log=(LogEntry("a", landed, 20),))
    ran_after = replace(book, log=(LogEntry("a", days[1], 20),))
    asked = [[getattr(each.limit_on(day), "minutes", None) for day in days] for each in (book, ran_before, ran_after)]
    assert asked == [[0, 30, 30], [0, 30, 30], [0, 30, None]]


def test_season_at_the_dose_shows_the_weeks_to_come_with_the_lighter_one() -> None:
    text = joined("goal custom 75\nyes\n/season").texts[-1]
    assert text.startswith("You are at your dose, 75 min a week.")
    assert "lighter" in text


def test_an_event_is_told_honestly_what_the_minutes_allow() -> None:
    text = joined("race 2027-05-30 half marathon\nyes\n/season").texts[-1]
    assert "Half marathon on Sun 30 May" in text
    assert "beyond this plan" in text


def test_an_event_is_shown_back_in_words_and_answered_with_what_the_minutes_allow() -> None:
    asked, said = joined("signed up for a half marathon on 30 May\nyes").texts[-2:]
    assert asked == "Event: half marathon on Sun 30 May 2027. Shall I keep that?"
    assert "by then up to 180 min a week" in said


def test_a_first_week_begun_on_its_last_days_takes_nothing_from_the_minutes_stated() -> None:
    saturday = datetime(2027, 1, 2, 9, 0, tzinfo=UTC)
    begun = talk(f"{MARTA}\n@ dump\n@ 2027-01-04 12:00\n@ dump", at=saturday)
    assert sum(session["minutes"] for session in begun.dump["plan"]) == begun.dump["target"] == 75
    first = next(each for each in begun.objects if "runner" in each)
    assert first["target"] < 75
    review = next(message["text"] for message in begun.messages if "week_review" in message["kind"])
    assert "It starts from the 75 min you run now" in review


def test_a_week_that_a_big_jump_made_short_says_so() -> None:
    played = joined(
        "@ 2027-01-04 19:00\n20\n@ 2027-01-06 19:00\n20\n@ 2027-01-10 10:00\nran 65 min\n@ 2027-01-11 08:00"
    )
    review = next(m["text"] for m in played.messages if "week_review" in m["kind"])
    assert "after the big jump of the last days" in review


def test_a_run_later_on_the_same_day_needs_no_other_day() -> None:
    assert joined("@ 2027-01-04 08:00\ncan i do it at lunch instead").texts[-1].startswith("Any time today is fine.")
    assert joined("@ 2027-01-04 08:00\ncan i move it").texts[-1] == "To which day?"


def test_thanks_get_an_answer_of_their_own() -> None:
    assert joined("thanks!").texts[-1] == "Any time."
    assert joined("hello").texts[-1].startswith("Hello.")


def test_a_weekly_shape_can_begin_on_a_later_date() -> None:
    played = joined(
        "days tue 40, thu 40, sun 60 from 18 january\nyes\n@ 2027-01-16 12:00\n@ dump\n@ 2027-01-18 06:00\n@ dump"
    )
    first, later = (each for each in played.objects if "runner" in each)
    assert {date.fromisoformat(s["date"]).weekday() for s in first["plan"]} <= {0, 1, 2, 3, 5, 6}
    assert {date.fromisoformat(s["date"]).weekday() for s in later["plan"]} <= {1, 3, 6}
    assert not played.dump["log"]


def test_a_later_pregnancy_reopens_the_screening() -> None:
    played = joined("pregnancy yes\nyes\n@ dump")
    assert played.dump["standing"] == "walking"
    assert all(session["kind"] == "walk" for session in played.dump["plan"])


SHAPES = [
    ("from March on tue 40, thu 40, sun 60", "tue 40, thu 40, sun 60 from 2027-03-01"),
    ("From March on Tue/Thu/Sun", "tue 45, thu 45, sun 90 from 2027-03-01"),
    ("from next month on tue, fri and sun", "tue 45, fri 45, sun 90 from 2027-02-01"),
    ("days from 15 march tue 40, thu 40", "tue 40, thu 40 from 2027-03-15"),
    ("from next week on I run mon, wed and sat", "mon 45, wed 45, sat 90 from 2027-01-11"),
    ("I can't run on Wednesdays any more", "mon 45, tue 45, thu 45, sat 90, sun 90"),
    ("busy every tuesday", "mon 45, wed 45, thu 45, sat 90, sun 90"),
    ("wednesdays and thursdays are closed", "mon 45, tue 45, sat 90, sun 90"),
    ("no tuesdays please", "mon 45, wed 45, thu 45, sat 90, sun 90"),
    # no shapes of a week
    ("no run on saturday", None),
    ("ran every wednesday", None),
    ("ran 30 every tuesday, busy otherwise", None),
    ("from monday to friday busy", None),
    ("every friday busy", None),  # closed as it is
    ("wednesdays are fine", None),
]


@pytest.mark.parametrize(("line", "shape"), SHAPES)
def test_a_weekly_shape_told_in_a_sentence(line: str, shape: str | None) -> None:
    opened = Profile(open_minutes=(45, 45, 45, 45, 0, 90, 90))
    book = plans.unplanned(opened)
    days, _, start = (shape or "").partition(" from ")
    wanted = WeekShape(days, date.fromisoformat(start) if start else None) if shape else None
    assert shape_in(book, line, date(2027, 1, 4)) == wanted


def test_a_shape_that_begins_later_is_shown_back_logged_never_and_stands_in_the_settings() -> None:
    played = joined("@ 2027-01-04 19:00\nfrom March on tue 40, thu 40, sun 60\nyes\n/settings\n@ dump")
    assert played.texts[-3] == "Days: tue 40, thu 40, sun 60. Shall I keep that from Mon 1 Mar on?"
    assert "days from Mon 1 Mar on: tue 40, thu 40, sun 60" in played.texts[-1]
    assert played.dump["log"] == []


def test_a_flight_opens_no_closed_day() -> None:
    played = joined("@ 2027-01-04 08:00\ndays mon 40, wed 40, fri 60\nyes\nI am in Tokyo\nyes\nJapan\n@ dump")
    assert {date.fromisoformat(s["date"]).weekday() for s in played.dump["plan"]} <= {0, 2, 4}


def test_a_shared_location_sets_the_zone_at_any_time() -> None:
    played = joined("@ 2027-01-04 08:00\nlocation 35.68 139.69\nyes\n@ dump")
    assert played.texts[-2] == "Change time zone to Asia/Tokyo (now Europe/Lisbon)?"
    assert played.dump["zone"] == "Asia/Tokyo"


def test_a_question_about_cold_gets_the_advice_of_its_band() -> None:
    assert "cold" in joined("@ 2027-01-04 08:00\n-15 degrees and windy, ok to run?").texts[-1]


def test_why_of_one_who_pauses_says_what_it_waits_for_and_names_no_sign() -> None:
    held = joined("@ 2027-01-04 08:00\nshin hurts at night and when I press the bone\n/why").texts[-1]
    assert "since today" in held
    assert "clinician" in held
    assert "shin" not in held
    ill = joined("@ 2027-01-04 08:00\nfever 38.5 since last night\n/why").texts[-1]
    assert "three days after a fever" in ill


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("is it too cold at -30?", "bare skin can freeze"),
        ("is it too cold at -15?", "layers"),
        ("is 36 too hot?", "not outside today"),
        ("is 90 too hot?", "How does the air feel?"),
        ("is 50 too cold?", "nothing special"),
        ("too hot at 18?", "nothing special"),
        ("is it too hot to run tomorrow?", "Tell me the weather"),
    ],
)
def test_whether_it_is_too_hot_or_too_cold_is_answered_by_the_bands(asked: str, said: str) -> None:
    assert said in joined(asked).texts[-1]


def test_a_gap_that_a_run_of_the_week_to_come_can_bridge_is_no_gap_to_be_named() -> None:
    # The week to come has an open Monday, which its plan will use; nothing is open before its Wednesday in the other.
    ran = "@ 2027-01-04 19:00\n20\n@ 2027-01-06 19:00\n20\n@ 2027-01-09 08:00\nno run tomorrow\n20\ncan't run on sunday"
    assert "more than two days" not in joined(ran).texts[-1]
    closed = f"{ran.partition(chr(10))[0]}\ndays wed 45, sat 90, sun 90\nyes\n{ran.partition(chr(10))[2]}"
    assert "more than two days" in "\n".join(joined(closed).texts)
