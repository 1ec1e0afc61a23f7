"""The terminal voice, line by line of its contract (docs/talk.md)."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from nudgebot.storage.database import open_database
from tests.talking import MARTA, START, joined, talk


def test_every_line_is_echoed_and_every_message_is_stamped_and_named() -> None:
    played = talk("/start\nyes", as_json=False)
    lines = played.out.splitlines()
    assert lines[0] == "> /start"
    assert lines[1].startswith("< [2027-01-03 17:00] Marta: Hello Marta. ")
    assert lines[2].startswith("  I store your minutes")
    assert "#1 Yes, go ahead" in lines
    assert lines.index("> yes") > lines.index("#2 No")
    assert played.status == 0


def test_json_prints_one_object_a_message_and_nothing_else() -> None:
    played = talk("/start\nyes\n/help")
    assert [message["n"] for message in played.messages] == [1, 2, 3]
    first = played.messages[0]
    assert list(first) == ["n", "at", "to", "in", "kind", "asks", "text", "buttons", "reply_to"]
    assert first["at"] == "2027-01-03T17:00:00+00:00"
    assert first["to"] == "Marta"
    assert first["kind"] == "question"
    assert first["asks"] == "adult"
    assert [message["reply_to"] for message in played.messages] == [1, 2, 3]
    assert played.messages[2]["kind"] == "answer"
    assert played.messages[2]["asks"] is None


def test_a_nudge_says_its_kind_and_answers_no_line() -> None:
    morning = joined("@ 2027-01-04 07:00").messages[-1]
    assert morning["kind"] == "nudge:morning"
    assert morning["reply_to"] is None
    assert morning["at"] == "2027-01-04T06:45:00+00:00"


def test_a_button_says_what_its_line_says() -> None:
    pressed = talk("/start\n#1\n@ dump")
    typed = talk("/start\nyes\n@ dump")
    assert pressed.texts == typed.texts
    assert pressed.dump == typed.dump


def test_a_button_of_an_older_message_is_pressed_by_its_number_and_told_that_it_is_past() -> None:
    played = talk("/start\nyes\n#1 of 1")
    assert "out of date" in played.texts[-1]


def test_a_bare_number_is_always_text() -> None:
    played = joined("@ 2027-01-04 19:00\n1")
    assert "minutes" in played.texts[-1]
    assert joined("@ 2027-01-04 19:00\n20\n@ dump").dump["log"] == [
        {"date": "2027-01-04", "minutes": 20, "kind": "run"}
    ]


def test_time_moves_by_minutes_hours_and_days() -> None:
    lines = "@ +45m\n/help\n@ +3h\n/help\n@ +2d\n/help"
    assert [message["at"][:16] for message in talk(lines).messages] == [
        "2027-01-03T17:45",
        "2027-01-03T20:45",
        "2027-01-05T20:45",
    ]


# Zone rules: tzdata; New York's clocks go back on 7 November 2027.
def test_a_day_keeps_the_wall_time_across_a_change_of_clocks() -> None:
    at = datetime(2027, 11, 6, 16, 0, tzinfo=UTC)
    played = talk("@ +1d\n/help", at=at, zone="America/New_York")
    assert played.messages[0]["at"] == "2027-11-07T12:00:00-05:00"


# RFC 5545 section 3.3.5: a time that does not exist is read with the offset before the gap, a repeated one is the
# first. Berlin, 28 March and 31 October 2027.
def test_a_skipped_time_falls_after_the_gap_and_a_repeated_one_is_the_first() -> None:
    at = datetime(2027, 3, 27, 12, 0, tzinfo=UTC)
    assert (
        talk("@ 2027-03-28 02:30\n/help", at=at, zone="Europe/Berlin").messages[0]["at"] == "2027-03-28T03:30:00+02:00"
    )
    at = datetime(2027, 10, 30, 12, 0, tzinfo=UTC)
    assert (
        talk("@ 2027-10-31 02:30\n/help", at=at, zone="Europe/Berlin").messages[0]["at"] == "2027-10-31T02:30:00+02:00"
    )


@pytest.mark.parametrize(
    "line", ["@ 2027-01-03 16:00", "@ yesterday", "@ +3w", "@ 2027-13-40 07:00", "@", "#1", "#7 of 99", "@ in group"]
)
def test_a_line_that_cannot_be_followed_is_said_and_moves_nothing(line: str) -> None:
    played = talk(f"{line}\n/help")
    assert played.err.startswith("line 1: ")
    assert played.err.count("\n") == 1
    assert played.status == 2
    assert played.messages[0]["at"] == "2027-01-03T17:00:00+00:00"


def test_two_ats_say_a_text_that_begins_with_one() -> None:
    played = talk("@@ +3h\n/help")
    assert played.status == 0
    assert played.messages[-1]["at"] == "2027-01-03T17:00:00+00:00"


def test_a_new_name_is_a_new_person() -> None:
    played = talk("/start\nyes\n@ as Jonas\n/start\n@ as Marta\nyes")
    assert [message["to"] for message in played.messages] == ["Marta", "Marta", "Jonas", "Marta"]
    assert [message["asks"] for message in played.messages] == ["adult", "active", "adult", "disease"]


def test_a_group_hears_little_and_the_speaker_is_answered_in_private() -> None:
    played = joined("@ 2027-01-04 19:00\n@ in group Tuesday\nsee you\n20 easy\n/week\n@ in private\n/week")
    assert [(message["in"], message["to"]) for message in played.messages] == [
        ("private", "Marta"),
        ("private", "Marta"),
        ("Tuesday", "Marta"),
        ("private", "Marta"),
        ("private", "Marta"),
    ]
    assert "20 min run" in played.texts[1]
    assert played.texts[2] == "I have written to you."


def test_a_dump_shows_where_the_runner_stands() -> None:
    dump = joined("@ 2027-01-04 19:00\n20\n@ dump").dump
    assert list(dump) == ["runner", "today", "zone", "standing", "target", "done", "plan", "log", "pending"]
    assert (dump["runner"], dump["today"], dump["zone"], dump["standing"]) == (
        "Marta",
        "2027-01-04",
        "Europe/Lisbon",
        "training",
    )
    assert (dump["target"], dump["done"]) == (75, 20)
    assert dump["plan"] == [
        {"date": "2027-01-06", "minutes": 20, "kind": "easy"},
        {"date": "2027-01-09", "minutes": 35, "kind": "long"},
    ]
    assert dump["pending"][0] == {"kind": "morning", "at": "2027-01-06T06:45:00+00:00"}


def test_a_dump_of_somebody_unknown_is_empty() -> None:
    dump = talk("@ dump").dump
    assert dump["standing"] == "stranger"
    assert dump["log"] == []


def test_a_restart_in_the_middle_of_the_intake_goes_on_at_its_question(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'talk.sqlite'}"
    first = talk("\n".join(MARTA.splitlines()[:9]), engine=open_database(url))
    again = talk("\n".join(MARTA.splitlines()[9:]), engine=open_database(url))
    whole = talk(MARTA)
    assert first.texts + again.texts == whole.texts


def test_the_same_lines_always_come_out_the_same() -> None:
    lines = f"{MARTA}\n@ +1d\n20\n@ +3d\nbusy tomorrow\n@ dump"
    assert talk(lines).out == talk(lines).out


def test_nothing_is_kept_of_somebody_who_is_no_adult() -> None:
    played = talk("/start\nno\n@ dump")
    assert len(played.messages) == 2
    assert played.dump["standing"] == "stranger"


def test_json_is_plain_json_also_for_words_beyond_ascii() -> None:
    assert json.loads(talk("/start", speaker="Zoë").out)["to"] == "Zoë"


def test_the_clock_starts_where_it_is_told(tmp_path: Path) -> None:
    assert talk("/help", at=START).messages[0]["at"] == START.isoformat()
