"""Whole conversations with files: counted once, a sign answered first, nothing kept of what is not taken."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import pytest
from icalendar import Calendar
from sqlalchemy import Engine

from nudgebot.app import calendar
from nudgebot.app.access import Host
from nudgebot.app.handle_message import take
from nudgebot.domain.model.speech import Incoming
from nudgebot.storage import book_repository, outbox
from nudgebot.storage.database import opened
from tests import gpx_files
from tests.talking import MARTA, Played, joined, talk

Send = Callable[..., str]
EVENING = datetime(2027, 1, 5, 19, tzinfo=UTC)  # a Tuesday, two days after Marta joined


@pytest.fixture
def send(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Send:
    """Makes a file of a run that ended just before EVENING; gives the line that sends it."""

    def made(
        minutes: int = 40, heart: int | None = None, kind: str = "running", hours: float = 1.0, under: str = ""
    ) -> str:
        monkeypatch.setattr(gpx_files, "START", EVENING - timedelta(hours=hours))
        path = tmp_path / f"{minutes} {heart} {kind} {hours}.gpx"
        path.write_bytes(gpx_files.run_of(minutes, heart, kind))
        return f'@ file "{path}" {under}'.rstrip()

    return made


@lru_cache(maxsize=1)
def joined_by_evening() -> bytes:
    """The database of Marta, who joined two days ago: played once, since an intake takes longer than all the rest."""
    with opened("sqlite://") as engine:
        talk(f"{MARTA}\n@ 2027-01-05 19:00", engine=engine)
        with engine.connect() as conn:
            content: bytes = conn.connection.driver_connection.serialize()  # type: ignore[union-attr]
            return content


@contextmanager
def marta() -> Iterator[Engine]:
    """A database of her own for a test."""
    with opened("sqlite://") as engine:
        with engine.connect() as conn:
            conn.connection.driver_connection.deserialize(joined_by_evening())  # type: ignore[union-attr]
        yield engine


def after(*lines: str) -> Played:
    """What comes of lines said at EVENING."""
    with marta() as engine:
        return talk([*lines, "@ dump"], at=EVENING, engine=engine)


def runs(played: Played) -> list[tuple[int, str]]:
    return [(entry["minutes"], entry["kind"]) for entry in played.dump["log"]]


def test_a_file_is_counted_and_shown_with_its_picture(send: Send) -> None:
    played = after(send(40, 121))
    (message,) = played.messages
    assert runs(played) == [(40, "run")]
    assert message["text"].startswith("Counted: 40 min run today.")
    assert "40 min, 6.0 km, heart rate 121." in message["text"]
    assert "In your easy range (108 to 127): 40 min." in message["text"]
    assert message["picture"] == {"width": 800, "height": 450}


@pytest.mark.parametrize("typed", ["40 easy", "43 easy, effort 3"])
@pytest.mark.parametrize("first", ["line", "file"])
def test_a_run_told_by_a_line_and_by_a_file_counts_once(send: Send, typed: str, first: str) -> None:
    file = send(40)
    played = after(*((typed, file) if first == "line" else (file, typed)), file)
    minutes = int(typed[:2]) if first == "line" else 40
    assert runs(played) == [(minutes, "run")]
    assert any("are one run" in text for text in played.texts)
    assert "in the log already" in played.texts[-1]


def test_a_second_run_is_a_button_away_and_other_minutes_are_asked_about(send: Send) -> None:
    assert runs(after(send(40), "40 easy", "#1")) == [(40, "run"), (40, "run")]
    asked = after(send(40), "20 easy")
    assert "second run, or a correction" in asked.texts[-1]


def test_a_line_from_before_the_run_began_is_about_another(send: Send) -> None:
    script = "\n".join(["@ 2027-01-05 08:00", "40 easy", "@ 2027-01-05 19:00", send(40), "@ dump"])
    assert runs(joined(script)) == [(40, "run"), (40, "run")]


def test_a_ride_is_no_run_and_what_does_not_say_is_asked(send: Send) -> None:
    assert runs(after(send(40, kind="cycling"))) == [(40, "bike")]
    nothing_yet = after(send(40, kind=""))
    assert runs(nothing_yet) == []
    assert nothing_yet.messages[-1]["buttons"] == ["A run", "A walk", "A bike ride", "Something else"]
    assert runs(after(send(40, kind=""), "#3")) == [(40, "bike")]
    assert runs(after(send(40, kind=""), "it was a walk")) == [(40, "walk")]
    assert runs(after(send(40, kind="", under="bike ride"))) == [(40, "bike")]


def test_what_is_written_under_a_file_counts_too(send: Send) -> None:
    assert "Effort 7 of 10 is more than easy" in after(send(40, under="effort 7")).texts[-1]


def test_a_sign_under_a_file_is_answered_first_and_the_run_is_kept(send: Send) -> None:
    played = after(send(40, under="crushing pain in my chest since the last hill"))
    assert played.messages[0]["kind"] == "safety"
    assert "112" in played.texts[0]
    assert played.dump["standing"] == "hold"
    assert runs(played) == [(40, "run")]
    assert "until a clinician has cleared it" in played.texts[-1]


def test_an_average_that_no_heart_reaches_is_asked_about(send: Send) -> None:
    assert "215" in after(send(40, 215)).texts[-1]
    assert after(send(40, 215)).dump["standing"] == "training"
    assert after(send(40, 215), "yes").dump["standing"] == "hold"


@pytest.mark.parametrize(("hours", "words"), [(0.1, "future"), (24 * 200, "too long ago")])
def test_a_run_of_another_time_is_not_taken(send: Send, hours: float, words: str) -> None:
    played = after(send(40, hours=hours))
    assert words in played.texts[-1]
    assert runs(played) == []


def test_taken_back_it_can_be_sent_again(send: Send) -> None:
    file = send(40)
    assert runs(after(file, "#1")) == []
    assert runs(after(file, "#1", file)) == [(40, "run")]


def test_without_a_plan_the_questions_come_first(send: Send) -> None:
    played = talk(["/start", send(40)], at=EVENING, speaker="Bo")
    assert played.messages[-1]["asks"] == "adult"


BUSY = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//test//EN
BEGIN:VEVENT
UID:1
DTSTAMP:20270101T000000Z
DTSTART;VALUE=DATE:20270109
SUMMARY:moving house
END:VEVENT
END:VCALENDAR
"""


def test_busy_days_are_shown_first_and_planned_around_once_confirmed(tmp_path: Path) -> None:
    path = tmp_path / "work.ics"
    path.write_text(BUSY, encoding="ascii", newline="\r\n")
    shown = after(f"@ file {path}")
    assert "Saturday" in shown.texts[-1]
    assert "moving" not in shown.texts[-1]
    assert any(session["date"] == "2027-01-09" for session in shown.dump["plan"])
    assert all(s["date"] != "2027-01-09" for s in after(f"@ file {path}", "#1").dump["plan"])
    assert any(s["date"] == "2027-01-09" for s in after(f"@ file {path}", "#2").dump["plan"])


@pytest.fixture
def engine() -> Iterator[Engine]:
    with marta() as engine:
        yield engine


def say(engine: Engine, text: str, at: datetime) -> str:
    """Marta's line where the web listener runs; the newest letter."""
    with engine.begin() as conn:
        incoming = Incoming(f"test:{text}:{at}", "talk", "Marta", "Marta", text, at)
        take(conn, incoming, at, Host(feeds="https://bot.example"))
        letters = outbox.claim(conn, "talk", at, 9, timedelta(minutes=1))
        for letter in letters:
            outbox.delivered(conn, letter.id, at, "1")
        return letters[-1].text


def test_a_feed_follows_the_plan_until_it_is_closed(engine: Engine) -> None:
    link = re.search(r"https://bot\.example/calendar/([0-9a-f]{48})\.ics", say(engine, "/calendar link", EVENING))
    assert link
    with engine.begin() as conn:
        content = calendar.feed(conn, link[1], EVENING)
        assert content is not None
        first = {str(e["UID"]): e for e in Calendar.from_ical(content).events}
        assert calendar.feed(conn, link[1][:-1] + "x", EVENING) is None
        assert calendar.feed(conn, "0" * 48, EVENING) is None
        book = book_repository.find(conn, "talk", "Marta")
        assert book is not None
    say(engine, "busy on saturday", EVENING)
    with engine.begin() as conn:
        later = calendar.feed(conn, link[1], EVENING)
        assert later is not None
        second = {str(e["UID"]): e for e in Calendar.from_ical(later).events}
        assert any(each.sequence == 1 for each in second.values())
        assert first.keys() <= second.keys()
    newer = re.search(r"calendar/([0-9a-f]{48})\.ics", say(engine, "/calendar link", EVENING + timedelta(minutes=1)))
    assert newer
    with engine.begin() as conn:
        assert calendar.feed(conn, link[1], EVENING) is None
        assert calendar.feed(conn, newer[1], EVENING) is not None
    say(engine, "/calendar off", EVENING + timedelta(minutes=2))
    with engine.begin() as conn:
        assert calendar.feed(conn, newer[1], EVENING) is None
