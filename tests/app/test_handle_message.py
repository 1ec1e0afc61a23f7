"""One line in, one transaction: what a runner's lines do to the log, the plan and the standing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine

from nudgebot.app import handle_message
from nudgebot.app.access import Host
from nudgebot.domain.model.runner import Book, OnHold
from nudgebot.domain.model.speech import Incoming
from nudgebot.storage import book_repository, outbox
from tests.memory import in_memory
from tests.talking import MARTA, joined, marta, talk

MONDAY = datetime(2027, 1, 4, 19, 0, tzinfo=UTC)


@pytest.fixture
def store() -> Engine:
    """A store in which Marta has joined."""
    return marta()


def line(text: str, *, key: str = "k1", at: datetime = MONDAY, edits: str = "") -> Incoming:
    return Incoming(key, "talk", "Marta", "Marta", text, at, edits=edits)


def take(store: Engine, incoming: Incoming, now: datetime | None = None) -> None:
    with store.begin() as conn:
        handle_message.take(conn, incoming, now or incoming.at)


def book(store: Engine) -> Book:
    with store.begin() as conn:
        found = book_repository.find(conn, "talk", "Marta")
    assert found is not None
    return found


def said(store: Engine) -> list[str]:
    texts: list[str] = []
    while True:
        with store.begin() as conn:
            letters = outbox.claim(conn, "talk", MONDAY + timedelta(days=9), 10, timedelta(minutes=1))
            for letter in letters:
                outbox.delivered(conn, letter.id, MONDAY, "1")
        if not letters:
            return texts
        texts += [letter.text for letter in letters]


@pytest.mark.both_engines
def test_a_message_key_counts_once(store: Engine) -> None:
    take(store, line("20 easy"))
    take(store, line("20 easy"))
    assert [entry.minutes for entry in book(store).log] == [20]
    assert len(said(store)) == 1


@pytest.mark.both_engines
def test_a_line_and_its_answer_are_one_transaction(store: Engine) -> None:
    with store.connect() as conn:
        handle_message.take(conn, line("20 easy"), MONDAY)  # and killed before the commit
    assert book(store).log == ()
    assert said(store) == []
    take(store, line("20 easy"))
    assert [entry.minutes for entry in book(store).log] == [20]


def test_an_edited_message_corrects_the_log_it_wrote(store: Engine) -> None:
    take(store, line("20 easy"))
    take(store, line("25 easy", key="k2", edits="k1"))
    assert [entry.minutes for entry in book(store).log] == [25]


def test_an_edited_message_that_takes_the_run_back_takes_it_out_of_the_log(store: Engine) -> None:
    take(store, line("20 easy"))
    take(store, line("no run today", key="k2", edits="k1"))
    assert book(store).log == ()


def test_a_corrected_slip_of_small_talk_is_not_answered(store: Engine) -> None:
    take(store, line("helo"))
    said(store)
    take(store, line("hello", key="k2", edits="k1"))
    assert said(store) == []


def test_a_line_that_waited_is_read_with_its_own_time(store: Engine) -> None:
    take(store, line("20 easy"), now=MONDAY + timedelta(days=2))
    assert [entry.day.isoformat() for entry in book(store).log] == ["2027-01-04"]


def test_a_log_before_the_day_turns_belongs_to_the_evening_before(store: Engine) -> None:
    night = datetime(2027, 1, 5, 1, 30, tzinfo=UTC)
    take(store, line("20 easy", at=night))
    assert [entry.day.isoformat() for entry in book(store).log] == ["2027-01-04"]


def test_whoever_writes_is_reachable_and_no_longer_stopped(store: Engine) -> None:
    take(store, line("stop"))
    assert book(store).runner.stopped
    take(store, line("20 easy", key="k2"))
    assert not book(store).runner.stopped
    assert book(store).runner.last_heard == MONDAY


def test_two_people_in_one_store_never_share_a_book(store: Engine) -> None:
    take(store, replace(line("/start"), user="Jonas", name="Jonas", key="k9"))
    take(store, line("20 easy"))
    with store.begin() as conn:
        jonas = book_repository.find(conn, "talk", "Jonas")
    assert jonas is not None
    assert jonas.log == ()


def test_erasing_takes_two_steps_and_leaves_nothing(store: Engine) -> None:
    take(store, line("20 easy"))
    take(store, line("/erase", key="k2"))
    take(store, line("no", key="k3"))
    assert book(store).log
    take(store, line("/erase", key="k4"))
    take(store, line("erase everything", key="k5"))
    with store.begin() as conn:
        assert book_repository.find(conn, "talk", "Marta") is None
    assert "deleted" in said(store)[-1]


LOGS = [
    ("20 easy", [("2027-01-04", 20, "run")]),
    ("ran 20 yesterday", [("2027-01-03", 20, "run")]),
    ("12 + 13 min", [("2027-01-04", 25, "run")]),
    ("bike 40", [("2027-01-04", 40, "bike")]),
    ("5 km in 34 min", [("2027-01-04", 34, "run")]),
]


@pytest.mark.both_engines
@pytest.mark.parametrize(("text", "log"), LOGS)
def test_a_reply_becomes_a_log_entry(text: str, log: list[tuple[str, int, str]]) -> None:
    found = joined(f"@ 2027-01-04 19:00\n{text}\n@ dump").dump["log"]
    assert [(e["date"], e["minutes"], e["kind"]) for e in found] == log


@pytest.mark.both_engines
def test_undo_takes_the_last_entry_back_and_the_plan_with_it() -> None:
    before = joined("@ 2027-01-04 19:00\n@ dump").dump
    after = joined("@ 2027-01-04 19:00\n20 easy\nundo\n@ dump").dump
    assert after["log"] == []
    assert after["plan"] == before["plan"]


def test_the_same_line_again_is_asked_before_it_counts_twice() -> None:
    asked = joined("@ 2027-01-04 19:00\n20 easy\n@ +5m\n20 easy\n@ dump")
    assert asked.messages[-1]["kind"] == "question"
    assert len(asked.dump["log"]) == 1
    assert len(joined("@ 2027-01-04 19:00\n20 easy\n@ +5m\n20 easy\nsecond run\n@ dump").dump["log"]) == 2
    assert len(joined("@ 2027-01-04 19:00\n20 easy\n@ +5m\n20 easy\nthe same\n@ dump").dump["log"]) == 1


@pytest.mark.both_engines
def test_a_second_run_on_a_day_is_kept_and_asked_about() -> None:
    both = joined("@ 2027-01-04 19:00\n20 easy\n15 more\n@ dump").dump["log"]
    assert [entry["minutes"] for entry in both] == [20, 15]
    one = joined("@ 2027-01-04 19:00\n20 easy\n22 easy\ncorrection\n@ dump").dump["log"]
    assert [entry["minutes"] for entry in one] == [22]


def test_a_run_without_minutes_is_asked_and_the_next_line_is_its_answer() -> None:
    played = joined("@ 2027-01-04 19:00\nwent for a run\n24\n@ dump")
    assert played.messages[-2]["kind"] == "question"
    assert [entry["minutes"] for entry in played.dump["log"]] == [24]


def test_a_question_that_stays_open_lapses_with_the_day() -> None:
    played = joined("@ 2027-01-04 19:00\nwent for a run\n@ 2027-01-05 19:00\nyes\n@ dump")
    assert played.dump["log"] == []


@pytest.mark.both_engines
def test_a_busy_day_moves_the_run_and_says_so() -> None:
    played = joined("@ 2027-01-04 19:00\n20\n@ 2027-01-05 12:00\nbusy tomorrow\n@ dump")
    days = [session["date"] for session in played.dump["plan"]]
    assert "2027-01-06" not in days
    assert "2027-01-07" in days or "2027-01-05" in days
    assert "moves" in played.texts[-1]


@pytest.mark.both_engines
def test_a_stop_silences_everything_until_the_runner_writes() -> None:
    played = joined("@ 2027-01-04 06:00\nstop\n@ +14d\nhello\n@ +1d")
    kinds = [message["kind"] for message in played.messages]
    assert not any(kind.startswith("nudge") for kind in kinds[:2])
    assert kinds[1] == "answer"


def test_help_privacy_and_safety_are_at_hand_in_every_state() -> None:
    for before in ("", "/start\nyes\n", f"{MARTA}\n"):
        played = talk(f"{before}/help\n/privacy\n/safety")
        assert "one line" in played.texts[-3]
        assert "stored" in played.texts[-2]
        assert played.messages[-1]["kind"] == "safety"


def test_a_changed_goal_is_shown_back_and_replans_at_once() -> None:
    played = joined("goal health\n@ dump\nyes\n@ dump")
    assert played.messages[0]["kind"] == "question"
    assert "health" in played.texts[0]


def test_a_changed_zone_asks_for_the_country() -> None:
    played = joined("zone New York\nyes\nUS\n@ dump")
    assert "country" in played.texts[1]
    assert played.dump["zone"] == "America/New_York"


def test_a_stranger_at_a_closed_door_gets_one_polite_line_and_nothing_is_kept(store: Engine) -> None:
    stranger = replace(line("/start", key="k1"), user="Jonas", name="Jonas")
    with store.begin() as conn:
        handle_message.take(conn, stranger, MONDAY, Host(open_door=False))
        assert book_repository.find(conn, "talk", "Jonas") is None
    assert [text for text in said(store) if "by invitation" in text]


def test_a_warning_sign_is_answered_at_a_closed_door_too(store: Engine) -> None:
    stranger = replace(line("crushing chest pain", key="k1"), user="Jonas", name="Jonas")
    with store.begin() as conn:
        handle_message.take(conn, stranger, MONDAY, Host(open_door=False))
    assert "emergency number" in said(store)[-1]


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("i'm pregnant", "Change pregnancy to yes (now no)?"),
        ("i'm on bisoprolol now", "Change heart-rate medicine to yes (now no)?"),
        ("my doctor took me off beta blockers", "Heart-rate medicine is no already."),
        ("I've signed up for a 10k on 2 May", "Event: 10k on Sun 2 May 2027. Shall I keep that?"),
        ("I'm in New York till Sunday", "Change time zone to America/New_York (now Europe/Lisbon)?"),
        ("in Berlin", "Change time zone to Europe/Berlin (now Europe/Lisbon)?"),
        ("zone Lisbon", "Time zone is Europe/Lisbon already."),
    ],
)
def test_a_fact_told_in_a_sentence_is_shown_back_as_a_setting(line: str, shown: str) -> None:
    assert joined(line).texts[-1] == shown


def test_a_name_that_only_sounds_like_a_medicine_sets_nothing() -> None:
    assert "medicine" not in joined("i'm on brandolol now").texts[-1].splitlines()[0]


def test_a_fact_about_somebody_else_changes_nothing() -> None:
    assert "Change" not in joined("my wife is pregnant").texts[-1].splitlines()[0]


def test_the_week_review_follows_the_answer_about_the_weeks_last_run_as_a_part_of_it() -> None:
    played = joined(
        """@ 2027-01-04 19:00
20
@ 2027-01-06 19:00
20
@ 2027-01-09 07:30
move 2027-01-09 to 2027-01-10
@ 2027-01-10 19:45
35 easy
@ 2027-01-11 10:00"""
    )
    sunday = [message for message in played.messages if message["at"].startswith("2027-01-10")]
    assert [message["kind"] for message in sunday] == ["nudge:morning", "nudge:check_in", "answer", "answer"]
    assert sunday[-1]["text"].startswith("The week is done: 75 of 75 min.")
    assert sunday[-1]["reply_to"] == sunday[-2]["reply_to"] is not None
    assert not any(message["kind"] == "nudge:week_review" for message in played.messages)


def test_what_befell_somebody_else_gets_a_kind_word_and_the_number() -> None:
    for line in ("my wife had chest pain last night", "my dad had a heart attack"):
        said = joined(f"{line}\n@ dump")
        assert said.texts[-1].startswith("I hope they are looked after.")
        assert "call 112" in said.texts[-1]
        assert said.dump["standing"] == "training"
    assert "looked after" not in joined("my wife says I run too slowly").texts[-1]


def test_minutes_alone_were_a_walk_where_walks_are_the_sessions() -> None:
    walking = MARTA.replace("yes\nyes\nno\nno", "yes\nyes\nyes\nno", 1)
    lines = "@ 2027-01-04 19:00\n25 done\n@ 2027-01-06 19:00\nran 20\n@ dump"
    log = talk(f"{walking}\n{lines}").dump["log"]
    assert [(entry["minutes"], entry["kind"]) for entry in log] == [(25, "walk"), (20, "run")]


def test_a_medicine_told_later_ends_the_talk_of_heart_rates() -> None:
    asked, said, easy = joined("doctor put me on bisoprolol\nyes\n/easy").texts[-3:]
    assert asked == "Change heart-rate medicine to yes (now no)?"
    assert "Ask whoever prescribed it" in said
    assert "beats a minute" not in easy


@pytest.mark.parametrize(
    "standing",
    ["", "fever since last night", "shin hurts at night and when I press the bone"],
    ids=["to plan", "ill", "held"],
)
@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("remind me at 08:00", "morning reminder: 08:00"),
        ("quiet 22:00-07:00", "quiet: 22:00-07:00"),
        ("zone Tokyo", "time zone: Asia/Tokyo"),
        ("country Spain", "country: Spain"),
        ("birth year 1970", "birth year: 1970"),
        ("resting hr 52", "resting heart rate: 52"),
    ],
)
def test_settings_change_in_every_standing(standing: str, line: str, shown: str) -> None:
    played = joined("\n".join(filter(None, ("@ 2027-01-04 12:00", standing, line, "yes", "/settings"))))
    assert shown in played.texts[-1]
    if standing.startswith("shin"):
        assert "on hold" in joined(f"@ 2027-01-04 12:00\n{standing}\n{line}\nyes\n/week").texts[-1]


@pytest.mark.parametrize("word", ["help", "Privacy", "season?", "progress", "safety", "settings"])
def test_a_command_without_its_slash_is_one_all_the_same(word: str) -> None:
    assert joined(word).texts[-1] == joined(f"/{word.strip('?').casefold()}").texts[-1]


TUESDAY = MONDAY + timedelta(days=1)


@pytest.mark.parametrize(
    ("first", "then", "closed"),
    [
        ("busy tomorrow", "busy thursday", ["2027-01-07"]),
        ("bsuy tomorow morning all day", "busy wednesday", ["2027-01-06"]),
        ("away for 3 days", "away for 1 day", ["2027-01-04"]),
        ("busy wednesday", "hello", []),
    ],
)
def test_an_edit_of_any_line_takes_back_what_its_first_version_did(
    store: Engine, first: str, then: str, closed: list[str]
) -> None:
    take(store, line(first))
    take(store, line(then, key="k2", edits="k1"), now=TUESDAY)
    assert [limit.day.isoformat() for limit in book(store).limits] == closed
    assert said(store)


def test_an_edit_a_day_later_is_read_with_the_day_of_the_first_version(store: Engine) -> None:
    take(store, line("25 easy"))
    take(store, line("28 easy, effort 3", key="k2", edits="k1"), now=TUESDAY)
    assert [(e.day.isoformat(), e.minutes) for e in book(store).log] == [("2027-01-04", 28)]


def test_an_edited_answer_is_an_answer_to_the_same_question(store: Engine) -> None:
    take(store, line("went for a run", key="k0"))
    take(store, line("34"))
    take(store, line("29", key="k2", edits="k1"))
    assert [entry.minutes for entry in book(store).log] == [29]


def test_an_edited_answer_of_the_intake_is_changed_and_the_question_goes_on() -> None:
    engine = in_memory()
    for n, text in enumerate(["/start", "yes", "no", "no"]):
        take(engine, line(text, key=f"k{n}"))
    asked = said(engine)[-1]
    take(engine, line("yes", key="k9", edits="k2"))
    told = book(engine).intake
    assert (told.adult, told.active, told.disease) == (True, True, False)
    assert said(engine)[-1] == asked


def test_an_edit_lifts_no_hold(store: Engine) -> None:
    take(store, line("crushing chest pain, 20 min"))
    take(store, line("20 min", key="k2", edits="k1"))
    assert isinstance(book(store).standing, OnHold)
    assert [entry.minutes for entry in book(store).log] == [20]


def test_somebody_whose_first_message_is_a_picture_is_told_how_to_begin_and_not_to_write_minutes() -> None:
    (first,) = talk("\N{OBJECT REPLACEMENT CHARACTER}").messages
    assert "/start" in first["text"]
    assert "minutes" not in first["text"]
