"""Who may do what to whom: the table is walked by every role, and nothing outside it happens."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nudgebot.app import commands, decide
from nudgebot.app.commands import COMMANDS
from nudgebot.app.request import Command, Menu, OnBook, Topic, Use
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.group.group import (
    BEGIN_A_GROUP,
    COACHES_ONLY,
    IN_PRIVATE,
    IN_THE_GROUP,
    LEAD_ONLY,
    NOTED,
    OWNER_ONLY,
    REVOKED,
    RUNNERS_ONLY,
    group_line,
)
from nudgebot.domain.model.action_codec import decode, encode
from nudgebot.domain.model.actions import Agreed, ChosenValue, Decline, Reply, SetShare, ShowSheet
from nudgebot.domain.model.rights import OWN_IN_PRIVATE, Actor, Where, Who, Whom, may_touch, refusal
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import SAFETY
from nudgebot.domain.overview import chat_lines
from tests.company import (
    ANA,
    BEN,
    CHAT,
    CLEO,
    COACH,
    DAN,
    HOST,
    NAMES,
    NOW,
    OTHER_CHAT,
    OTHER_COACH,
    World,
    world,
)
from tests.test_docs import as_list

REFUSALS = {
    BEGIN_A_GROUP,
    COACHES_ONLY,
    IN_PRIVATE,
    IN_THE_GROUP,
    LEAD_ONLY,
    OWNER_ONLY,
    RUNNERS_ONLY,
    small_talk.BY_INVITATION,
    group_line(chat_lines.FixedLine.COACHES_ONLY),
    group_line(chat_lines.FixedLine.PRIVATE_FIRST),
    group_line(chat_lines.FixedLine.NOT_BOUND),
    group_line(chat_lines.FixedLine.BOUND_ELSEWHERE),
    group_line(chat_lines.FixedLine.BOUND_ELSEWHERE),
}
ROLES = {
    HOST: Actor(owner=True),
    COACH: Actor(coaches=1, leads=True),
    OTHER_COACH: Actor(coaches=2, leads=True),
    ANA: Actor(runs_in=1),
    CLEO: Actor(runs_in=2),
    DAN: Actor(),
}
# Each command that touches others, aimed at Kim's group and at Ana in it.
AIMED = {
    "roster": "/roster",
    "runner": "/runner Ana",
    "note": "/note Ana prefers mornings",
    "set": "/set Ana step 5",
    "tell": "/tell Ana: see you on Sunday",
    "remove": "/remove Ana",
    "invite": "/invite",
    "invitations": "/invitations",
    "revoke": "/revoke 1",
    "close": "/close group",
    "delivered": "/delivered",
    "digest": "/digest sun 18:00",
    "coaches": "/coaches",
    "second_coach": "/second_coach",
    "stand_in": "/stand_in 12 jul to 26 jul",
    "successor": "/successor",
    "dismiss": "/dismiss Kim",
    "bind": "/bind",
    "unbind": "/unbind",
    "overview": "/overview",
    "group": "/group",
    "coach": "/coach",
    "invite_coach": "/invite_coach",
    "hand_over": "/hand_over",
    "retention": "/retention 18 months",
}
TOUCHES_OTHERS = [row for row in COMMANDS if row.right.whom is not Whom.SELF]


def test_the_table_has_one_row_a_command_and_a_word_says_one_of_them() -> None:
    assert len(commands.BY_NAME) == len(COMMANDS)
    assert len(commands.BY_WORD) == sum(len(row.words) for row in COMMANDS)
    assert set(AIMED) == {row.name for row in TOUCHES_OTHERS}
    for row in COMMANDS:
        assert decide.command_in(f"/{row.name}@our_bot  7 ") == decide.Slashed(row, "7")
        assert bool(row.menu) or not row.menus


EVERYTHING = {
    Who.KNOWN: Actor(), Who.RUNNER: Actor(runs_in=1), Who.COACH: Actor(coaches=1), Who.OWNER: Actor(True),
    Who.LEAD: Actor(coaches=1, leads=True),
}  # fmt: skip


@pytest.mark.parametrize("row", COMMANDS, ids=lambda row: row.name)
def test_a_role_that_a_row_does_not_name_is_refused_everywhere(row: Command) -> None:
    for who, actor in EVERYTHING.items():
        mine = {Who.KNOWN, who, *([Who.COACH] if who is Who.LEAD else [])}
        for in_group in (False, True):
            followed = refusal(actor, row.right, in_group=in_group) is None
            there = row.right.where is Where.ANYWHERE or (row.right.where is Where.GROUP_CHAT) is in_group
            assert followed == (there and bool(mine & set(row.right.who))), (who, in_group)


@pytest.mark.parametrize("row", COMMANDS, ids=lambda row: row.name)
def test_a_coach_touches_the_runners_of_their_own_group_and_no_others(row: Command) -> None:
    own = row.right.whom is Whom.OWN_GROUP
    assert may_touch(Actor(coaches=1), row.right, runs_in=1) is own
    assert not may_touch(Actor(coaches=1), row.right, runs_in=2)
    assert not may_touch(Actor(coaches=1), row.right, runs_in=0)
    assert not may_touch(Actor(owner=True, runs_in=1), row.right, runs_in=1)


@pytest.mark.parametrize("row", COMMANDS, ids=lambda row: row.name)
def test_nobody_is_refused_in_silence_in_private(people: World, row: Command) -> None:
    for user in ROLES:
        letters = people.say(user, f"/{row.name}")
        assert [letter for letter in letters if letter.user == user and not letter.chat], NAMES[user]


@pytest.mark.parametrize("chat", ["", CHAT, OTHER_CHAT], ids=["private", "own chat", "other chat"])
@pytest.mark.parametrize("user", list(ROLES), ids=lambda user: NAMES[user])
def test_what_the_table_refuses_changes_nothing_and_shows_nothing(people: World, user: str, chat: str) -> None:
    own = [user, CLEO] if user == OTHER_COACH else [user]
    before = people.rows(without=own)
    for row in TOUCHES_OTHERS:
        refused = refusal(ROLES[user], row.right, in_group=bool(chat)) is not None
        if not refused and user in {COACH, HOST}:
            continue
        # What is not refused changes the writer's own affairs, so it has a world of its own.
        here = people if refused else world()
        letters = here.say(user, AIMED[row.name], chat=chat)
        if refused:
            assert {letter.text for letter in letters} <= REFUSALS, row.name
        # Another group's coach finds nobody of that name, and binds nobody else's chat.
        after = here.rows(without=own)
        own_affairs = {"groups", "invitations"} if not refused else set()
        assert {n: rows for n, rows in after.items() if n not in own_affairs} == {
            n: rows for n, rows in before.items() if n not in own_affairs
        }, row.name
        assert {letter.user for letter in letters} <= set(own), row.name
        shown = [letter.text for letter in letters if "No runner of yours is called Ana" not in letter.text]
        assert not any("Ana" in text for text in shown), row.name


def test_the_own_coach_is_followed_in_each_of_them(people: World) -> None:
    people.say(COACH, "/invite")
    for row in TOUCHES_OTHERS:
        if Who.COACH not in row.right.who or row.name in {"close", "remove"}:
            continue
        chat = CHAT if row.right.where is Where.GROUP_CHAT else ""
        texts = people.texts(COACH, AIMED[row.name], chat=chat)
        assert texts, row.name
        assert not set(texts) & REFUSALS, (row.name, texts)
        if row.name == "unbind":
            people.say(COACH, "/bind", chat=CHAT)


def test_a_pressed_button_has_the_rights_of_who_pressed_it(people: World) -> None:
    # Callback data is what anybody may send: the action in it is asked for its right like a command.
    for action in (
        ShowSheet(),
        Decline("step"),
        Reply("5f0e8a9c1b2d", Agreed(True)),
        Reply("adult", ChosenValue("no")),
    ):
        before = people.rows(without=[CLEO])
        letters = people.say(CLEO, "", action=decode(encode(action)))
        assert people.rows(without=[CLEO]) == before
        assert {letter.user for letter in letters} == {CLEO}
        assert not any("Ana" in letter.text for letter in letters)
    assert people.texts(CLEO, "", action=ShowSheet()) == [COACHES_ONLY]
    assert people.texts(DAN, "", action=SetShare("pause", True)) == [RUNNERS_ONLY]


def test_two_messages_asked_about_in_one_second_are_sent_by_their_own_buttons(people: World) -> None:
    (first,) = people.say(COACH, "/tell all the lake on Friday")
    (second,) = people.say(COACH, "/tell all the hills on Sunday")
    assert [letter.text for letter in people.press(COACH, first.buttons[0])] == [small_talk.NOT_NOW]
    assert "hills" in people.press(COACH, second.buttons[0])[0].text


def test_a_button_pressed_again_sends_a_message_once(people: World) -> None:
    (asked,) = people.say(COACH, "/tell all see you on Sunday")
    send = asked.buttons[0]
    sent = people.press(COACH, send)
    assert sorted(letter.user for letter in sent if letter.user != COACH) == [ANA, BEN]
    again = people.press(COACH, send)
    assert [letter.user for letter in again] == [COACH]
    assert small_talk.NOT_NOW in again[0].text


def test_a_coachs_button_is_dead_in_another_coachs_hand(people: World) -> None:
    (asked,) = people.say(COACH, "/tell all see you on Sunday")
    send = asked.buttons[0]
    assert {letter.user for letter in people.press(OTHER_COACH, send)} == {OTHER_COACH}
    assert {letter.user for letter in people.press(ANA, send)} == {ANA}


def test_who_left_between_the_question_and_the_word_gets_nothing(people: World) -> None:
    people.say(COACH, "/tell all see you on Sunday")
    people.say(BEN, "/leave group")
    assert [letter.user for letter in people.say(COACH, "send") if letter.user != COACH] == [ANA]


HOSTILE = st.one_of(
    st.text(max_size=60),
    st.sampled_from(
        ["9" * 30, "Ana " + "9" * 30, "Ana step ٣", "Ana: " + "x" * 5000, "\u202eanA", "all", ":", ",,,:x", "%", "''"]
    ),
    st.tuples(st.sampled_from(["Ana", "all", "1", "pause"]), st.text(max_size=30)).map(" ".join),
)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from([row.name for row in COMMANDS if row.name not in {"close", "erase"}]), HOSTILE)
def test_nothing_that_follows_a_command_breaks_it(people: World, command: str, rest: str) -> None:
    for user in (COACH, ANA, HOST):
        for letter in people.say(user, f"/{command} {rest}"):
            assert letter.text.strip()


# A new command is one row and one function.


def tides(book: Book, _heard: Heard, rest: str) -> Answer:
    return say(book, f"High water at {rest or 'noon'}.")


def test_a_command_is_added_by_one_row_and_one_function(people: World, monkeypatch: pytest.MonkeyPatch) -> None:
    row = Command(
        "tides", OWN_IN_PRIVATE, OnBook(tides), Topic.OWN, (Use("when to run on the beach", "Faro"),),
        "when to run on the beach", (Menu.PRIVATE,), frozenset({"low tide"}),
    )  # fmt: skip
    monkeypatch.setattr(commands, "COMMANDS", (*COMMANDS, row))
    monkeypatch.setattr(commands, "BY_NAME", {**commands.BY_NAME, "tides": row})
    monkeypatch.setattr(commands, "BY_WORD", {**commands.BY_WORD, "low tide": row})
    assert people.texts(ANA, "/tides Faro") == ["High water at Faro."]
    assert people.texts(ANA, "Low tide?") == ["High water at noon."]
    assert "/tides Faro when to run on the beach" in people.texts(ANA, "/help")[0]
    assert people.texts(ANA, "/tides", chat=CHAT) == [group_line(chat_lines.FixedLine.PRIVATE_FIRST)]
    assert ("tides", "when to run on the beach") in commands.menu([Menu.PRIVATE])
    assert "- `/tides Faro` when to run on the beach (*low tide*)\n" in as_list()


@pytest.mark.parametrize("line", ["/back my chest is tight and my arm is numb", "/week I have crushing chest pain"])
def test_a_sign_behind_a_command_of_ones_own_is_answered_first(people: World, line: str) -> None:
    (letter,) = people.say(ANA, line)
    assert letter.kind == SAFETY
    assert "112" in letter.text


def test_a_sign_that_a_coach_notes_of_somebody_is_not_the_coachs(people: World) -> None:
    assert people.texts(COACH, "/note Ana had chest pain last year") == [NOTED.format(name="Ana")]


def test_help_and_menus_are_those_of_the_role(people: World) -> None:
    shown = {user: people.texts(user, "/help")[0] for user in (ANA, DAN, COACH, HOST)}
    assert "/share" in shown[ANA]
    assert "/share" not in shown[DAN]
    assert "/roster" in shown[COACH]
    assert "/roster" not in shown[ANA] + shown[HOST]
    assert "/hand_over" in shown[HOST]
    with people.engine.begin() as conn:
        special = commands.special_menus(conn, "telegram", HOST, NOW)
    assert {user for user, menus in special.items() if Menu.COACH in menus} == {COACH, OTHER_COACH}
    assert commands.menu(special[COACH])[0][0] == "roster"
    assert {name for name, _ in commands.menu([Menu.ADMINISTRATOR])} == {"help", "bind", "overview", "unbind"}


def test_a_word_of_a_coachs_is_theirs_alone(people: World) -> None:
    assert "2 runners" in people.texts(COACH, "roster")[0]
    assert "2 runners" not in people.texts(ANA, "roster")[0]


def test_no_pressed_twice_by_a_coach_without_a_plan_keeps_the_role(people: World) -> None:
    (asked,) = people.say(COACH, "/start")
    no = next(button for button in asked.buttons if button.label == "No")
    for _ in range(2):
        assert "stays as it is" in people.press(COACH, no)[0].text
    assert "Ana" in people.texts(COACH, "/roster")[0]


def test_an_owner_who_is_no_coach_takes_an_invitation_back(people: World) -> None:
    people.say(HOST, "/invite_coach")
    assert "/revoke" in people.texts(HOST, "/invitations")[0]
    number = people.texts(HOST, "/invitations")[0].partition(":")[0]
    assert people.texts(HOST, f"/revoke {number}") == [REVOKED]
    assert people.texts(HOST, "/roster") == [BEGIN_A_GROUP]
