"""What is said unasked: once, in time, to the right person, whatever else goes wrong."""

from __future__ import annotations

import logging
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from threading import Thread

import pytest
from sqlalchemy import Connection, Engine, select

from nudgebot.app import scheduler
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.runner import Book, Training
from nudgebot.domain.model.speech import Say
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.storage import book_repository, due_queue, inbox, outbox, schema
from nudgebot.storage.database import open_database, reading
from tests.memory import in_memory

pytestmark = pytest.mark.both_engines

JOINED = datetime(2027, 1, 3, 12, tzinfo=UTC)  # a Sunday, in winter, so that London's clock is UTC
MONDAY = date(2027, 1, 4)
SEVEN = datetime(2027, 1, 4, 7, tzinfo=UTC)
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
ANSWERS = {
    "adult": "yes",
    "active": "yes",
    "goal": "health",
    "weekly": "90",
    "longest": "40",
    "days": "mon 60, wed 60, sat 90",
    "long_day": "sat",
    "zone": "Europe/London",
}


@pytest.fixture
def engine() -> Iterator[Engine]:
    engine = in_memory()
    yield engine
    engine.dispose()


def join(conn: Connection, user: str, voice: str = "talk") -> Book:
    """A runner in training whose first week has a session on Monday, looked at again when something is due."""
    blank = book_repository.create(conn, voice, user, user, JOINED)
    book = replace(
        blank,
        intake=intake_codec.from_rows(ANSWERS),
        profile=intake.profile(intake_codec.from_rows(ANSWERS)),
        standing=Training(),
    )
    book = planner.begin(book, MONDAY, now_closed=False)
    book_repository.save(conn, blank, book)
    due_queue.set_next(conn, book.runner.id, nudges.next_look(book, JOINED))
    return book


def letters(engine: Engine) -> list[tuple[str, str]]:
    with reading(engine) as conn:
        return [tuple(row) for row in conn.execute(select(schema.outbox.c.user, schema.outbox.c.kind).order_by("id"))]


def until(engine: Engine, end: datetime, voice: str = "talk") -> list[datetime]:
    """Jumps from due to due up to `end`, as the terminal's clock does; the instants at which it stopped."""
    stops: list[datetime] = []
    while (at := scheduler.next_due(engine, voice)) is not None and at <= end:
        assert scheduler.tick(engine, at, voice) >= 1
        stops.append(at)
        assert len(stops) < 500
    return stops


def test_the_morning_reminder_is_put_in_the_box_at_its_time_and_once(engine: Engine) -> None:
    with engine.begin() as conn:
        book = join(conn, "Ana")
        assert book.session_on(MONDAY) is not None
    until(engine, SEVEN - MINUTE)
    assert letters(engine) == []
    assert until(engine, SEVEN) == [SEVEN]
    assert letters(engine) == [("Ana", "nudge:morning")]
    assert scheduler.tick(engine, SEVEN, "talk") == 0
    assert scheduler.tick(engine, SEVEN + MINUTE, "talk") == 0
    assert letters(engine) == [("Ana", "nudge:morning")]
    with engine.begin() as conn:
        (letter,) = outbox.claim(conn, "talk", SEVEN, 10, MINUTE)
        assert letter.stale_at == SEVEN + 3 * HOUR
        assert (letter.nudge_kind, letter.for_day, letter.runner_id) == (NudgeKind.MORNING, MONDAY, book.runner.id)
        (settled,) = book_repository.load(conn, book.runner.id).nudges
        assert (settled.kind, settled.outcome, settled.at) == (NudgeKind.MORNING, Outcome.SENT, SEVEN)


def test_another_voice_makes_its_own_round(engine: Engine) -> None:
    with engine.begin() as conn:
        join(conn, "Ana", "telegram")
    assert scheduler.tick(engine, SEVEN, "talk") == 0
    assert scheduler.next_due(engine, "talk") is None
    assert letters(engine) == []
    until(engine, SEVEN, "telegram")
    assert letters(engine) == [("Ana", "nudge:morning")]


def test_a_round_takes_no_more_than_its_limit_and_says_so(engine: Engine) -> None:
    with engine.begin() as conn:
        for name in ("Ana", "Ben", "Cleo"):
            due_queue.set_next(conn, join(conn, name).runner.id, SEVEN)
    assert scheduler.tick(engine, SEVEN, "talk", limit=2) == 2
    assert scheduler.tick(engine, SEVEN, "talk", limit=2) == 1
    assert scheduler.tick(engine, SEVEN, "talk", limit=2) == 0
    assert sorted(letters(engine)) == [(name, "nudge:morning") for name in ("Ana", "Ben", "Cleo")]


@pytest.mark.sqlite_only
def test_a_book_that_fails_is_logged_by_number_and_the_others_are_served(
    engine: Engine, caplog: pytest.LogCaptureFixture
) -> None:
    with engine.begin() as conn:
        broken = join(conn, "Ana")
        conn.exec_driver_sql(f"UPDATE runners SET joined_at = 'secret words' WHERE id = {broken.runner.id}")
        due_queue.set_next(conn, broken.runner.id, SEVEN - MINUTE)
        due_queue.set_next(conn, join(conn, "Ben").runner.id, SEVEN)
    with caplog.at_level(logging.WARNING):
        assert scheduler.tick(engine, SEVEN, "talk") == 2
    assert letters(engine) == [("Ben", "nudge:morning")]
    (line,) = caplog.messages
    assert line.startswith(f"runner {broken.runner.id}: TypeError in ")
    assert "secret words" not in caplog.text
    assert scheduler.tick(engine, SEVEN + MINUTE, "talk") == 0
    assert scheduler.tick(engine, SEVEN + 15 * MINUTE, "talk") == 1


def test_after_a_long_stop_nobody_gets_more_than_one_nudge(engine: Engine) -> None:
    """ "After an outage nobody gets more than one nudge." """
    with engine.begin() as conn:
        join(conn, "Ana")
    assert scheduler.tick(engine, SEVEN + 2 * DAY + HOUR, "talk") == 1
    assert len(letters(engine)) <= 1


def test_a_run_logged_a_second_ago_stops_the_reminder_that_was_about_to_leave(engine: Engine) -> None:
    """ "A nudge is checked against the state at the moment of sending, not of planning." """
    with engine.begin() as conn:
        before = join(conn, "Ana")
    until(engine, SEVEN)
    with engine.begin() as conn:
        (letter,) = outbox.claim(conn, "talk", SEVEN, 10, MINUTE)
        assert scheduler.withdrawn(conn, letter, SEVEN) is None
        book = book_repository.load(conn, before.runner.id)
        ran = LogEntry("m1", MONDAY, 30, noted_at=SEVEN)
        book_repository.save(conn, book, planner.roll(replace(book, log=(ran,)), MONDAY))
        assert scheduler.withdrawn(conn, letter, SEVEN)
        outbox.not_sent(conn, letter.id, SEVEN, "already run")
        assert book_repository.load(conn, before.runner.id).nudges[0].outcome is Outcome.DROPPED


def test_the_log_names_runner_kind_day_outcome_and_reason_of_each_nudge(
    engine: Engine, caplog: pytest.LogCaptureFixture
) -> None:
    with engine.begin() as conn:
        number = join(conn, "Ana").runner.id
    with caplog.at_level(logging.INFO):
        until(engine, SEVEN)
        scheduler.tick(engine, SEVEN + DAY, "talk")
    lines = [record.getMessage() for record in caplog.records]
    assert f"runner {number} nudge:morning for {MONDAY}: sent, due" in lines
    assert not any("Ana" in line for line in lines)


def test_an_answer_always_leaves_and_a_nudge_to_an_erased_person_never(engine: Engine) -> None:
    with engine.begin() as conn:
        book = join(conn, "Ana")
    until(engine, SEVEN)
    with engine.begin() as conn:
        (nudge,) = outbox.claim(conn, "talk", SEVEN, 10, MINUTE)
        outbox.put(conn, replace(book.runner, id=0, user="Ben"), Say("gone"), key="a", now=SEVEN)
        (answer,) = outbox.claim(conn, "talk", SEVEN, 10, MINUTE)
        assert scheduler.withdrawn(conn, answer, SEVEN) is None
        assert scheduler.withdrawn(conn, replace(nudge, runner_id=None), SEVEN)
        book_repository.erase(conn, book.runner.id)
        assert scheduler.withdrawn(conn, nudge, SEVEN)
        outbox.not_sent(conn, nudge.id, SEVEN, "no longer true")
    assert scheduler.tick(engine, SEVEN + DAY, "talk") == 0


def test_a_month_of_silence_is_walked_through_from_due_to_due(engine: Engine) -> None:
    """Restraint: at most 2 nudges a day and 8 a week; after the second word of silence nothing more."""
    with engine.begin() as conn:
        book = join(conn, "Ana")
    stops = until(engine, SEVEN + 40 * DAY)
    assert stops == sorted(set(stops))
    assert scheduler.next_due(engine, "talk") is None
    with reading(engine) as conn:
        sent = [n for n in book_repository.load(conn, book.runner.id).nudges if n.outcome is Outcome.SENT]
        put_at = conn.scalars(select(schema.outbox.c.put_at).order_by(schema.outbox.c.id)).all()
    assert [n.at for n in sent] == put_at
    assert [n.kind for n in sent][-1] is NudgeKind.SILENCE
    for n in sent:
        assert sum(other.at.date() == n.at.date() for other in sent) <= 2
        assert sum(n.at - 7 * DAY < other.at <= n.at for other in sent) <= 8
    keys = [(n.kind, n.for_day, n.slot) for n in sent]
    assert len(keys) == len(set(keys))


def test_two_rounds_at_once_say_everything_once(tmp_path: Path) -> None:
    engine = open_database(f"sqlite:///{tmp_path / 'n.db'}")
    names = [f"runner {n}" for n in range(12)]
    with engine.begin() as conn:
        for name in names:
            due_queue.set_next(conn, join(conn, name).runner.id, SEVEN)
    both = [Thread(target=scheduler.tick, args=(engine, SEVEN, "talk", 30)) for _ in range(2)]
    for thread in both:
        thread.start()
    for thread in both:
        thread.join()
    assert sorted(letters(engine)) == sorted((name, "nudge:morning") for name in names)
    engine.dispose()


@pytest.mark.sqlite_only
def test_a_round_that_was_killed_is_made_again_and_says_nothing_twice(tmp_path: Path) -> None:
    path = tmp_path / "n.db"
    engine = open_database(f"sqlite:///{path}")
    names = [f"runner {n}" for n in range(30)]
    with engine.begin() as conn:
        for name in names:
            due_queue.set_next(conn, join(conn, name).runner.id, SEVEN)
    code = (
        "import sys\n"
        "from tests.app.test_scheduler import SEVEN, open_database, scheduler\n"
        "engine = open_database(sys.argv[1])\n"
        "while scheduler.tick(engine, SEVEN, 'talk', limit=1):\n"
        "    print('one', flush=True)\n"
    )
    command = [sys.executable, "-c", code, f"sqlite:///{path}"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2]) as round_:
        assert round_.stdout is not None
        for _ in range(5):
            assert round_.stdout.readline() == "one\n"
        round_.kill()
    assert 5 <= len(letters(engine)) < 30
    while scheduler.tick(engine, SEVEN, "talk"):
        pass
    assert sorted(letters(engine)) == sorted((name, "nudge:morning") for name in names)
    engine.dispose()


def test_a_sweep_removes_what_ended_and_keeps_what_waits(engine: Engine) -> None:
    with engine.begin() as conn:
        inbox.receive(conn, [inbox.Update(key, "talk", "", "Ana", "text") for key in ("done", "waiting")], SEVEN)
        inbox.done(conn, "done", SEVEN)
    scheduler.sweep(engine, SEVEN + 9 * DAY)
    with engine.begin() as conn:
        assert [each.key for each in inbox.waiting(conn, 10)] == ["waiting"]
        assert conn.scalars(select(schema.inbox.c.key)).all() == ["waiting"]
