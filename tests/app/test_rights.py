"""Who may do what to whom: the table is walked by every role, and nothing outside it happens."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete

from nudgebot.app import commands, group_chat
from nudgebot.app.access import GUESSES
from nudgebot.app.commands import COMMANDS, Command, Menu, Topic, Use
from nudgebot.app.request import Alone
from nudgebot.channels.telegram.updates import BotName, NotForUs, Unsigned, hear
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.messages import pages
from nudgebot.domain.messages.group import (
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
from nudgebot.storage import group_repository as group_store
from nudgebot.storage import schema
from nudgebot.storage.group_repository import Knock
from tests.company import (
    ANA,
    BEN,
    CHAT,
    CLEO,
    COACH,
    DAN,
    EVE,
    HOST,
    NAMES,
    NOW,
    OTHER_CHAT,
    OTHER_COACH,
    World,
    world,
)

REFUSALS = {
    BEGIN_A_GROUP,
    COACHES_ONLY,
    IN_PRIVATE,
    IN_THE_GROUP,
    LEAD_ONLY,
    OWNER_ONLY,
    RUNNERS_ONLY,
    pages.BY_INVITATION,
    group_line(chat_lines.CoachesOnly()),
    group_line(chat_lines.PrivateFirst()),
    group_line(chat_lines.NotBound()),
    group_line(chat_lines.BoundElsewhere()),
    group_line(chat_lines.BoundElsewhere()),
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


@pytest.fixture
def people() -> Iterator[World]:
    made = world()
    yield made
    made.engine.dispose()


def test_the_table_has_one_row_a_command_and_a_word_says_one_of_them() -> None:
    assert len(commands.BY_NAME) == len(COMMANDS)
    assert len(commands.BY_WORD) == sum(len(row.words) for row in COMMANDS)
    assert set(AIMED) == {row.name for row in TOUCHES_OTHERS}
    for row in COMMANDS:
        assert commands.said(f"/{row.name}@our_bot  7 ") == commands.Slashed(row, "7")
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
    assert [letter.text for letter in people.press(COACH, first.buttons[0])] == [pages.NOT_NOW]
    assert "hills" in people.press(COACH, second.buttons[0])[0].text


def test_a_button_pressed_again_sends_a_message_once(people: World) -> None:
    (asked,) = people.say(COACH, "/tell all see you on Sunday")
    send = asked.buttons[0]
    sent = people.press(COACH, send)
    assert sorted(letter.user for letter in sent if letter.user != COACH) == [ANA, BEN]
    again = people.press(COACH, send)
    assert [letter.user for letter in again] == [COACH]
    assert pages.NOT_NOW in again[0].text


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


# Links


def test_an_invitation_lets_a_stranger_in_once_a_use(people: World) -> None:
    code = people.code(COACH, "/invite 1")
    assert len(code) == 22
    assert people.say(EVE, f"/start {code}")
    assert people.book(EVE) is not None
    assert people.texts("99", f"/start {code}") == [pages.BY_INVITATION]
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
    assert people.texts(EVE, "/start") == [pages.BY_INVITATION]
    assert people.texts(EVE, "42 easy") == []
    assert people.texts(EVE, "crushing chest pain") != []
    people.now += timedelta(days=1, seconds=1)
    assert people.texts(EVE, "hello") == [pages.BY_INVITATION]


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
    assert people.texts(OTHER_COACH, "/overview", chat=CHAT) == [group_line(chat_lines.BoundElsewhere())]
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
        assert group_store.group_of(conn, number) == 0
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


def test_a_chat_that_was_renamed_or_moved_stays_the_groups(people: World) -> None:
    from nudgebot.storage import group_repository

    # A new title changes no number; a supergroup has another one, and the binding follows.
    assert people.texts(COACH, "/overview", chat=CHAT)
    with people.engine.begin() as conn:
        group_repository.moved(conn, "telegram", CHAT, "-300")
    assert people.texts(COACH, "/overview", chat="-300")[0] not in REFUSALS
    assert people.texts(COACH, "/overview", chat=CHAT)[0] in REFUSALS


def unsigned(text: str, sender_chat: int = -100) -> dict[str, object]:
    """Telegram Bot API: with sender_chat set, `from` is a stand-in for compatibility, not the person."""
    said = {
        "message_id": 5,
        "date": 1_800_000_000,
        "from": {"id": int(COACH), "is_bot": False, "first_name": "Kim"},
        "sender_chat": {"id": sender_chat, "type": "supergroup"},
        "chat": {"id": -100, "type": "supergroup"},
        "text": text,
    }
    return {"update_id": 1, "message": said}


@pytest.mark.parametrize("text", ["/unbind", "/overview", "/claim x", "42 easy", "/remove Ana", "hello", "undo"])
def test_an_anonymous_administrator_is_nobody(people: World, text: str) -> None:
    heard = hear(unsigned(text), BotName(99, "our_bot"), NOW)
    assert isinstance(heard, Unsigned)
    assert (heard.incoming.user, heard.incoming.name) == ("", "")
    before = people.rows()
    with people.engine.begin() as conn:
        group_chat.unsigned(conn, heard.incoming, NOW)
    assert people.rows() == before
    assert people.deliver() == []


def test_a_warning_sign_is_answered_whoever_hides_behind_the_chat(people: World) -> None:
    for text, line in (
        ("crushing chest pain and my arm is numb", chat_lines.StopAndCall("", "en", other=False, written=False)),
        ("my calf is swollen, warm and red since the flight", chat_lines.NotReached(grave=True)),
    ):
        heard = hear(unsigned(text), BotName(99, "our_bot"), NOW)
        assert isinstance(heard, Unsigned)
        with people.engine.begin() as conn:
            group_chat.unsigned(conn, heard.incoming, NOW)
            group_chat.unsigned(conn, heard.incoming, NOW)
        (letter,) = people.deliver()
        assert (letter.chat, letter.text, letter.kind) == (CHAT, group_line(line), SAFETY)
        people.say(COACH, "/overview", chat=CHAT)
        people.deliver()
        with people.engine.begin() as conn:
            conn.execute(delete(schema.outbox))


def test_what_is_forwarded_or_said_by_a_channel_or_a_bot_is_nobodys_line() -> None:
    bot = BotName(99, "our_bot")
    forwarded = unsigned("chest pain")
    forwarded["message"] = {**forwarded["message"], "forward_origin": {"type": "channel"}}  # type: ignore[dict-item]
    channel = {"message_id": 5, "date": 1, "chat": {"id": -9, "type": "channel"}, "text": "chest pain"}
    robot = {"message_id": 5, "date": 1, "chat": {"id": -100, "type": "supergroup"}, "text": "chest pain"}
    robot["from"] = {"id": 77, "is_bot": True, "first_name": "Other"}
    for raw in (forwarded, {"update_id": 2, "message": channel}, {"update_id": 3, "message": robot}):
        assert isinstance(hear(raw, bot, NOW), NotForUs)
    assert isinstance(hear({"update_id": 4, "channel_post": channel}, bot, NOW), NotForUs)


def test_an_edited_line_is_searched_for_signs_like_a_new_one(people: World) -> None:
    people.say(ANA, "lovely evening", chat=CHAT, addressed=False, key="tg:-100:6")
    letters = people.say(ANA, "chest pain", chat=CHAT, addressed=False, key="tg:-100:6:9", edits="tg:-100:6")
    assert [letter.kind for letter in letters] == [SAFETY, SAFETY]
    assert [letter.chat for letter in letters] == [CHAT, ""]


def test_who_is_known_by_a_name_alone_is_not_the_owner(people: World) -> None:
    letters = people.say(ANA, "/coach")
    assert [letter.text for letter in letters] == [OWNER_ONLY]
    with people.engine.begin() as conn:
        from nudgebot.storage import group_repository

        assert group_repository.knocks(conn, "telegram", ANA, Knock.CODE, NOW - timedelta(days=1)) == 0


# A new command is one row and one function.


def tides(book: Book, _heard: Heard, rest: str) -> Answer:
    return say(book, f"High water at {rest or 'noon'}.")


def test_a_command_is_added_by_one_row_and_one_function(people: World, monkeypatch: pytest.MonkeyPatch) -> None:
    row = Command(
        "tides", OWN_IN_PRIVATE, Alone(tides), Topic.OWN, (Use("when to run on the beach", "Faro"),),
        "when to run on the beach", (Menu.PRIVATE,), frozenset({"low tide"}),
    )  # fmt: skip
    monkeypatch.setattr(commands, "COMMANDS", (*COMMANDS, row))
    monkeypatch.setattr(commands, "BY_NAME", {**commands.BY_NAME, "tides": row})
    monkeypatch.setattr(commands, "BY_WORD", {**commands.BY_WORD, "low tide": row})
    assert people.texts(ANA, "/tides Faro") == ["High water at Faro."]
    assert people.texts(ANA, "Low tide?") == ["High water at noon."]
    assert "/tides Faro when to run on the beach" in people.texts(ANA, "/help")[0]
    assert people.texts(ANA, "/tides", chat=CHAT) == [group_line(chat_lines.PrivateFirst())]
    assert ("tides", "when to run on the beach") in commands.menu([Menu.PRIVATE])
    assert "`/tides Faro` when to run on the beach | everybody | in private | low tide |" in commands.as_table()


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
        assert "group stays" in people.press(COACH, no)[0].text
    assert "Ana" in people.texts(COACH, "/roster")[0]


def test_an_owner_who_is_no_coach_takes_an_invitation_back(people: World) -> None:
    people.say(HOST, "/invite_coach")
    assert "/revoke" in people.texts(HOST, "/invitations")[0]
    number = people.texts(HOST, "/invitations")[0].partition(":")[0]
    assert people.texts(HOST, f"/revoke {number}") == [REVOKED]
    assert people.texts(HOST, "/roster") == [BEGIN_A_GROUP]
