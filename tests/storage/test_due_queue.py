"""Who is due, in what order; what is settled is settled once."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import Connection

from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.storage import book_repository, due_queue
from tests.storage.examples import NOW, TODAY, nudged

pytestmark = pytest.mark.both_engines

MINUTE = timedelta(minutes=1)


def runner(conn: Connection, user: str, voice: str = "telegram") -> int:
    return book_repository.create(conn, voice, user, user, NOW).runner.id


def test_those_due_come_oldest_first_and_only_up_to_now(conn: Connection) -> None:
    late, early, exact, future, never = (runner(conn, user) for user in "abcde")
    due_queue.set_next(conn, late, NOW - MINUTE)
    due_queue.set_next(conn, early, NOW - 2 * MINUTE)
    due_queue.set_next(conn, exact, NOW)
    due_queue.set_next(conn, future, NOW + timedelta(microseconds=1))
    assert due_queue.take_due(conn, NOW, 10, "telegram") == [early, late, exact]
    assert due_queue.take_due(conn, NOW, 2, "telegram") == [early, late]
    assert due_queue.is_due(conn, exact, NOW)
    assert not due_queue.is_due(conn, future, NOW)
    assert not due_queue.is_due(conn, never, NOW)


def test_each_voice_has_its_own_round(conn: Connection) -> None:
    talks = runner(conn, "Ana", "talk")
    due_queue.set_next(conn, talks, NOW)
    assert due_queue.take_due(conn, NOW, 10, "telegram") == []
    assert due_queue.next_due(conn, "telegram") is None
    assert due_queue.next_due(conn, "talk") == NOW


def test_a_runner_can_be_left_alone(conn: Connection) -> None:
    one = runner(conn, "a")
    due_queue.set_next(conn, one, NOW)
    due_queue.set_next(conn, one, None)
    assert due_queue.take_due(conn, NOW, 10, "telegram") == []


def test_an_erased_runner_is_due_no_more(conn: Connection) -> None:
    one = runner(conn, "a")
    due_queue.set_next(conn, one, NOW)
    book_repository.erase(conn, one)
    assert not due_queue.is_due(conn, one, NOW)
    assert due_queue.take_due(conn, NOW, 10, "telegram") == []


@pytest.mark.sqlite_only
def test_the_due_are_found_by_index(conn: Connection) -> None:
    given = {"voice": "telegram", "now": NOW, "limit": 200}
    ready = due_queue._DUE.ready_for(conn, given)
    (step,) = conn.exec_driver_sql(f"EXPLAIN QUERY PLAN {ready.text}", ready.parameters(given))
    assert step.detail.startswith("SEARCH runners USING COVERING INDEX ix_runners_due (voice=? AND next_due")


def test_a_nudge_is_settled_once(conn: Connection) -> None:
    one, other = runner(conn, "a"), runner(conn, "b")
    first = nudged(NudgeKind.GAP_WARNING, "evening")
    assert due_queue.settle(conn, one, first)
    assert not due_queue.settle(conn, one, first)
    assert not due_queue.settle(conn, one, replace(first, outcome=Outcome.DROPPED, at=NOW + MINUTE))
    assert due_queue.settle(conn, one, replace(first, slot="morning"))
    assert due_queue.settle(conn, one, replace(first, for_day=TODAY + timedelta(1)))
    assert due_queue.settle(conn, one, replace(first, kind=NudgeKind.MORNING))
    assert due_queue.settle(conn, other, first)
    assert first in book_repository.load(conn, one).nudges


def test_a_nudge_that_did_not_leave_is_dropped_in_the_book(conn: Connection) -> None:
    one = runner(conn, "a")
    sent = nudged(NudgeKind.MORNING)
    held = replace(nudged(NudgeKind.CHECK_IN), outcome=Outcome.HELD_BACK)
    for each in (sent, held):
        due_queue.settle(conn, one, each)
        due_queue.unsettle(conn, one, each.kind, each.for_day, each.slot, why="too late")
    assert book_repository.load(conn, one).nudges == (replace(sent, outcome=Outcome.DROPPED, reason="too late"), held)
