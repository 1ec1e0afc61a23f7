"""Groups on disk: one at a time, what is shared ends with it, a code is a digest, a chat belongs to one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from sqlalchemy import Connection, insert
from sqlalchemy.exc import IntegrityError

from nudgebot.store import books, groups, outbox, tables
from nudgebot.store.database import open_database
from nudgebot.store.groups import Knock
from nudgebot.training.group import Share
from nudgebot.training.rights import Actor
from nudgebot.training.runner import Runner
from nudgebot.training.speech import Say
from tests.store.examples import NOW

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def conn() -> Iterator[Connection]:
    engine = open_database("sqlite://")
    with engine.begin() as conn:
        yield conn
    engine.dispose()


def person(conn: Connection, name: str) -> Runner:
    return books.create(conn, "telegram", name, name, NOW).runner


@pytest.fixture
def group(conn: Connection) -> int:
    return groups.found(conn, person(conn, "Kim"), NOW, NOW + DAY)


def test_a_coach_has_one_group(conn: Connection, group: int) -> None:
    kim = groups.coach_of(conn, group)
    assert groups.found(conn, kim, NOW, NOW) == group
    assert groups.actor(conn, kim.id, owner=False) == Actor(coaches=group)


def test_a_runner_runs_in_one_group_at_a_time(conn: Connection, group: int) -> None:
    other = groups.found(conn, person(conn, "Lou"), NOW, NOW)
    ana = person(conn, "Ana")
    groups.join(conn, ana.id, group, NOW)
    groups.share(conn, ana.id, Share.PULSE, on=True)
    groups.join(conn, ana.id, other, NOW + HOUR)
    assert groups.group_of(conn, ana.id) == other
    assert groups.member_ids(conn, group) == ()
    assert groups.shares(conn, ana.id) == frozenset()
    row = {"runner_id": ana.id, "group_id": group, "joined_at": NOW, "removed": False}
    with pytest.raises(IntegrityError), conn.begin_nested():
        conn.execute(insert(tables.members).values(row))


def test_a_share_is_there_once_and_goes_when_it_is_taken_back(conn: Connection, group: int) -> None:
    ana = person(conn, "Ana")
    for _ in range(2):
        groups.share(conn, ana.id, Share.EFFORT, on=True)
    assert groups.shares(conn, ana.id) == {Share.EFFORT}
    conn.execute(insert(tables.shares).values(runner_id=ana.id, kind="of a later version"))
    groups.share(conn, ana.id, Share.EFFORT, on=False)
    assert groups.shares(conn, ana.id) == frozenset()


def test_a_code_opens_until_it_is_used_up_expired_or_revoked(conn: Connection, group: int) -> None:
    kim = groups.coach_of(conn, group)
    number = groups.invite(conn, "code", kim.id, group, now=NOW, until=NOW + DAY, uses=2)
    for _ in range(2):
        invitation = groups.invited(conn, "code", NOW)
        assert invitation is not None
        groups.use(conn, invitation)
    assert groups.invited(conn, "code", NOW) is None
    groups.invite(conn, "other", kim.id, group, now=NOW, until=NOW + DAY, uses=2)
    assert groups.invited(conn, "other", NOW + DAY) is None
    assert groups.invited(conn, "Other", NOW) is None
    assert not groups.revoke(conn, number + 1, kim.id + 1)
    assert groups.revoke(conn, number + 1, kim.id)
    assert groups.invited(conn, "other", NOW) is None


def test_a_chat_is_one_groups(conn: Connection, group: int) -> None:
    other = groups.found(conn, person(conn, "Lou"), NOW, NOW)
    groups.bind(conn, group, "-100")
    with pytest.raises(IntegrityError), conn.begin_nested():
        groups.bind(conn, other, "-100")
    groups.bind(conn, group, "")
    groups.bind(conn, other, "-100")
    assert groups.bound_to(conn, "telegram", "-100") == other
    assert groups.bound_to(conn, "talk", "-100") == 0


def test_a_chat_that_moves_takes_its_letters_along(conn: Connection, group: int) -> None:
    groups.bind(conn, group, "-5")
    outbox.put(conn, groups.coach_of(conn, group), Say("hello"), key="k", now=NOW, chat="-5")
    groups.moved(conn, "telegram", "-5", "-100")
    (letter,) = outbox.claim(conn, "telegram", NOW, 10, HOUR)
    assert letter.chat == "-100"
    assert groups.bound_to(conn, "telegram", "-100") == group


@pytest.mark.parametrize("how", ["403", "taken out"])
def test_a_chat_that_shuts_us_out_is_bound_no_more(conn: Connection, group: int, how: str) -> None:
    groups.bind(conn, group, "-100")
    kim = groups.coach_of(conn, group)
    if how == "403":
        outbox.put(conn, kim, Say("hello"), key="k", now=NOW, chat="-100")
        (letter,) = outbox.claim(conn, "telegram", NOW, 10, HOUR)
        outbox.refused(conn, letter.id, NOW, "bot was kicked from the supergroup chat")
    else:
        groups.shut_out(conn, "telegram", "-100")
    assert groups.bound_to(conn, "telegram", "-100") == 0
    assert books.load(conn, kim.id).runner.reachable


def test_knocks_and_dead_invitations_are_forgotten_after_a_day(conn: Connection, group: int) -> None:
    kim = groups.coach_of(conn, group)
    groups.invite(conn, "code", kim.id, group, now=NOW, until=NOW + HOUR, uses=1)
    groups.knock(conn, "telegram", "99", Knock.CODE, NOW)
    assert groups.knocks(conn, "telegram", "99", Knock.CODE, NOW - HOUR) == 1
    assert groups.knocks(conn, "telegram", "98", Knock.CODE, NOW - HOUR) == 0
    groups.prune(conn, NOW + DAY + HOUR)
    for table in (tables.knocks, tables.invitations):
        assert conn.execute(table.select()).all() == []
