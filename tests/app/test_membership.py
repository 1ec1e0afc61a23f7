"""Friends of a small host, a new phone, what is asked about first, and the menus of each role."""

from __future__ import annotations

import pytest

from nudgebot.app import commands
from nudgebot.app.commands import COMMANDS
from nudgebot.app.request import Menu
from nudgebot.domain.messages.small_talk import BY_INVITATION
from nudgebot.domain.model.actions import Decline, LeaveGroup
from nudgebot.domain.model.rights import Where, Who
from nudgebot.domain.model.speech import Button
from nudgebot.storage import coach_repository
from tests.company import (
    ANA,
    CLEO,
    COACH,
    DAN,
    EVE,
    HOST,
    NOW,
    OTHER_COACH,
    World,
    comes,
    roster,
)

SECOND = DAN


# Small hosts, and new phones


def test_a_host_who_coaches_nobody_invites_friends_whom_no_coach_sees(people: World) -> None:
    code = people.code(HOST, "/invite 5")
    people.say(EVE, f"/start {code}")
    number = people.number(EVE)
    with people.engine.begin() as conn:
        assert coach_repository.group_of(conn, number) == 0
    assert "Somebody" not in roster(people, COACH)
    assert "no coach sees" in people.texts(EVE, "what does my coach see?")[0]


def test_a_new_phone_is_the_same_person_with_plan_log_and_group_and_the_old_one_opens_nothing(people: World) -> None:
    people.say(ANA, "20 easy")
    code = people.code(ANA, "/new_phone")
    assert "It is you" in people.texts("77", f"/start {code}")[-1]
    moved = people.book("77")
    assert moved is not None
    assert [entry.minutes for entry in moved.log] == [20]
    assert "2 runners" in roster(people, COACH)
    assert people.book(ANA) is None
    assert [letter.user for letter in people.deliver() if "If that was not you" in letter.text] == [ANA]
    assert people.texts("78", f"/start {code}") == [BY_INVITATION]


def test_an_account_with_a_plan_of_its_own_is_not_lost_to_another(people: World) -> None:
    code = people.code(ANA, "/new_phone")
    assert "two plans" in people.texts(CLEO, f"/start {code}")[0]
    assert "Open it from the new one" in people.texts(ANA, f"/start {code}")[0]
    assert people.book(ANA) is not None
    assert people.book(CLEO) is not None


# What cannot be undone is asked about first


def test_nobody_is_taken_out_or_leaves_by_one_line(people: World) -> None:
    (asked,) = people.say(COACH, "/remove an")
    assert "Take Ana out" in asked.text
    assert "2 runners" in roster(people, COACH)
    assert people.texts(COACH, "no") == ["Nobody is taken out."]
    (leaving,) = people.say(ANA, "/leave")
    assert leaving.buttons == (Button("Leave", LeaveGroup()),)
    assert "2 runners" in roster(people, COACH)
    people.press(ANA, leaving.buttons[0])
    assert "1 runner" in roster(people, COACH)


def test_a_yes_takes_out_whom_the_question_named_and_nobody_else(people: World) -> None:
    (first,) = people.say(COACH, "/remove Ana")
    (second,) = people.say(COACH, "/remove Ben")
    people.press(COACH, first.buttons[0])
    assert "2 runners" in roster(people, COACH)
    people.say(COACH, "/remove Ben")
    people.press(OTHER_COACH, second.buttons[0])
    assert "2 runners" in roster(people, COACH)
    people.say(COACH, "yes")
    assert "Ben" not in roster(people, COACH)


def test_an_old_decline_button_does_not_bar_what_was_set_since(people: World) -> None:
    told, _ = people.say(COACH, "/set Ana session 40")
    people.say(COACH, "/set Ana session 50")
    people.press(ANA, told.buttons[1])
    book = people.book(ANA)
    assert book is not None
    assert book.profile.coach_session == 50
    assert isinstance(told.buttons[1].action, Decline)


# Menus by role and place


def test_menus_are_those_of_the_role_and_of_the_place(people: World) -> None:
    comes(people, SECOND, "/second_coach")
    with people.engine.begin() as conn:
        menus = commands.special_menus(conn, "telegram", HOST, NOW)
    assert menus[ANA] == {Menu.PRIVATE, Menu.MEMBER}
    assert menus[COACH] == {Menu.PRIVATE, Menu.COACH, Menu.LEAD}
    assert menus[SECOND] == {Menu.PRIVATE, Menu.COACH}
    assert menus[HOST] == {Menu.PRIVATE, Menu.OWNER}
    assert EVE not in menus
    shown = {who: {name for name, _ in commands.menu(kinds)} for who, kinds in menus.items()}
    assert "share" in shown[ANA]
    assert "share" not in shown[HOST] | {name for name, _ in commands.menu([Menu.PRIVATE])}
    assert {"successor", "stand_in"} <= shown[COACH] - shown[SECOND]
    assert "bind" in {name for name, _ in commands.menu([Menu.ADMINISTRATOR])}
    assert {name for name, _ in commands.menu([Menu.GROUP])} == {"help"}
    for row in COMMANDS:  # a menu shows nobody what they would be refused
        for menu, who in (
            (Menu.MEMBER, Who.RUNNER),
            (Menu.COACH, Who.COACH),
            (Menu.LEAD, Who.LEAD),
            (Menu.OWNER, Who.OWNER),
        ):
            if menu in row.menus:
                assert who in row.right.who
                assert row.right.where is not Where.GROUP_CHAT
        if Menu.PRIVATE in row.menus:
            assert Who.KNOWN in row.right.who


ASKED = [
    "what does my coach see?",
    "What can Kim my coach see of me",
    "does my coach know why I pause?",
    "can the coach read my complaints?",
    "was sieht mein trainer von mir?",
    "que ve mi entrenadora?",
    "qu'est-ce que mon coach voit ?",
    "o que ve o meu treinador?",
]


@pytest.mark.parametrize("line", ASKED)
def test_what_a_coach_sees_is_answered_in_plain_words(people: World, line: str) -> None:
    assert people.texts(ANA, line)[0].startswith("Kim sees your name")


@pytest.mark.parametrize(
    "line",
    ["20 easy with the coach", "my coach saw me limping, my knee hurts 6/10", "tell my coach I am ill", "coach?"],
)
def test_other_lines_about_a_coach_are_no_such_question(people: World, line: str) -> None:
    assert not people.texts(ANA, line)[0].startswith("Kim sees")
