"""Telegram updates as they arrive, and what they mean to us."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import pytest
import telegram
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.channels.telegram.keyboard import ButtonRef
from nudgebot.channels.telegram.updates import (
    KINDS,
    NOT_TEXT,
    BotName,
    ChatMoved,
    NotForUs,
    Press,
    Reach,
    ShutOut,
    TextLine,
    Unreadable,
    callback_id,
    hear,
    said_in,
)
from nudgebot.domain.dialogue import answer as answer_module
from nudgebot.domain.model.action_codec import encode
from nudgebot.domain.model.actions import ChosenMinutes, Reply, Undo
from nudgebot.domain.model.speech import Incoming

BOT = BotName(99, "NudgeBot")
DATE = 1_800_000_000  # 2027-01-15 08:00 UTC
AT = datetime.fromtimestamp(DATE, UTC)
NOW = datetime(2027, 1, 15, 8, 0, 30, tzinfo=UTC)
ANA = {"id": 7, "is_bot": False, "first_name": "Ana"}
ALONE = {"id": 7, "type": "private", "first_name": "Ana"}
GROUP = {"id": -100, "type": "supergroup", "title": "Sunday runners"}


def wrote(text: str | None = None, **more: Any) -> dict[str, Any]:
    said = {"message_id": 5, "date": DATE, "from": ANA, "chat": ALONE} | ({"text": text} if text else {}) | more
    return {"update_id": 1, "message": said}


def line(raw: Mapping[str, Any]) -> Incoming:
    heard = hear(raw, BOT, NOW)
    assert isinstance(heard, TextLine), heard
    return heard.incoming


def text_of(raw: Mapping[str, Any]) -> str | None:
    heard = hear(raw, BOT, NOW)
    return heard.incoming.text if isinstance(heard, TextLine) else None


def test_a_private_line_keeps_what_the_conversation_needs_and_nothing_else() -> None:
    assert line(wrote("42 min easy")) == Incoming(
        key="tg:7:5",
        voice="telegram",
        user="7",
        name="Ana",
        text="42 min easy",
        at=AT,
        door="https://t.me/NudgeBot?start=",
    )


PHOTO = [{"file_id": "a", "file_unique_id": "b", "width": 1, "height": 1}]
VOICE = {"file_id": "a", "file_unique_id": "b", "duration": 3}
ORIGIN = {"type": "hidden_user", "date": DATE, "sender_user_name": "Bea"}
PLACE = {"latitude": 38.7223, "longitude": -9.1393}


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (wrote("/start"), "/start"),
        (wrote("/start summer-group"), "/start summer-group"),
        (wrote("/week@NudgeBot"), "/week"),
        (wrote("/week@nudgebot now"), "/week now"),
        (wrote("/week@OtherBot"), None),
        (wrote("two\nlines"), "two\nlines"),
        (wrote(photo=PHOTO, caption="42 min easy"), "42 min easy"),
        (wrote(photo=PHOTO), NOT_TEXT),
        (wrote(voice=VOICE), NOT_TEXT),
        (wrote(poll={"id": "1"}), NOT_TEXT),
        (wrote("ran 40 min", forward_origin=ORIGIN), NOT_TEXT),
        (wrote("ran 40 min", forward_date=DATE), NOT_TEXT),
        (wrote(location=PLACE), "location 38.722300 -9.139300"),
        (wrote(pinned_message={"message_id": 1, "date": 0, "chat": ALONE}), None),
        (wrote("   "), None),
        (wrote("hello", **{"from": ANA | {"is_bot": True}}), None),
        (wrote("hello", sender_chat={"id": -5, "type": "channel"}), None),
    ],
)
def test_what_a_private_message_is_heard_as(raw: dict[str, Any], text: str | None) -> None:
    assert text_of(raw) == text


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (wrote("/week", chat=GROUP), "/week"),
        (wrote("/week@NudgeBot", chat=GROUP), "/week"),
        (wrote("/week@OtherBot", chat=GROUP), None),
        (wrote("@NudgeBot 42 min", chat=GROUP), "42 min"),
        (wrote("42 min", chat=GROUP, reply_to_message={"from": {"id": 99}}), "42 min"),
        (wrote(voice=VOICE, chat=GROUP, reply_to_message={"from": {"id": 99}}), None),
        (wrote("42 min", chat={"id": -100, "type": "channel"}), None),
        (wrote("/roster", chat=GROUP, sender_chat=GROUP), None),
    ],
)
def test_what_a_line_in_a_group_is_heard_as(raw: dict[str, Any], text: str | None) -> None:
    assert text_of(raw) == text


@pytest.mark.parametrize(
    ("raw", "addressed"),
    [
        (wrote("42 min"), True),
        (wrote("/week", chat=GROUP), True),
        (wrote("@NudgeBot 42 min", chat=GROUP), True),
        (wrote("42 min", chat=GROUP, reply_to_message={"from": {"id": 99}}), True),
        (wrote("42 min", chat=GROUP, reply_to_message={"from": {"id": 8}}), False),
        (wrote("42 min", chat=GROUP), False),
    ],
)
def test_a_line_says_whether_it_was_for_the_bot(raw: dict[str, Any], addressed: bool) -> None:
    assert line(raw).addressed is addressed


def test_a_group_that_becomes_a_supergroup_is_heard_as_a_move() -> None:
    # Telegram Bot API, Message.migrate_to_chat_id; sent as a service message in the old group.
    assert hear(wrote(chat=GROUP | {"id": -5}, migrate_to_chat_id=-100), BOT, NOW) == ChatMoved("-5", "-100")


@pytest.mark.parametrize(
    ("key", "where"),
    [
        ("tg:-100:5", ("-100", 5)),
        ("tg:-100:5:1700", ("-100", 5)),
        ("tg:7:5", None),
        ("tg:press:q1", None),
        (None, None),
    ],
)
def test_a_key_names_the_group_and_message_it_came_from(key: str | None, where: tuple[str, int] | None) -> None:
    assert said_in(key) == where


def test_in_a_group_the_person_is_the_sender_and_the_chat_is_named() -> None:
    heard = line(wrote("/week", chat=GROUP))
    assert (heard.user, heard.chat, heard.key) == ("7", "-100", "tg:-100:5")


def test_an_edit_is_a_line_of_its_own_that_names_the_one_it_corrects() -> None:
    raw = {"update_id": 2, "edited_message": wrote("45 min", edit_date=DATE + 60)["message"]}
    heard = line(raw)
    assert (heard.key, heard.edits, heard.text) == (f"tg:7:5:{DATE + 60}", "tg:7:5", "45 min")
    assert heard.at == datetime.fromtimestamp(DATE, UTC), "its day is the first version's"


@pytest.mark.parametrize("more", [{"location": PLACE}, {"photo": PHOTO}])
def test_an_edit_without_text_asks_for_nothing(more: dict[str, Any]) -> None:
    raw = {"update_id": 2, "edited_message": wrote(edit_date=DATE + 60, **more)["message"]}
    assert isinstance(hear(raw, BOT, NOW), NotForUs)


def pressed(data: object, **more: Any) -> dict[str, Any]:
    under = {"message_id": 6, "date": DATE, "chat": ALONE, "from": {"id": 99, "is_bot": True, "first_name": "Nudge"}}
    query = {"id": "q1", "from": ANA, "message": under, "data": data, "chat_instance": "c"} | more
    return {"update_id": 3, "callback_query": query}


def test_a_press_is_the_action_of_its_button() -> None:
    action = Reply("k7", ChosenMinutes(45))
    heard = hear(pressed(encode(action)), BOT, NOW)
    expected = Incoming("tg:press:q1", "telegram", "7", "Ana", "", NOW, action=action)
    assert heard == Press(expected, "q1")


@pytest.mark.parametrize("data", ["k7\n45 min", "/week", "", "r|k7", "u", "z|some day", "k|2027-02-30", "#9.9.9"])
def test_a_button_of_an_older_version_does_nothing(data: str) -> None:
    heard = hear(pressed(data), BOT, NOW)
    assert isinstance(heard, Press)
    assert (heard.incoming.action, heard.incoming.text, heard.ref) == (None, "", None)


@pytest.mark.parametrize(
    "more", [{"message": {"message_id": 6, "date": 0, "chat": ALONE}}, {"message": None}, {"inline_message_id": "x"}]
)
def test_a_press_under_a_message_that_is_gone_still_counts(more: dict[str, Any]) -> None:
    heard = hear(pressed(encode(Undo("tg:7:3")), **more), BOT, NOW)
    assert isinstance(heard, Press)
    assert (heard.incoming.action, heard.incoming.user) == (Undo("tg:7:3"), "7")


def test_a_press_whose_line_was_too_long_names_its_letter() -> None:
    heard = hear(pressed("#12.2"), BOT, NOW)
    assert isinstance(heard, Press)
    assert heard.ref == ButtonRef(12, 2)


def test_the_id_to_answer_a_press_with_is_found_before_anything_else() -> None:
    assert callback_id(pressed("x")) == "q1"
    assert callback_id(wrote("x")) == callback_id({"callback_query": 3}) == callback_id({}) == ""


@pytest.mark.parametrize(
    ("chat", "status", "heard"),
    [
        (ALONE, "kicked", Reach("7", reachable=False)),
        (ALONE, "member", Reach("7", reachable=True)),
        (GROUP, "kicked", ShutOut("-100")),
        (GROUP, "member", NotForUs("came into a group")),
    ],
)
def test_blocking_the_bot_and_letting_it_back_are_heard(chat: dict[str, Any], status: str, heard: object) -> None:
    raw = {
        "update_id": 4,
        "my_chat_member": {"chat": chat, "from": ANA, "date": DATE, "new_chat_member": {"status": status}},
    }
    assert hear(raw, BOT, NOW) == heard


@pytest.mark.parametrize(
    ("raw", "where"),
    [
        ({"update_id": 1, "message": None}, "message"),
        ({"update_id": 1, "message": {}}, "chat"),
        (wrote("x", chat={"id": "seven"}), "id"),
        (wrote("x", message_id=True), "message_id"),
        (wrote(location={"latitude": "north"}), "latitude"),
        (pressed("x", id=5), "id"),
        (pressed("x", **{"from": None}), "from"),
        (pressed(5), "data"),
        ({"update_id": 1, "my_chat_member": {"chat": ALONE}}, "new_chat_member"),
    ],
)
def test_an_update_of_another_form_names_the_field(raw: dict[str, Any], where: str) -> None:
    assert hear(raw, BOT, NOW) == Unreadable(where)


@pytest.mark.parametrize("date", [None, 0, -5, 10**20, "monday", True])
def test_a_line_without_a_usable_date_was_said_now(date: object) -> None:
    assert line(wrote("x", date=date)).at == NOW


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
KNOWN_FIELDS = sorted({*wrote("x")["message"], *pressed("x")["callback_query"], "location", "type", "new_chat_member"})


@settings(deadline=None)
@given(st.sampled_from(KINDS), st.dictionaries(st.sampled_from(KNOWN_FIELDS), JSON))
def test_no_update_whatsoever_raises(kind: str, content: dict[str, Any]) -> None:
    assert hear({"update_id": 1, kind: content}, BOT, NOW)


# Half a pair of surrogates can come as an escape in JSON, and no database keeps it, nor PostgreSQL a NUL.
@given(st.text(st.characters() | st.sampled_from("\0\ud83d"), min_size=1))
def test_what_is_heard_can_be_kept_by_every_database(words: str) -> None:
    for raw in (wrote(f"42 min {words}", **{"from": ANA | {"first_name": words}}), wrote(caption=f"easy {words}")):
        heard = line(raw)
        assert "\0" not in heard.text + heard.name
        assert (heard.text + heard.name).encode()
    assert text_of(wrote("chest\0 pain \ud83d")) == "chest pain \N{REPLACEMENT CHARACTER}"


@pytest.mark.parametrize("raw", [wrote("42 min"), pressed("k\nyes"), wrote(location=PLACE), wrote("/x", chat=GROUP)])
def test_the_library_reads_the_same_from_the_same_update(raw: dict[str, Any]) -> None:
    """python-telegram-bot, as the second reader of the published format."""
    update = telegram.Update.de_json(json.loads(json.dumps(raw)), None)
    heard = hear(raw, BOT, NOW)
    assert isinstance(heard, TextLine | Press)
    assert update.effective_user is not None
    assert heard.incoming.user == str(update.effective_user.id)
    assert heard.incoming.name == update.effective_user.first_name
    if update.message is not None:
        assert heard.incoming.at == update.message.date


def test_what_stands_for_a_picture_is_what_the_conversation_knows_it_by() -> None:
    assert NOT_TEXT == answer_module.NOT_TEXT
