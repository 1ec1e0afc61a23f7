"""After a fever: the 72 h are counted from its last day, which only the runner knows."""

from __future__ import annotations

import pytest

from tests.talking import joined

FEVER = "@ 2027-01-04 08:00\nfever 38.5 and aching\n"
WELL = "/back\nno\n"


def first_run(lines: str) -> str:
    return str(joined(f"{lines}\n@ dump").dump["plan"][0]["date"])


# House rule, at the upper end of the 24 to 72 h of coaching practice.
@pytest.mark.parametrize(
    ("lines", "first"),
    [
        ("", "2027-01-07"),
        ("Wednesday", "2027-01-09"),
        ("yesterday", "2027-01-09"),
        ("it lasted until tuesday", "2027-01-09"),
        ("still fever till this morning, today", "2027-01-10"),
        ("fever till yesterday", "2027-01-09"),
        ("today", "2027-01-10"),
    ],
)
def test_running_waits_three_days_after_the_last_day_with_a_fever(lines: str, first: str) -> None:
    assert first_run(f"{FEVER}@ 2027-01-07 08:00\n{WELL}{lines}") >= first


def test_the_day_that_is_counted_is_said_and_later_ones_are_buttons() -> None:
    said = joined(f"{FEVER}@ 2027-01-07 08:00\n{WELL}").messages[-1]
    assert "I count Mon 4 Jan as the last day with a fever" in said["text"]
    assert said["buttons"] == ["Yesterday", "Today"]
    pressed = joined(f"{FEVER}@ 2027-01-07 08:00\n{WELL}#1\n@ dump")
    assert pressed.dump["plan"][0]["date"] >= "2027-01-09"


def test_the_same_the_next_morning_is_another_day_with_a_fever() -> None:
    said = joined(f"{FEVER}@ 2027-01-05 08:00\nsame\n@ 2027-01-07 12:00\n{WELL}").messages[-1]
    assert "I count Tue 5 Jan" in said["text"]


def test_a_day_before_the_one_that_is_counted_shortens_no_wait() -> None:
    told = f"{FEVER}@ 2027-01-06 08:00\nstill a fever\n@ 2027-01-07 08:00\n{WELL}monday"
    assert first_run(told) >= "2027-01-09"


def test_a_run_reported_instead_is_a_run() -> None:
    played = joined(f"{FEVER}@ 2027-01-07 08:00\n{WELL}20 easy yesterday\n@ dump")
    assert played.dump["done"] == 20


@pytest.mark.parametrize(
    ("line", "counted"),
    [
        ("better, no fever since yesterday morning", "yesterday"),
        ("fever gone, feeling ok", "Mon 4 Jan"),
        ("no more fever since tuesday", "Tue 5 Jan"),
        ("much better today", "Mon 4 Jan"),
        ("i feel fine again", "Mon 4 Jan"),
    ],
)
def test_who_says_that_it_is_over_is_asked_the_first_question_back(line: str, counted: str) -> None:
    asked, said = joined(f"{FEVER}@ 2027-01-08 18:00\n{line}\nno").texts[-2:]
    assert asked.startswith("Good. One question first")
    assert f"I count {counted} as the last day with a fever" in said


@pytest.mark.parametrize("line", ["not better", "still not any better", "worse, in bed"])
def test_who_is_not_well_is_not_asked(line: str) -> None:
    assert "One question first" not in joined(f"{FEVER}@ 2027-01-08 18:00\n{line}").texts[-1]


@pytest.mark.parametrize(
    "line",
    [
        # The tenths of a temperature are no day of the month,
        "influenza now, the thermometer says 38.4",
        "covid it is, 37,9 here",
        # nor is a day to come the last day of the illness before.
        "caught covid off my sister, so Saturday's run is not happening",
        "39.1 fever since yesterday",
        "Fieber seit gestern Abend",
        "jetzt liege ich mit Grippe flach, Samstag wird wohl nichts",
    ],
)
def test_a_new_illness_told_instead_of_the_day_opens_a_pause(line: str) -> None:
    said = joined(f"{FEVER}@ 2027-01-13 08:00\n{WELL}{line}").messages[-1]
    assert "The plan waits" in said["text"]


def test_who_runs_again_after_the_wait_is_asked_whether_they_are_well() -> None:
    assert "One question first" in joined(f"{FEVER}@ 2027-01-08 18:00\n42 min better now").texts[-1]
    told = joined("flu, in bed\n@ 2027-01-12 18:00\n20 min\nno")
    assert any("You are running again" in text for text in told.texts)
    assert told.texts[-1].startswith("Good.")


def test_who_runs_before_the_wait_is_over_is_asked_to_rest() -> None:
    told = joined("flu, in bed\n@ 2027-01-05 18:00\n20 min")
    assert "Please no more runs until you are well" in told.texts[-1]


@pytest.mark.parametrize(
    "line",
    ["ok again, last threw up on monday", "geht wieder, am Montag noch Durchfall", "ya estoy bien, vomité el lunes"],
)
def test_an_illness_of_a_day_gone_told_by_somebody_who_is_well_is_no_new_one(line: str) -> None:
    told = joined(f"stomach bug, all night\n@ 2027-01-06 09:00\n{line}")
    assert "One question first" in told.texts[-1]
