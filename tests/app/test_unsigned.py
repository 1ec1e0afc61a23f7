"""Who hides behind a chat, a channel, a bot or a name is nobody; a warning sign of theirs is answered all the same."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import delete

from nudgebot.app import group_chat
from nudgebot.channels.telegram.updates import BotName, NotForUs, Unsigned, hear
from nudgebot.domain.messages.group.group import OWNER_ONLY, group_line
from nudgebot.domain.model.speech import SAFETY
from nudgebot.domain.overview import chat_lines
from nudgebot.storage import invitation_repository, schema
from nudgebot.storage.invitation_repository import Knock
from tests.app.test_rights import REFUSALS
from tests.company import (
    ANA,
    CHAT,
    COACH,
    NOW,
    World,
)


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
        group_chat.search_unsigned(conn, heard.incoming, NOW)
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
            group_chat.search_unsigned(conn, heard.incoming, NOW)
            group_chat.search_unsigned(conn, heard.incoming, NOW)
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
        assert invitation_repository.knocks(conn, "telegram", ANA, Knock.CODE, NOW - timedelta(days=1)) == 0
