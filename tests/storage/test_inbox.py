"""What came is stored before it is confirmed, acted on once, and forgotten in time."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, select

from nudgebot.storage import inbox, schema
from nudgebot.storage.inbox import Update
from tests.memory import memory
from tests.storage.examples import NOW, SECRET

pytestmark = pytest.mark.both_engines


def has_arrived(conn: Connection, key: str) -> bool:
    """Whether an update of that key is still there."""
    return conn.scalar(select(schema.inbox.c.id).where(schema.inbox.c.key == key)) is not None


def update(key: str) -> Update:
    return Update(key, "telegram", "7", "7", SECRET)


@pytest.mark.sqlite_only
def test_updates_wait_in_the_order_in_which_they_came(conn: Connection) -> None:
    assert inbox.receive(conn, [update("9"), update("10")], NOW) == 2
    assert inbox.receive(conn, [update("2")], NOW) == 1
    assert inbox.waiting(conn, 10) == [update("9"), update("10"), update("2")]
    assert inbox.waiting(conn, 2) == [update("9"), update("10")]


@pytest.mark.sqlite_only
def test_who_sends_a_thousand_lines_makes_nobody_wait_for_them(conn: Connection) -> None:
    flood = [Update(f"f{number}", "telegram", "", "7", SECRET) for number in range(1000)]
    talk = [Update(f"t{user}", "telegram", "-5", str(user), SECRET) for user in range(100, 300)]
    late = Update("late", "telegram", "", "8", SECRET)
    inbox.receive(conn, [*flood, *talk, late], NOW)
    order: list[str] = []
    while waiting := inbox.waiting(conn, 8):
        order += [each.key for each in waiting]
        for each in waiting:
            inbox.done(conn, each.key, NOW)
    assert sorted(order) == sorted(each.key for each in (*flood, *talk, late))
    assert order.index("late") <= 8 * (len(talk) // 7 + 1)  # one place of eight is the flood's, not a thousand
    assert [key for key in order if key[0] == "f"] == [each.key for each in flood]


@settings(max_examples=30)
@given(st.lists(st.sampled_from("abc"), max_size=30), st.integers(1, 5))
def test_each_persons_updates_are_acted_on_in_their_order_whoever_else_writes(who: list[str], at_a_time: int) -> None:
    with memory() as engine, engine.begin() as conn:
        came = [Update(f"{number}", "telegram", user, user, "") for number, user in enumerate(who)]
        inbox.receive(conn, came, NOW)
        order: list[Update] = []
        while waiting := inbox.waiting(conn, at_a_time):
            order += waiting
            for each in waiting:
                inbox.done(conn, each.key, NOW)
    for user in "abc":
        assert [each.key for each in order if each.user == user] == [each.key for each in came if each.user == user]


@pytest.mark.sqlite_only
def test_an_update_that_is_delivered_again_changes_nothing(conn: Connection) -> None:
    inbox.receive(conn, [update("1"), update("2")], NOW)
    inbox.done(conn, "1", NOW)
    assert inbox.receive(conn, [update("1"), update("2"), update("3"), update("3")], NOW) == 1
    assert [waiting.key for waiting in inbox.waiting(conn, 10)] == ["2", "3"]


def test_nothing_received_is_nothing_stored(conn: Connection) -> None:
    assert inbox.receive(conn, [], NOW) == 0


def test_what_was_written_goes_when_it_is_done_and_the_key_stays(conn: Connection) -> None:
    inbox.receive(conn, [update("1")], NOW)
    inbox.done(conn, "1", NOW)
    row = conn.execute(select(schema.inbox)).one()
    assert SECRET not in str(tuple(row))
    assert row.ended_at == NOW
    assert has_arrived(conn, "1")
    assert not has_arrived(conn, "2")


@pytest.mark.sqlite_only
def test_a_bad_update_is_put_aside_and_the_next_one_is_reached(conn: Connection) -> None:
    inbox.receive(conn, [update("1"), update("2")], NOW)
    inbox.dead(conn, "1", "not readable", NOW)
    assert [waiting.key for waiting in inbox.waiting(conn, 10)] == ["2"]
    assert conn.execute(select(schema.inbox.c.state, schema.inbox.c.why)).first() == ("dead", "not readable")


def test_ended_updates_are_kept_for_eight_days_and_waiting_ones_for_ever(conn: Connection) -> None:
    """After a silent week the platform may start its numbers anew, so a key must outlive a week."""
    inbox.receive(conn, [update("done"), update("dead"), update("waiting")], NOW)
    inbox.done(conn, "done", NOW)
    inbox.dead(conn, "dead", "why", NOW)
    inbox.prune(conn, NOW + timedelta(days=8))
    assert has_arrived(conn, "done")
    inbox.prune(conn, NOW + timedelta(days=8, seconds=1))
    assert not has_arrived(conn, "done")
    assert not has_arrived(conn, "dead")
    assert has_arrived(conn, "waiting")


def test_a_line_is_heard_once_whatever_voice_it_came_by(conn: Connection) -> None:
    assert inbox.accept(conn, "talk:1", NOW)
    assert not inbox.accept(conn, "talk:1", NOW + timedelta(days=7))
    assert inbox.accept(conn, "telegram:1", NOW)
    inbox.prune(conn, NOW + timedelta(days=9))
    assert inbox.accept(conn, "talk:1", NOW)


def test_the_guard_keeps_no_word_of_the_key(conn: Connection) -> None:
    inbox.accept(conn, "telegram:7777777:12", NOW)
    assert b"7777777" not in conn.scalars(select(schema.heard.c.digest)).one()
