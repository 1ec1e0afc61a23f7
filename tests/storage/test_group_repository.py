"""Groups on disk: one at a time, what is shared ends with it, a code is a digest, a chat belongs to one."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import Connection, insert
from sqlalchemy.exc import IntegrityError

from nudgebot.domain.model.rights import Actor
from nudgebot.domain.model.runner import Runner
from nudgebot.domain.model.speech import Say
from nudgebot.domain.overview.group import Share
from nudgebot.storage import book_repository, coach_repository, group_repository, invitation_repository, outbox, schema
from nudgebot.storage.invitation_repository import Knock, Opens
from tests.storage.examples import NOW

pytestmark = pytest.mark.both_engines

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def person(conn: Connection, name: str) -> Runner:
    return book_repository.create(conn, "telegram", name, name, NOW).runner


@pytest.fixture
def group(conn: Connection) -> int:
    return coach_repository.begin(conn, person(conn, "Kim"), NOW, NOW + DAY)


def test_a_coach_has_one_group(conn: Connection, group: int) -> None:
    kim = coach_repository.lead_of(conn, group)
    assert coach_repository.groups_of(conn, kim.id) == (group,)
    assert coach_repository.actor(conn, kim.id, NOW, owner=False) == Actor(coaches=group, leads=True)


def test_a_runner_runs_in_one_group_at_a_time(conn: Connection, group: int) -> None:
    other = coach_repository.begin(conn, person(conn, "Lou"), NOW, NOW)
    ana = person(conn, "Ana")
    group_repository.join(conn, ana.id, group, NOW)
    group_repository.share(conn, ana.id, Share.PULSE, NOW, on=True)
    group_repository.join(conn, ana.id, other, NOW + HOUR)
    assert coach_repository.group_of(conn, ana.id) == other
    assert group_repository.member_ids(conn, group) == ()
    assert group_repository.shares(conn, ana.id) == frozenset()
    row = {"runner_id": ana.id, "group_id": group, "joined_at": NOW, "removed": False}
    with pytest.raises(IntegrityError), conn.begin_nested():
        conn.execute(insert(schema.members).values(row))


def test_a_share_is_there_once_and_goes_when_it_is_taken_back(conn: Connection, group: int) -> None:
    ana = person(conn, "Ana")
    for _ in range(2):
        group_repository.share(conn, ana.id, Share.EFFORT, NOW, on=True)
    assert group_repository.shares(conn, ana.id) == {Share.EFFORT}
    conn.execute(insert(schema.shares).values(runner_id=ana.id, kind="of a later version", at=NOW))
    group_repository.share(conn, ana.id, Share.EFFORT, NOW, on=False)
    assert group_repository.shares(conn, ana.id) == frozenset()


def test_a_code_opens_until_it_is_used_up_expired_or_revoked(conn: Connection, group: int) -> None:
    kim = coach_repository.lead_of(conn, group)
    number = invitation_repository.invite(
        conn, "code", kim.id, Opens.RUNNER, group=group, now=NOW, until=NOW + DAY, uses=2
    )
    for _ in range(2):
        invitation = invitation_repository.invited(conn, "code", NOW)
        assert invitation is not None
        invitation_repository.use(conn, invitation)
    assert invitation_repository.invited(conn, "code", NOW) is None
    invitation_repository.invite(conn, "other", kim.id, Opens.RUNNER, group=group, now=NOW, until=NOW + DAY, uses=2)
    assert invitation_repository.invited(conn, "other", NOW + DAY) is None
    assert invitation_repository.invited(conn, "Other", NOW) is None
    assert not invitation_repository.revoke(conn, number + 1, kim.id + 1)
    assert invitation_repository.revoke(conn, number + 1, kim.id)
    assert invitation_repository.invited(conn, "other", NOW) is None


def test_a_chat_is_one_groups(conn: Connection, group: int) -> None:
    other = coach_repository.begin(conn, person(conn, "Lou"), NOW, NOW)
    group_repository.bind(conn, group, "-100")
    with pytest.raises(IntegrityError), conn.begin_nested():
        group_repository.bind(conn, other, "-100")
    group_repository.bind(conn, group, "")
    group_repository.bind(conn, other, "-100")
    assert group_repository.bound_to(conn, "telegram", "-100") == other
    assert group_repository.bound_to(conn, "talk", "-100") == 0


def test_a_chat_that_moves_takes_its_letters_along(conn: Connection, group: int) -> None:
    group_repository.bind(conn, group, "-5")
    outbox.put(conn, coach_repository.lead_of(conn, group), Say("hello"), key="k", now=NOW, chat="-5")
    group_repository.moved(conn, "telegram", "-5", "-100")
    (letter,) = outbox.claim(conn, "telegram", NOW, 10, HOUR)
    assert letter.chat == "-100"
    assert group_repository.bound_to(conn, "telegram", "-100") == group


@pytest.mark.parametrize("how", ["403", "taken out"])
def test_a_chat_that_shuts_us_out_is_bound_no_more(conn: Connection, group: int, how: str) -> None:
    group_repository.bind(conn, group, "-100")
    kim = coach_repository.lead_of(conn, group)
    if how == "403":
        outbox.put(conn, kim, Say("hello"), key="k", now=NOW, chat="-100")
        (letter,) = outbox.claim(conn, "telegram", NOW, 10, HOUR)
        outbox.refused(conn, letter.id, NOW, "bot was kicked from the supergroup chat")
    else:
        group_repository.shut_out(conn, "telegram", "-100")
    assert group_repository.bound_to(conn, "telegram", "-100") == 0
    assert book_repository.load(conn, kim.id).runner.reachable


def test_knocks_and_dead_invitations_are_forgotten_after_a_day(conn: Connection, group: int) -> None:
    kim = coach_repository.lead_of(conn, group)
    invitation_repository.invite(conn, "code", kim.id, Opens.RUNNER, group=group, now=NOW, until=NOW + HOUR, uses=1)
    invitation_repository.knock(conn, "telegram", "99", Knock.CODE, NOW)
    assert invitation_repository.knocks(conn, "telegram", "99", Knock.CODE, NOW - HOUR) == 1
    assert invitation_repository.knocks(conn, "telegram", "98", Knock.CODE, NOW - HOUR) == 0
    invitation_repository.prune(conn, NOW + DAY + HOUR)
    for table in (schema.knocks, schema.invitations):
        assert conn.execute(table.select()).all() == []
