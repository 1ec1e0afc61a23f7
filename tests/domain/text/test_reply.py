"""One line read, against docs/replies.md: examples by rule, the corpora's figures, and any text at all."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.reply import Intent, Reading, read, read_days, read_minutes, read_yes_no
from tests.corpus import replies

TODAY = date(2027, 1, 6)  # a Wednesday


def on(offset: int) -> date:
    return TODAY + timedelta(days=offset)


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("42 easy", 42),
        ("three quarters of an hour", 45),
        ("an hour and ten", 70),
        ("hour and a half", 90),
        ("½ hour", 30),
        ("1.5h", 90),
        ("1,5 h", 90),
        ("1:05", 65),
        ("45:30", 45),
        ("1h05'", 65),
        ("42min", 42),
        ("FORTY TWO MINUTES", 42),
        ("４２ min", 42),
        ("٤٢", 42),
        ("20 + 25", 45),
        ("20 out 22 back", 42),
        ("2 x 20 min", 40),
        ("mintues 42", 42),
        ("5 km in 34 min", 34),
        ("8 km at 6:30/km", 52),
        ("40 of 45 done", 40),
        ("plan was 45, did 40", 40),
    ],
)
def test_minutes_are_read_as_people_write_them(line: str, minutes: int) -> None:
    found = read(line, TODAY)
    assert (found.intent, found.minutes, found.day) == (Intent.LOG, minutes, TODAY)


# One mile is 1.609344 km exactly: international yard and pound agreement, 1959.
def test_miles_are_kilometres_of_the_international_mile() -> None:
    assert read("4 miles in 44 min", TODAY).distance_km == pytest.approx(4 * 1.609344, abs=1e-3)


@pytest.mark.parametrize(
    "line",
    [
        "gonna run 40 tonight",
        "will do 30 later",
        "should I run 45?",
        "my goal is 45 min",
        "my wife ran 45",
        "didn't run 45",
        "would have run 40 if it hadn't rained",
        "the plan says 45",
        "worked 45 minutes late",
        "meeting ran 45 over",
        "ran errands for 40 minutes",
        "only 20 min tomorrow",
        "100m sprints",
        "turned 50 today",
        "32 degrees outside",
        "my max hr is 178",
    ],
)
def test_a_number_that_is_no_finished_run_is_never_stored(line: str) -> None:
    found = read(line, TODAY)
    assert found.intent is not Intent.LOG or found.ask_back


@pytest.mark.parametrize(
    "line", ["7", "95", "150", "220", "300", "went for a run", "ran 0 min", "700 min", "ran at 6:30"]
)
def test_what_a_careful_person_would_ask_is_asked(line: str) -> None:
    found = read(line, TODAY)
    assert found.ask_back
    assert found.minutes is None


@pytest.mark.parametrize("number", [*range(10, 91)])
def test_a_bare_number_from_10_to_90_is_minutes(number: int) -> None:
    assert read(str(number), TODAY).minutes == number


@pytest.mark.parametrize(
    ("line", "intent", "day", "days"),
    [
        ("kid sick, tomorrow?", Intent.MOVE, 0, (1,)),
        ("busy thu and fri", Intent.BUSY, 1, (1, 2)),
        ("away till friday", Intent.AWAY, 0, (0, 1, 2)),
        ("away mon to thu", Intent.AWAY, 5, (5, 6, 7, 8)),
        ("away 10-14 jan", Intent.AWAY, 4, (4, 5, 6, 7, 8)),
        ("no run today", Intent.SKIP, 0, ()),
        ("missed yesterday", Intent.SKIP, -1, ()),
        ("move it to friday", Intent.MOVE, 0, (2,)),
        ("ran 30 on monday", Intent.LOG, -2, ()),
        ("can I do it sunday?", Intent.MOVE, 0, (4,)),
    ],
)
def test_a_weekday_gone_is_the_latest_and_a_planned_one_the_next(
    line: str, intent: Intent, day: int, days: tuple[int, ...]
) -> None:
    found = read(line, TODAY)
    assert (found.intent, found.day, found.days) == (intent, on(day), tuple(map(on, days)))


def test_several_runs_in_one_line_are_several_logs() -> None:
    found = read("ran 30 yesterday and 25 today", TODAY)
    assert [(run.day, run.minutes) for run in found.logs] == [(on(-1), 30), (on(0), 25)]
    assert (found.minutes, found.day) == (None, None)


def test_a_finished_run_beside_something_else_is_never_lost() -> None:
    found = read("42 done, but no run tomorrow", TODAY)
    assert (found.intent, found.minutes, found.second_intent) == (Intent.LOG, 42, Intent.BUSY)
    assert found.days == (on(1),)


def test_a_correction_names_the_minutes_meant() -> None:
    for line in ("make that 40", "40, not 45", "no, 40", "that was wrong, it was 40"):
        found = read(line, TODAY)
        assert (found.intent, found.minutes) == (Intent.UNDO, 40), line


def test_other_work_says_what_it_is_and_whether_it_replaced_the_run() -> None:
    found = read("bike 40 instead of my run", TODAY)
    assert (found.activity, found.in_place_of_run) == (Activity.BIKE, True)
    assert read("did intervals, 30 min", TODAY).hard
    assert not read("30 min, not too hard", TODAY).hard


def test_the_small_readers_answer_their_one_question() -> None:
    assert read_minutes("about 40 i think") == 40
    assert read_minutes("no idea") is None
    assert (read_yes_no("sí"), read_yes_no("nein"), read_yes_no("perhaps")) == (True, False, None)
    assert read_days("friday", TODAY) == (on(2),)


HELD_TO = [
    (part, language)
    for part in replies.PARTS
    for language in replies.LANGUAGES
    if language == "en" or part not in {"fourth", "fifth"}  # written in English alone
]


@pytest.mark.parametrize(("part", "language"), HELD_TO)
def test_the_corpus_is_read_as_well_as_the_contract_asks(part: str, language: str) -> None:
    rows = [row for row in replies.rows(part) if row.language == language]
    assert len(rows) >= (30 if part in {"look", "held"} else 8)
    found = [(row, read(row.text, replies.TODAY)) for row in rows]
    wanted = 97 if language == "en" and part == "look" else 90
    assert 100 * sum(replies.intent_right(*pair) for pair in found) >= wanted * len(rows)
    assert 100 * sum(replies.minutes_right(*pair) for pair in found) >= wanted * len(rows)
    clear = [(row, reading) for row, reading in found if row.clear]
    # One line of a part so small is no rate.
    assert sum(reading.ask_back for _, reading in clear) <= max(1, 0.07 * len(clear))


@given(st.text(max_size=300), st.dates())
def test_any_text_on_any_day_has_a_reading(text: str, today: date) -> None:
    found = read(text, today)
    assert isinstance(found, Reading)
    assert found.minutes is None or 1 <= found.minutes <= 600
    assert not (found.intent is Intent.LOG and not found.ask_back and found.minutes is None and not found.logs)
    assert found == read(text, today)


@given(st.integers(10, 90), st.sampled_from(["  {} ", "{}\n", "\t{}", "{}.", "{}!", "\u200b{}\u200b", "{} 🏃"]))
def test_white_space_and_decoration_change_nothing(minutes: int, frame: str) -> None:
    assert read(frame.format(minutes), TODAY).minutes == minutes


@given(st.sampled_from(["42 easy", "ran 30 yesterday", "5 km in 34 min", "busy thursday"]), st.booleans())
def test_capitals_change_nothing(line: str, upper: bool) -> None:
    assert read(line.upper() if upper else line.title(), TODAY) == read(line, TODAY)


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("47 min, twas 38", 38),
        ("ran 26 along the canal. wait it was 29", 29),
        ("41 min gelaufen, quatsch, 31", 31),
        ("corrí 52, perdón, 25", 25),
        ("couru 44, pardon, 34", 34),
        ("9 min walk, 17 jog", 26),
        ("7 hin, 16 zurück", 23),
        ("6 out 8 home", 14),
        ("ida 11, vuelta 13", 24),
        ("5 warm-up, 20 easy, 5 cool down", 30),
        ("first 16, then another 9", 25),
        ("dix-huit aller, quatorze retour", 32),
        ("33 min + 6 walking home", 39),
        ("10 warm up, 15 steady, 5 home: 30 in all", 30),
        ("6 laps of the lake, 7 min each", 42),
    ],
)
def test_a_run_has_the_minutes_that_mend_others_or_add_up(line: str, minutes: int) -> None:
    reading = read(line, TODAY)
    told = reading.choices[0] if reading.ask_back and reading.choices else reading
    assert (told.intent, told.minutes) == (Intent.LOG, minutes)


@pytest.mark.parametrize(
    "line",
    ["did 23, or 41, who knows", "ran 20, or was it 25", "32 Laufband oder 36, weiß nimmer", "corrí 21, o eran 26"],
)
def test_one_of_two_times_is_asked_about(line: str) -> None:
    reading = read(line, TODAY)
    assert reading.ask_back and any(each.intent is Intent.LOG for each in reading.choices)


@pytest.mark.parametrize(
    ("line", "intent", "minutes"),
    [
        ("cant do 40 today only 20", Intent.BUSY, 20),
        ("can't manage 40 today, only 20", Intent.BUSY, 20),
        ("can't run more than 20 today", Intent.BUSY, 20),
        ("45 is too much today, 25 max", Intent.BUSY, 25),
        ("35 max today", Intent.BUSY, 35),
        ("heute maximal 35", Intent.BUSY, 35),
        ("35 maxi aujourd'hui", Intent.BUSY, 35),
        ("can't do 40 today", Intent.SKIP, None),
        ("not able to do 30 today", Intent.SKIP, None),
        ("can't believe I ran 40", Intent.LOG, 40),
        ("ran 30 but can't do more", Intent.LOG, 30),
        ("I can't do 60, did 30", Intent.LOG, 30),
        ("what if i miss a week?", Intent.ASK, None),
        ("what happens if I skip tomorrow?", Intent.ASK, None),
    ],
)
def test_a_time_that_cannot_be_run_is_no_log(line: str, intent: Intent, minutes: int | None) -> None:
    reading = read(line, TODAY)
    meant = reading.choices[0] if reading.ask_back and reading.choices else reading  # offered first where not taken
    assert (meant.intent, meant.minutes) == (intent, minutes)


@pytest.mark.parametrize(
    "line",
    [
        "run 45 sunday instead",  # a move cue, a day, and no word of having run
        "he told me he ran 50 minutes",
        "the marathon champion ran 2:05",
        "I'd love to run 60 again",
        "when I was 30 I ran 90 minutes",
        "I'm 52 by the way",
        "I'm 20 minutes into my run",
        "resting heart rate 54",
        "maybe 30 later",
        "why 45 and not 30?",
    ],
)
def test_no_minutes_are_stored_from_what_nobody_says_was_run(line: str) -> None:
    found = read(line, TODAY)
    assert (found.minutes, found.logs) == (None, ())


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("half of the 40", 20),
        ("30 of the planned 45", 30),
        ("ran 40 not 50", 40),
        ("ran 40 after a 9 hour shift", 40),
        ("45 min, what's next?", 45),
        ("6 miles in an hour", 60),
    ],
)
def test_a_number_beside_the_session_changes_nothing_or_what_it_says(line: str, minutes: int) -> None:
    found = read(line, TODAY)
    assert (found.intent, found.minutes) == (Intent.LOG, minutes)


def test_the_rules_alone_take_a_part_of_a_plan_and_leave_the_time_of_something_else() -> None:
    # The learned readers weigh these otherwise: docs/replies.md, "What is still misread".
    assert parsed("two thirds of my 45", TODAY).reading.minutes == 30
    assert parsed("made soup, took 45 minutes", TODAY).reading.minutes is None


@pytest.mark.parametrize(
    ("line", "start", "target"),
    [
        ("run 45 sunday instead", 0, 4),
        ("45 sunday instead of today", 0, 4),
        ("not today, tomorrow", 0, 1),
        ("Friday's run on Saturday please", 2, 3),
        ("do the long run saturday not sunday", 4, 3),
        ("postpone till saturday", 0, 3),
        ("delay it by two days", 0, 2),
    ],
)
def test_a_run_changes_its_day_in_many_turns_of_phrase(line: str, start: int, target: int) -> None:
    found = read(line, TODAY)
    assert (found.intent, found.day, found.days) == (Intent.MOVE, on(start), (on(target),))


@pytest.mark.parametrize(
    ("line", "intent"),
    [
        ("can I run with a cold?", Intent.ASK),
        ("is it ok to run with a cold?", Intent.ASK),
        ("cant sleep, run anyway?", Intent.ASK),
        ("meant to do 30 today, didnt", Intent.SKIP),
        ("was going to run 40 but no", Intent.SKIP),
        ("signed up for a 10k on 18 April", Intent.SETTINGS),
        ("how many minutes should a beginner run", Intent.ASK),
    ],
)
def test_what_is_asked_or_turned_down_is_no_session(line: str, intent: Intent) -> None:
    assert read(line, TODAY).intent is intent


@pytest.mark.parametrize(
    "line",
    [
        "the run didn't happen, 3 hours in A&E with my son",
        "ran 60 minutes, just kidding",
        "20 minutes in and loving it",
        "it's 15 outside",
        "lap 12 of 40",
        "vo2 max 45",
        "before the injury I ran 60",
        "the washing machine ran 50 minutes",
    ],
)
def test_a_time_that_is_taken_back_or_of_something_else_is_not_stored(line: str) -> None:
    found = read(line, TODAY)
    assert (found.minutes, found.logs) == (None, ())


def test_an_exact_time_stands_for_the_rough_one_before_it() -> None:
    assert read("did just under an hour, 58 min", TODAY).minutes == 58


@pytest.mark.parametrize(
    ("line", "runs"),
    [
        ("ran 30 in the morning and 20 in the evening", ((0, 30), (0, 20))),
        ("did 40 monday 20 tuesday", ((-2, 40), (-1, 20))),
        ("mon 40 tue 20", ((-2, 40), (-1, 20))),
    ],
)
def test_two_runs_told_with_their_times_are_two(line: str, runs: tuple[tuple[int, int], ...]) -> None:
    assert tuple((run.day, run.minutes) for run in read(line, TODAY).logs) == tuple((on(day), m) for day, m in runs)


@pytest.mark.parametrize(
    ("line", "intent", "day"),
    [
        ("can't run on sunday", Intent.BUSY, 4),
        ("can't run on tuesdays any more", Intent.SETTINGS, None),
        ("is it too cold at -25?", Intent.ASK, None),
        ("too cold, no run", Intent.SKIP, 0),
        ("what now?", Intent.STATUS, None),
    ],
)
def test_what_cannot_be_run_and_what_is_only_asked(line: str, intent: Intent, day: int | None) -> None:
    found = read(line, TODAY)
    assert (found.intent, found.day) == (intent, None if day is None else on(day))


def test_between_two_numbers_is_asked_and_between_two_other_things_is_not() -> None:
    assert read("ran between 30 and 40 min", TODAY).ask_back
    assert read("ran 10 min between two feeds", TODAY).minutes == 10
