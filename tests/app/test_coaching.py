"""A coach and a small group in one store: notes, settings, messages, the digest, coming back, leaving, erasing."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from nudgebot.app import scheduler
from nudgebot.app.attachments import read_attached
from nudgebot.domain.messages.group.group import NO_PLAN_HERE
from nudgebot.domain.messages.group.roster import HEADINGS
from nudgebot.domain.model import intake
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.overview.group import Share, State
from nudgebot.storage import coach_repository, group_repository, inbox, schema
from nudgebot.storage.database import open_database
from tests.company import ANA, BEN, CHAT, CLEO, COACH, DAN, NOW, OTHER_COACH, World, digests, round_at, world

MONDAY = datetime(2027, 1, 11, 7, 30, tzinfo=UTC)
NIGHT = datetime(2027, 1, 4, 23, 0, tzinfo=UTC)
MORNING = datetime(2027, 1, 5, 6, 45, tzinfo=UTC)  # the reminder time that ends the quiet hours of the runners


def handed(people: World, user: str) -> str:
    """What /export hands over, as JSON."""
    (letter,) = people.say(user, "/export")
    with people.engine.begin() as conn:
        found = read_attached(conn, letter)
    assert found is not None
    return found.texts[1]


# Messages and settings


@pytest.mark.both_engines
def test_a_message_is_shown_first_and_goes_to_nobody_before_the_word(people: World) -> None:
    (shown,) = people.say(COACH, "/tell all Sunday at 9")
    assert shown.user == COACH
    assert "“Sunday at 9”" in shown.text
    sent = people.say(COACH, "send")
    assert {letter.user: letter.text for letter in sent if letter.user != COACH} == {
        ANA: "Kim, your coach: Sunday at 9",
        BEN: "Kim, your coach: Sunday at 9",
    }


@pytest.mark.parametrize(("line", "to"), [("/tell Ana: hello", [ANA]), ("/tell ben, ana: hello", [ANA, BEN])])
def test_a_message_can_go_to_some(people: World, line: str, to: list[str]) -> None:
    people.say(COACH, line)
    assert [letter.user for letter in people.say(COACH, "yes")][:-1] == to


@pytest.mark.parametrize("line", ["/tell", "/tell hello", "/tell Cleo: hello", "/tell Ana, Cleo: hello", "/tell all"])
def test_a_message_to_nobody_or_without_words_asks_nothing(people: World, line: str) -> None:
    (answer,) = people.say(COACH, line)
    assert answer.buttons == ()
    assert {letter.user for letter in people.say(COACH, "send")} == {COACH}


def test_a_message_no_longer_wanted_goes_to_nobody(people: World) -> None:
    people.say(COACH, "/tell all Sunday at 9")
    assert people.texts(COACH, "no") == ["Nothing is sent."]
    assert {letter.user for letter in people.say(COACH, "send")} == {COACH}


def test_quiet_hours_keep_a_coachs_message_until_the_morning_and_hold_up_no_answer(people: World) -> None:
    people.now = NIGHT
    people.say(COACH, "/tell Ana: Sunday at 9")
    assert "when quiet hours end" in people.texts(COACH, "send")[-1]
    people.say(ANA, "chest pain")
    assert [letter.text[:8] for letter in people.deliver() if letter.user == ANA] == ["Stop now"]
    assert [letter.text for letter in people.deliver(MORNING)] == ["Kim, your coach: Sunday at 9"]


def test_who_said_stop_hears_nothing_from_the_coach_either(people: World) -> None:
    people.now = NIGHT
    people.say(COACH, "/tell all Sunday at 9")
    people.say(COACH, "send")
    people.say(ANA, "stop")
    people.say(BEN, "hello")
    assert [each.user for each in people.deliver(MORNING) if "your coach" in each.text] == [BEN]
    people.now = MORNING
    people.say(COACH, "/tell all Sunday at 10")
    people.say(ANA, "stop")
    assert ANA not in {letter.user for letter in people.say(COACH, "send")}


SETTINGS = [
    ("step 0", "coach_step", 0),
    ("step 15", "coach_step", 15),
    ("step 16", "coach_step", 10),
    ("window 100", "coach_window", 100),
    ("window 151", "coach_window", 130),
    ("days 3", "coach_run_days", 3),
    ("days 4", "coach_run_days", 2),
    ("session 30 min", "coach_session", 30),
    ("session 10", "coach_session", 0),
    ("dose 120", "custom_minutes", 120),
    ("dose 301", "custom_minutes", 0),
]


@pytest.mark.parametrize(("words", "field", "value"), SETTINGS)
def test_a_coach_sets_within_the_bounds_and_the_runner_is_told(
    people: World, words: str, field: str, value: int
) -> None:
    """Inside bounds: step 0-15 %, window factor 1.0-1.5, run days in a row 1-3 (6), single-session cap downward."""
    before = people.book(ANA)
    letters = people.say(COACH, f"/set Ana {words}")
    after = people.book(ANA)
    assert before is not None and after is not None
    assert getattr(after.profile, field) == value
    changed = getattr(before.profile, field) != value
    assert [letter.user for letter in letters] == ([ANA, COACH] if changed else [COACH])


def test_the_runner_declines_by_button_or_line_and_the_coach_is_told(people: World) -> None:
    told, _ = people.say(COACH, "/set Ana session 30")
    assert "decline" in told.text
    letters = people.press(ANA, told.buttons[0])
    assert sorted(letter.user for letter in letters) == sorted([ANA, COACH])
    book = people.book(ANA)
    assert book is not None
    assert book.profile.coach_session == 0
    assert "nothing like that" in people.texts(ANA, "/decline session")[0]


def test_a_lower_session_cap_shortens_the_week_at_hand(people: World) -> None:
    people.say(COACH, "/set Ana session 25")
    book = people.book(ANA)
    assert book is not None
    assert max(session.minutes for session in book.plan) <= 25


@pytest.mark.parametrize("word", ["hold", "standing", "back", "cleared"])
def test_a_coach_can_neither_set_nor_end_a_hold(people: World, word: str) -> None:
    people.say(ANA, "chest pain")
    held = people.book(ANA)
    people.say(COACH, f"/set Ana {word} 0")
    people.say(COACH, f"/{word} Ana")
    people.say(COACH, "/set Ana step 5")
    after = people.book(ANA)
    assert held is not None and after is not None
    assert (after.standing, after.plan) == (held.standing, held.plan)


def test_a_note_is_the_coachs_and_the_runners_by_export(people: World) -> None:
    people.say(COACH, "/note Ana prefers mornings, works late")
    assert "prefers mornings, works late" in people.texts(COACH, "/runner Ana")[0]
    assert "prefers mornings" in handed(people, ANA)
    assert "prefers mornings" not in handed(people, BEN)


# The digest


@pytest.mark.both_engines
def test_the_digest_comes_once_on_monday_and_the_group_gets_its_overview(people: World) -> None:
    people.now = MONDAY - timedelta(hours=20)
    people.say(ANA, "/share name on")
    people.say(ANA, "20 easy")
    people.say(BEN, "fever")
    people.deliver()
    letters = round_at(people, MONDAY)
    (digest,) = [letter for letter in letters if letter.nudge_kind is NudgeKind.COACH_DIGEST and letter.user == COACH]
    assert digest.text == "Mon 11 Jan, 2 runners\nPausing: Ben 2 d\nBack from a break: Ana Sun"
    (overview,) = [letter for letter in letters if letter.chat == CHAT]
    assert overview.text == "A new week for 2 runners. In rhythm: Ana."
    again = round_at(people, MONDAY + timedelta(minutes=1))
    assert not [letter for letter in again if "digest" in letter.key]
    assert [
        each
        for each in round_at(people, MONDAY + timedelta(days=7))
        if each.key.startswith("digest:") and not each.chat
    ]


def test_a_digest_six_hours_late_is_dropped_and_the_next_one_comes(people: World) -> None:
    assert not [
        each for each in round_at(people, MONDAY + timedelta(hours=6, minutes=1)) if each.key.startswith("digest:")
    ]
    assert digests(people, MONDAY + timedelta(days=7))


def test_a_clock_set_back_brings_no_second_digest(people: World) -> None:
    assert digests(people, MONDAY)
    coaches = [people.number(coach) for coach in (COACH, OTHER_COACH)]
    with people.engine.begin() as conn:
        for number, coach in enumerate(coaches, 1):
            coach_repository.set_digest(conn, coach, number, MONDAY)
    assert not digests(people, MONDAY)


def test_a_coach_who_said_stop_gets_no_digest(people: World) -> None:
    people.say(COACH, "stop")
    assert not [each for each in round_at(people, MONDAY) if each.user == COACH]


def test_the_digest_follows_the_coachs_clock(people: World) -> None:
    people.say(COACH, "/zone New York")
    assert not [each for each in round_at(people, MONDAY) if each.user == COACH]
    assert [each for each in round_at(people, MONDAY + timedelta(hours=5)) if each.user == COACH]


def test_a_coach_who_runs_too_gets_both(people: World) -> None:
    code = people.code(COACH)
    people.say(COACH, f"/start {code}")
    assert "Kim" in people.texts(COACH, "/roster")[0]
    people.say(COACH, "/set Kim step 5")
    book = people.book(COACH)
    assert book is not None
    assert book.profile.coach_step == 5


def test_a_coach_without_a_plan_is_told_so_in_a_line_and_gets_one_by_start(people: World) -> None:
    for line in ("hello", "send", "no", "/settings", "/typo"):
        assert people.texts(COACH, line) == [NO_PLAN_HERE]
    assert "call" in people.texts(COACH, "crushing chest pain")[0]
    people = world()
    assert "18 or over" in people.texts(COACH, "/start")[0]
    assert "stays as it is" in people.texts(COACH, "no")[0]
    assert "Ana" in people.texts(COACH, "/roster")[0]
    people.say(COACH, "/start")
    people.say(COACH, "yes")
    book = people.book(COACH)
    assert book is not None
    assert book.intake.adult is True


# Coming back, leaving, erasing


def test_who_comes_back_is_greeted_in_the_group_where_they_agreed(people: World) -> None:
    people.say(ANA, "/share name on")
    for user in (ANA, BEN):
        assert not [letter for letter in people.say(user, "20 easy") if letter.chat]
    people.now = NOW + timedelta(days=9)
    assert not [letter for letter in people.say(ANA, "I am still here") if letter.chat]
    for user in (ANA, BEN):
        letters = people.say(user, "20 easy")
        assert [letter.text for letter in letters if letter.chat] == (["Good to have Ana back."] if user == ANA else [])
    assert not [letter for letter in people.say(ANA, "another 10") if letter.chat]


def test_who_is_taken_out_is_told_and_goes_on_alone(people: World) -> None:
    people.say(COACH, "/remove Ana")
    told, done = people.say(COACH, "yes")
    assert (told.user, done.user) == (ANA, COACH)
    assert "stay yours" in told.text
    assert people.texts(ANA, "20 easy")
    assert "Ana" not in people.texts(COACH, "/roster")[0]


def test_a_group_that_is_closed_leaves_its_runners_their_books(people: World) -> None:
    people.say(COACH, "/set Ana step 5")
    assert "/close group" in people.texts(COACH, "/close")[0]
    letters = people.say(COACH, "/close group")
    assert sorted(letter.user for letter in letters) == sorted([ANA, BEN, COACH])
    book = people.book(ANA)
    assert book is not None
    assert (book.profile.coach_step, bool(book.plan)) == (10, True)
    assert "coaches" in people.texts(COACH, "/roster")[0]


@pytest.mark.both_engines
def test_erasing_takes_a_runner_out_of_everything_that_waits_for_others(tmp_path: Path) -> None:
    """From roster, notes, pending letters, inbox and dead letters of the coach."""
    path = tmp_path / "erase.db"
    people = world(open_database(f"sqlite:///{path}"))
    people.say(COACH, "/note Ana prefers mornings")
    people.say(COACH, "/roster")  # still in the box, with the name in it
    with people.engine.begin() as conn:
        inbox.receive(conn, [inbox.Update("tg:9", "telegram", "", COACH, '{"text": "/runner Ana"}')], NOW)
        inbox.dead(conn, "tg:9", "a bug", NOW)
    number = people.number(ANA)
    people.say(ANA, "/erase")
    people.say(ANA, "erase everything")
    with people.engine.begin() as conn:
        for table in schema.metadata.sorted_tables:
            for column in table.columns:
                if any(key.column.table is schema.runners for key in column.foreign_keys):
                    assert number not in conn.scalars(select(column)).all(), table.name
        texts = [*conn.scalars(select(schema.outbox.c.text)), *conn.scalars(select(schema.inbox.c.raw))]
        assert not [text for text in texts if text and "Ana" in text]
    assert "Ana" not in people.texts(COACH, "/roster")[0]
    people.deliver()
    scheduler.sweep(people.engine, NOW)
    people.engine.dispose()
    assert b"prefers mornings" not in path.read_bytes()


def test_a_coach_who_is_erased_takes_the_group_along_and_its_runners_are_told(people: World) -> None:
    people.say(COACH, "/erase")
    letters = people.say(COACH, "erase everything")
    assert sorted(letter.user for letter in letters) == sorted([ANA, BEN, COACH])
    assert people.book(COACH) is None
    number = people.number(ANA)
    with people.engine.begin() as conn:
        assert coach_repository.group_of(conn, number) == 0
        assert group_repository.bound_to(conn, "telegram", CHAT) == 0
    assert people.texts(CLEO, "20 easy")


def test_an_ex_member_can_take_everything_along_and_erase_it(people: World) -> None:
    assert "runner" in handed(people, DAN)
    people.say(DAN, "/erase")
    people.say(DAN, "erase everything")
    assert people.book(DAN) is None


def test_the_page_about_groups_has_every_setting_share_and_state() -> None:
    page = (Path(__file__).parents[2] / "docs" / "groups.md").read_text(encoding="utf-8")
    for row in intake.COACH_SETTINGS:
        bounds = re.search(rf"^\| `{row.word}` \| (.*) \|$", page, re.MULTILINE)
        assert bounds is not None, row.word
        numbers = [int(number) for number in re.findall(r"\d+", bounds[1])]
        assert (row.values[0], row.values[-1]) == (min(numbers), max(numbers)), row.word
    assert all(f"`{share.value} on`" in page for share in Share)
    assert all(re.search(rf"^\| {state.value}|^\| {HEADINGS[state].lower()}", page, re.MULTILINE) for state in State)
