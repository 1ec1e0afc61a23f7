"""Invitations: whom a code lets in, and what somebody who left or moved is to a group."""

from __future__ import annotations

from datetime import timedelta

import pytest

from nudgebot.app.access import GUESSES
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.group.group import RUNNERS_ONLY, group_line
from nudgebot.domain.overview import chat_lines
from nudgebot.storage import coach_repository
from tests.app.test_rights import REFUSALS
from tests.company import (
    ANA,
    BEN,
    CHAT,
    CLEO,
    COACH,
    DAN,
    EVE,
    HOST,
    OTHER_COACH,
    World,
)


def test_an_invitation_lets_a_stranger_in_once_a_use(people: World) -> None:
    code = people.code(COACH, "/invite 1")
    assert len(code) == 22
    assert people.say(EVE, f"/start {code}")
    assert people.book(EVE) is not None
    assert people.texts("99", f"/start {code}") == [small_talk.BY_INVITATION]
    assert people.book("99") is None


def test_a_code_is_kept_nowhere(people: World) -> None:
    code = people.code(COACH)
    people.deliver()
    assert code not in str(people.rows())


@pytest.mark.parametrize("spoil", ["revoked", "expired", "guessed", "cut", "in a group"])
def test_a_code_that_opens_nothing_keeps_the_door_closed(people: World, spoil: str) -> None:
    code, chat = people.code(COACH), ""
    if spoil == "revoked":
        people.say(COACH, "/revoke 1")
    elif spoil == "expired":
        people.now += timedelta(days=14)
    elif spoil == "guessed":
        code = code[::-1]
    elif spoil == "cut":
        code = code[:-1]
    else:
        chat = CHAT
    letters = people.say(EVE, f"/start {code}", chat=chat)
    assert {letter.text for letter in letters} <= REFUSALS
    assert people.book(EVE) is None


def test_guessing_is_slowed_down_and_even_the_right_code_is_then_not_looked_at(people: World) -> None:
    code = people.code(COACH)
    for _ in range(GUESSES):
        people.say(EVE, f"/start {code[::-1]}")
    people.say(EVE, f"/start {code}")
    assert people.book(EVE) is None
    assert people.say(BEN, "/leave group")
    people.now += timedelta(days=1, seconds=1)
    people.say(EVE, f"/start {code}")
    assert people.book(EVE) is not None


def test_a_stranger_gets_one_polite_line_a_day_and_nothing_else(people: World) -> None:
    assert people.texts(EVE, "/start") == [small_talk.BY_INVITATION]
    assert people.texts(EVE, "42 easy") == []
    assert people.texts(EVE, "crushing chest pain") != []
    people.now += timedelta(days=1, seconds=1)
    assert people.texts(EVE, "hello") == [small_talk.BY_INVITATION]


def test_an_ex_member_does_not_come_back_by_an_old_link(people: World) -> None:
    code = people.code(COACH)
    people.now += timedelta(hours=1)
    people.say(COACH, "/remove Ben")
    people.say(COACH, "yes")
    people.say(BEN, f"/start {code}")
    assert "Ben" not in people.texts(COACH, "/roster")[0]
    people.now += timedelta(hours=1)
    people.say(BEN, f"/start {people.code(COACH)}")
    assert "Ben" in people.texts(COACH, "/roster")[0]


@pytest.mark.parametrize("line", ["/share", "/share pause on", "/leave group", "/decline step"])
def test_an_ex_member_has_no_coach_to_share_with_or_to_leave(people: World, line: str) -> None:
    assert people.texts(DAN, line) == [RUNNERS_ONLY]


def test_an_ex_member_is_seen_and_touched_no_more_and_keeps_the_book(people: World) -> None:
    people.say(DAN, "20 easy")
    for line in ("/runner Dan", "/note Dan x", "/set Dan step 5", "/tell Dan: x", "/remove Dan"):
        letters = people.say(COACH, line)
        assert {letter.user for letter in letters} == {COACH}
        assert "No runner of yours" in letters[0].text
    book = people.book(DAN)
    assert book is not None
    assert [entry.minutes for entry in book.log] == [20]


def test_a_number_of_another_groups_runner_finds_nobody(people: World) -> None:
    (text,) = people.texts(COACH, f"/runner {people.number(CLEO)}")
    assert "No runner of yours" in text


def test_a_coach_invitation_makes_a_coach_and_gives_no_look_at_other_groups(people: World) -> None:
    code = people.code(HOST, "/invite_coach")
    people.say(EVE, f"/start {code}")
    assert "Ana" not in people.texts(EVE, "/roster")[0]
    assert {letter.user for letter in people.say(EVE, "/runner Ana")} == {EVE}


def test_a_runner_moves_to_another_coach_and_what_was_shared_does_not_move_along(people: World) -> None:
    people.say(ANA, "/share complaints on")
    people.say(COACH, "/set Ana step 5")
    code = people.code(OTHER_COACH)
    assert "/leave" in people.texts(ANA, f"/start {code}")[0]
    people.say(ANA, "/leave group")
    book = people.book(ANA)
    assert book is not None
    assert book.profile.coach_step == 10
    people.say(ANA, f"/start {code}")
    assert "Ana" in people.texts(OTHER_COACH, "/roster")[0]
    assert "Ana" not in people.texts(COACH, "/roster")[0]
    assert "complaints: off" in people.texts(ANA, "/share")[0]


def test_a_coach_who_runs_in_another_group_sees_their_own_and_is_seen_in_the_other(people: World) -> None:
    people.say(OTHER_COACH, f"/start {people.code(COACH)}")
    assert "Lou" in people.texts(COACH, "/roster")[0]
    roster = people.texts(OTHER_COACH, "/roster")[0]
    assert "Cleo" in roster
    assert "Ana" not in roster
    for line in ("/runner Ana", "/set Ana step 5", "/note Ana x", "/remove Ana", "/tell Ana: x"):
        assert {letter.user for letter in people.say(OTHER_COACH, line)} == {OTHER_COACH}
    assert people.texts(OTHER_COACH, "/overview", chat=CHAT) == [group_line(chat_lines.FixedLine.BOUND_ELSEWHERE)]
    assert people.say(OTHER_COACH, "/leave group")
    assert "Cleo" in people.texts(OTHER_COACH, "/roster")[0]


def test_nobody_runs_in_two_groups(people: World) -> None:
    code = people.code(OTHER_COACH)
    people.say(ANA, f"/start {code}")
    assert "Ana" not in people.texts(OTHER_COACH, "/roster")[0]
    assert "Ana" in people.texts(COACH, "/roster")[0]


@pytest.mark.parametrize("how", [("/close group",), ("/erase", "erase everything")])
def test_the_links_and_buttons_of_a_coach_who_left_are_dead(people: World, how: tuple[str, ...]) -> None:
    code = people.code(COACH)
    (asked,) = people.say(COACH, "/tell all see you on Sunday")
    for line in how:
        people.say(COACH, line)
    people.open_door = True
    told = people.press(COACH, asked.buttons[0])
    assert {letter.user for letter in told} <= {COACH}
    people.say(EVE, f"/start {code}")
    number = people.number(EVE)
    with people.engine.begin() as conn:
        assert coach_repository.group_of(conn, number) == 0
    assert {letter.text for letter in people.say(COACH, "/overview", chat=CHAT)} <= REFUSALS


def test_a_link_that_was_passed_on_lets_in_no_more_than_it_was_made_for(people: World) -> None:
    code = people.code(COACH, "/invite 2")
    for user in (EVE, "98", "97"):
        people.say(user, f"/start {code}")
    assert people.book(EVE) is not None
    assert people.book("98") is not None
    assert people.book("97") is None
    # The coach is told of everybody who came by it, and can take them out.
    assert people.texts(COACH, "/roster")[0].startswith("Mon 4 Jan, 4 runners")
