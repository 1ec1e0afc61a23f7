"""Whoever hosts the bot: the one-time code, the door after it, handing over."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta

import pytest
from sqlalchemy import select

from nudgebot.app import access, handle_message, ownership, scheduler
from nudgebot.app.access import GUESSES, Host
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.group import group as group_words
from nudgebot.domain.messages.group import host as words
from nudgebot.domain.model.speech import Incoming
from nudgebot.storage import book_repository, outbox, owners, schema
from nudgebot.storage.database import open_database
from tests.company import VOICE, World

pytestmark = pytest.mark.both_engines

OLGA, PIA, EVE = "21", "22", "23"
NAMES = {OLGA: "Olga", PIA: "Pia", EVE: "Eve"}
CHAT = "-900"


@dataclass
class House(World):
    """A bot that nobody hosts by its settings; its door is open until somebody claims it."""

    named: str = ""
    door: bool | None = None

    def tells(self, user: str, text: str, *, chat: str = "") -> list[str]:
        """What `user` is told after a line of theirs."""
        incoming = Incoming(f"k{next(iter(self.keys))}", VOICE, user, NAMES[user], text, self.now, chat=chat)
        with self.engine.begin() as conn:
            before = set(conn.scalars(select(schema.outbox.c.id)))
            handle_message.take(conn, incoming, self.now, Host(self.named, self.door))
            new = sorted(set(conn.scalars(select(schema.outbox.c.id))) - before)
            letters = [outbox.find(conn, each) for each in new]
        return [f"{NAMES[letter.user]}: {letter.text}" for letter in letters if letter is not None]

    def new_code(self) -> str:
        """What the command line prints."""
        with self.engine.begin() as conn:
            return ownership.new_code(conn, self.now, secrets.token_bytes)

    def host(self) -> str:
        """Who hosts it, "" for nobody."""
        with self.engine.begin() as conn:
            return access.owner(conn, VOICE, self.named)


@pytest.fixture
def house() -> House:
    return House()


def test_until_it_is_claimed_everybody_may_begin_and_nobody_hosts(house: House) -> None:
    assert house.tells(EVE, "/start") != [f"Eve: {small_talk.BY_INVITATION}"]
    assert house.tells(EVE, "/coach") == [f"Eve: {group_words.OWNER_ONLY}"]
    assert house.host() == ""


@pytest.mark.parametrize("line", ["/claim {}", "/start {}", "  /claim@our_bot {} "])
def test_the_code_makes_a_host_once_and_closes_the_door(house: House, line: str) -> None:
    code = house.new_code()
    assert house.tells(OLGA, line.format(code)) == [f"Olga: {words.HOSTING}"]
    assert house.host() == OLGA
    assert house.tells(EVE, line.format(code)) == [f"Eve: {small_talk.BY_INVITATION}"]
    assert house.host() == OLGA
    assert house.tells(OLGA, "/coach")[0].startswith("Olga: You coach a group now.")


def test_the_code_is_128_bits_and_kept_nowhere(house: House) -> None:
    code = house.new_code()
    assert len(code) == 22
    with house.engine.begin() as conn:
        rows = [tuple(row) for table in schema.metadata.sorted_tables for row in conn.execute(select(table))]
    assert code not in str(rows)


@pytest.mark.parametrize("spoil", ["late", "a newer one", "cut", "turned round", "said in a group"])
def test_a_code_that_opens_nothing_makes_no_host(house: House, spoil: str) -> None:
    code = house.new_code()
    said = code
    if spoil == "late":
        house.now += ownership.CODE_LASTS
    elif spoil == "a newer one":
        house.new_code()
    elif spoil == "cut":
        said = code[:-1]
    elif spoil == "turned round":
        said = code[::-1]
    else:
        house.tells(EVE, f"/claim {code}", chat=CHAT)
    house.tells(OLGA, f"/claim {said}")
    assert house.host() == ""


def test_guessing_is_slowed_down_and_then_even_the_right_code_is_not_looked_at(house: House) -> None:
    code = house.new_code()
    for _ in range(GUESSES):
        house.tells(EVE, f"/claim {code[::-1]}")
    assert house.tells(EVE, f"/claim {code}") == [f"Eve: {group_words.TOO_MANY_CODES}"]
    assert house.host() == ""
    assert house.tells(OLGA, f"/claim {code}") == [f"Olga: {words.HOSTING}"]


def test_the_settings_win_over_a_code(house: House) -> None:
    house.named = PIA
    code = house.new_code()
    assert house.tells(OLGA, f"/claim {code}") == [f"Olga: {words.NAMED_IN_THE_SETTINGS}"]
    assert house.host() == PIA
    assert house.tells(PIA, "/hand_over") == [f"Pia: {words.NAMED_IN_THE_SETTINGS}"]


def test_handing_over_tells_who_hosted_and_leaves_them_nothing_of_it(house: House) -> None:
    house.tells(OLGA, f"/claim {house.new_code()}")
    (said,) = house.tells(OLGA, "/hand_over")
    code = said.partition("/claim ")[2].split()[0]
    told = house.tells(PIA, f"/claim {code}")
    assert told == ["Olga: Pia hosts this bot from now on.", f"Pia: {words.HOSTING}"]
    assert house.host() == PIA
    assert house.tells(OLGA, "/hand_over") == [f"Olga: {group_words.OWNER_ONLY}"]
    assert house.tells(OLGA, "/retention 6 months") == [f"Olga: {group_words.OWNER_ONLY}"]


def test_whom_the_former_host_invited_to_coach_needs_a_new_invitation(house: House) -> None:
    house.tells(OLGA, f"/claim {house.new_code()}")
    (said,) = house.tells(OLGA, "/invite_coach")
    invited = said.partition("/start ")[2].split()[0]
    house.tells(PIA, f"/claim {house.new_code()}")
    assert house.tells(EVE, f"/start {invited}") == [f"Eve: {small_talk.BY_INVITATION}"]


def test_a_host_who_is_erased_leaves_the_door_closed(house: House) -> None:
    house.tells(OLGA, f"/claim {house.new_code()}")
    house.tells(OLGA, "/erase")
    house.tells(OLGA, "erase everything")
    assert house.host() == ""
    assert house.tells(EVE, "/start") == [f"Eve: {small_talk.BY_INVITATION}"]
    assert house.tells(OLGA, "/start") == [f"Olga: {small_talk.BY_INVITATION}"]
    assert house.tells(PIA, f"/claim {house.new_code()}") == [f"Pia: {words.HOSTING}"]


def test_the_setting_opens_the_door_that_a_code_closed(house: House) -> None:
    house.tells(OLGA, f"/claim {house.new_code()}")
    house.door = True
    assert house.tells(EVE, "/start") != [f"Eve: {small_talk.BY_INVITATION}"]


def test_a_code_that_was_not_used_is_swept_away(house: House) -> None:
    house.new_code()
    scheduler.sweep(house.engine, house.now + ownership.CODE_LASTS + timedelta(seconds=1))
    with house.engine.begin() as conn:
        assert conn.execute(select(schema.host_codes)).all() == []


def test_a_host_is_one_of_the_voice_in_which_the_code_was_said(house: House) -> None:
    house.tells(OLGA, f"/claim {house.new_code()}")
    with house.engine.begin() as conn:
        assert owners.host(conn, "talk") is None
        assert not owners.claimed(conn, "talk")


def test_the_host_of_one_file_is_found_again_when_it_is_opened(tmp_path: object) -> None:
    house = House(open_database(f"sqlite:///{tmp_path}/n.db"))
    house.tells(OLGA, f"/claim {house.new_code()}")
    house.engine.dispose()
    again = open_database(f"sqlite:///{tmp_path}/n.db")
    with again.begin() as conn:
        assert access.owner(conn, VOICE, "") == OLGA
        assert book_repository.find(conn, VOICE, OLGA) is not None
    again.dispose()
