"""Erased is erased: not a letter of a person is left in any table, page, log or letter, and nobody else loses one."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import String, select, update

from nudgebot.app import handle_message, scheduler
from nudgebot.app.access import Host
from nudgebot.channels.telegram.dispatcher import attend
from nudgebot.channels.telegram.updates import BotName
from nudgebot.domain.model.speech import SAFETY, Say
from nudgebot.storage import book_repository, inbox, outbox, schema
from nudgebot.storage.database import open_database
from nudgebot.storage.letter import Letter
from tests.company import ANA, BEN, CHAT, COACH, EVE, HOST, NAMES, NOW, OTHER_COACH, World, world

WORD = "Quixotea"  # in no other text
USER = "700800900"


def everywhere(people: World) -> str:
    """Every cell of every table as text."""
    with people.engine.begin() as conn:
        return repr([conn.execute(select(table)).all() for table in schema.metadata.sorted_tables])


def marked(people: World) -> None:
    """Ana's every text column holds the word, her user number is one that nobody else has, and others wait with it."""
    number = people.number(ANA)
    people.say(ANA, "/share name on")
    people.say(COACH, f"/note Ana {WORD} prefers mornings")
    people.say(COACH, "/set Ana step 5")
    with people.engine.begin() as conn:
        conn.execute(update(schema.runners).where(schema.runners.c.id == number).values(name=WORD, user=USER))
    people.say(USER, "my calf hurts 3/10")
    people.say(USER, "20 easy")
    people.say(USER, "fever since last night")
    people.say(USER, "42 easy", chat=CHAT, addressed=False)
    with people.engine.begin() as conn:
        for table in schema.metadata.sorted_tables:
            if "runner_id" not in table.c or table.name in {"outbox", "mentions", "answers", "standings"}:
                continue
            texts = {c.name: WORD for c in table.c if isinstance(c.type, String) and c.name not in KEPT_APART}
            if texts and len(conn.execute(select(table).where(table.c.runner_id == number)).all()) == 1:
                conn.execute(update(table).where(table.c.runner_id == number).values(texts))
        conn.execute(update(schema.log).where(schema.log.c.runner_id == number).values(key=WORD))


KEPT_APART = {"kind", "slot", "digest_time"}  # with others they must stay unique, or be read back


def erased(people: World) -> None:
    people.say(USER, "/erase")
    people.say(USER, "erase everything")
    people.deliver()


@pytest.fixture
def named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(NAMES, USER, WORD)


def lines_that_name_her(people: World) -> None:
    """What waits for others and names her, of every kind."""
    people.say(COACH, "/roster")
    people.say(COACH, "/roster picture")
    people.say(COACH, f"/runner {WORD}")
    people.say(COACH, f"/note {WORD}")
    people.say(COACH, f"/set {WORD} session 60")
    people.say(COACH, f"/tell {WORD}: see you on Friday")
    people.say(COACH, "send")
    people.say(COACH, "/delivered")
    people.say(COACH, f"/remove {WORD}")
    people.say(COACH, "no")
    people.say(COACH, "/overview", chat=CHAT)


@pytest.mark.both_engines
@pytest.mark.usefixtures("named")
@pytest.mark.parametrize("before", [(), ("/leave group",)], ids=["in the group", "after leaving it"])
def test_a_distinctive_word_is_in_no_table_no_page_and_no_log_once_its_writer_is_erased(
    tmp_path: Path, before: tuple[str, ...]
) -> None:
    path = tmp_path / "erased.db"
    people = world(open_database(f"sqlite:///{path}"))
    marked(people)
    lines_that_name_her(people)
    for line in before:
        people.say(USER, line)
    with people.engine.begin() as conn:
        inbox.receive(conn, [inbox.Update("tg:9", "telegram", "", COACH, f'{{"text": "/runner {WORD}"}}')], NOW)
        inbox.dead(conn, "tg:9", "a bug", NOW)
        inbox.receive(conn, [inbox.Update("tg:8", "telegram", "", USER, f'{{"text": "{WORD}"}}')], NOW)
    assert WORD in everywhere(people)
    assert USER in everywhere(people)
    assert WORD.encode() in path.read_bytes() + path.with_name("erased.db-wal").read_bytes()
    erased(people)
    left = everywhere(people)
    assert WORD not in left
    assert USER not in left
    # The free pages are overwritten and the write-ahead log is folded by the erasing itself, with no sweep in between.
    files = path.read_bytes() + path.with_name("erased.db-wal").read_bytes()
    assert WORD.encode() not in files
    assert USER.encode() not in files
    assert WORD not in people.texts(COACH, "/roster")[0]
    people.engine.dispose()


@pytest.mark.usefixtures("named")
def test_the_sweep_erases_who_was_silent_for_good_as_thoroughly(tmp_path: Path) -> None:
    path = tmp_path / "silent.db"
    people = world(open_database(f"sqlite:///{path}"))
    marked(people)
    lines_that_name_her(people)
    long_after = NOW.replace(year=NOW.year + 3)
    for at in (long_after, long_after.replace(month=6)):
        people.now = at
        scheduler.sweep(people.engine, at)
    assert WORD.encode() not in path.read_bytes() + path.with_name("silent.db-wal").read_bytes()
    people.engine.dispose()


@pytest.mark.both_engines
@pytest.mark.parametrize(
    "line", ["/roster", "/group", "/group own", "/tell all nine", "/roster picture", "/runner Cleo"]
)
def test_a_coach_who_is_erased_is_named_in_no_letter_that_waits_for_somebody_of_another_group(line: str) -> None:
    people = world()
    people.say(OTHER_COACH, f"/start {people.code(COACH, '/stand_in 4 jan to 20 jan')}")
    people.say(OTHER_COACH, "/group Kim")
    people.say(OTHER_COACH, line)
    people.say(COACH, "/erase")
    people.say(COACH, "erase everything")
    letters = people.deliver()
    assert not [letter for letter in letters if NAMES[COACH] in letter.text]
    assert [letter.user for letter in letters if letter.text.startswith("Your group is closed")] == [
        ANA,
        BEN,
        OTHER_COACH,
    ]


# Nobody else's


@pytest.mark.parametrize("name", ["e", "Al", "call", "112", "Stop", "%", "bring water"])
def test_no_letter_of_somebody_elses_goes_because_a_name_is_in_it(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Letters are matched by the person they name, never by letters of a name."""
    people = world()
    monkeypatch.setitem(NAMES, ANA, name)
    people.say(COACH, "/tell Ben: bring water and call if it is slippery")
    people.say(COACH, "send")
    people.say(BEN, "crushing chest pain")
    before = {(letter.user, letter.text) for letter in waiting(people) if letter.user in {BEN, HOST}}
    assert len(before) >= 2
    people.say(ANA, "/erase")
    people.say(ANA, "erase everything")
    assert {(letter.user, letter.text) for letter in waiting(people) if letter.user in {BEN, HOST}} == before


def waiting(people: World) -> list[Letter]:
    with people.engine.begin() as conn:
        ids = conn.scalars(select(schema.outbox.c.id).where(schema.outbox.c.ended_at.is_(None))).all()
        found = [outbox.find(conn, each) for each in ids]
    return [letter for letter in found if letter is not None]


def test_a_safety_letter_of_somebody_else_stays_even_where_it_names_the_erased() -> None:
    people = world()
    number, of_ben = people.number(ANA), people.number(BEN)
    with people.engine.begin() as conn:
        ben = book_repository.load(conn, of_ben).runner
        outbox.put(conn, ben, Say("Stop now.", SAFETY, about=(number,)), key="grave", now=NOW)
        outbox.put(conn, ben, Say("Ana waves.", about=(number,)), key="wave", now=NOW)
    people.say(ANA, "/erase")
    people.say(ANA, "erase everything")
    assert [letter.key for letter in waiting(people) if letter.user == BEN] == ["grave"]


def test_of_a_stranger_nothing_is_left_but_what_the_page_says() -> None:
    """docs/groups.md: a digest for a day, and the update's own number, so that it is acted on once."""
    people = world()
    raw = (
        '{"update_id": 5, "message": {"message_id": 5, "date": 1798000000, "text": "hello",'
        f' "from": {{"id": {USER}, "is_bot": false, "first_name": "{WORD}"}},'
        f' "chat": {{"id": {USER}, "type": "private"}}}}}}'
    )
    with people.engine.begin() as conn:
        inbox.receive(conn, [inbox.Update("u5", "telegram", USER, USER, raw)], NOW)
        take = partial(handle_message.take, host=Host(HOST, open_door=False))
        attend(conn, BotName(99, "our_bot"), take, lambda: NOW, 10)
    assert [letter.user for letter in people.deliver()] == [USER]
    left = everywhere(people)
    assert USER not in left
    assert WORD not in left
    assert people.book(EVE) is None
    with people.engine.begin() as conn:
        assert conn.scalars(select(schema.inbox.c.state)).all() == ["done"]
