"""The coach's sheet of the group: drawn whatever the names, asked for by the coach alone, delivered over HTTP."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from nudgebot.app.attachments import read_picture
from nudgebot.domain.messages.group.group import EMPTY, IN_PRIVATE
from nudgebot.domain.model.speech import Picture, Say
from nudgebot.domain.overview.group import Member, next_digest
from nudgebot.domain.overview.group_report import ROWS, Sheet, sheet
from nudgebot.domain.overview.names import shown_name
from nudgebot.rendering.group_report import ROW, TYPE, WIDTH
from nudgebot.rendering.pictures import draw
from nudgebot.rendering.plot_style import DARK, DOTS, drawable, fit_text
from nudgebot.storage import book_repository, coach_repository, group_repository, outbox
from nudgebot.storage.database import open_database
from tests.company import ANA, BEN, CHAT, COACH, HOST, OTHER_COACH, World, world
from tests.rendering.books import NOON, TODAY, group_of
from tests.rendering.test_on_its_way import LONG_AGO, lately, ran
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running


def picture_of(shown: Sheet) -> Image.Image:
    png = draw(shown)
    assert png is not None
    with Image.open(io.BytesIO(png)) as image:
        return image.convert("RGB")


@pytest.mark.parametrize("many", [1, 3, 12, 30])
def test_the_sheet_has_room_for_every_runner_and_stays_a_picture_that_a_chat_takes(many: int) -> None:
    """Width and height together at most 10,000, their ratio at most 20: Bot API 10.1, sendPhoto (from memory)."""
    image = picture_of(sheet(group_of(many), NOON, TODAY))
    assert image.width == WIDTH
    assert image.height >= min(many, ROWS) * ROW
    assert image.width + image.height <= 10_000
    assert max(image.size) / min(image.size) <= 20
    rgb = image.tobytes()
    found = {f"#{rgb[n : n + 3].hex()}" for n in range(0, len(rgb), 3)}
    assert {DARK.ground, DARK.runs, *((DARK.long, DARK.gaps) if many > 1 else ())} <= found
    # The dose is seen through: its own colour is on its edges alone.
    assert any(int(c[3:5], 16) > int(c[1:3], 16) + 40 for c in found), DARK.dose


def test_letters_stay_ten_pixels_high_where_the_picture_is_as_wide_as_a_phone() -> None:
    assert TYPE * DOTS / 72 * 400 / WIDTH >= 10


NAMES = (
    ("Ana", "Ana"),
    ("Кира", "Кира"),
    ("ليلى", "ليلى"),
    ("王小明", ""),
    ("王 Ming", "Ming"),
    ("Zoë 🏃‍♀️", "Zoë"),
    ("$x^2$", "$x^2$"),
    ("a\\b {c}", "a\\b {c}"),
)


@pytest.mark.parametrize(("name", "left"), NAMES)
def test_signs_that_the_font_lacks_are_left_out(name: str, left: str) -> None:
    assert drawable(name) == left


def test_a_long_name_is_cut_to_its_room_and_keeps_its_beginning() -> None:
    assert fit_text("W" * 16, 180, TYPE).startswith("WW")
    assert fit_text("W" * 16, 180, TYPE).endswith("W…")
    assert fit_text("Bernadette", 180, TYPE) == "Bernadette"
    assert fit_text("W" * 16, 10, TYPE) == "…"


@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.text(max_size=20), min_size=1, max_size=4))
def test_no_name_breaks_the_drawing(names: list[str]) -> None:
    """A warning is an error here, and matplotlib warns of every sign that a font lacks."""
    group = group_of(len(names))
    members = tuple(
        Member(replace(each.book, runner=replace(each.book.runner, name=name)))
        for each, name in zip(group.members, names, strict=True)
    )
    assert all(shown_name(each.book.runner) for each in members)
    assert picture_of(sheet(replace(group, members=members), NOON, TODAY)).width == WIDTH


# Who gets it


@pytest.fixture
def people() -> World:
    return world()


def test_the_roster_offers_the_sheet_and_the_sheet_is_read_as_it_leaves(people: World) -> None:
    (roster,) = people.say(COACH, "/roster")
    (letter,) = people.press(COACH, roster.buttons[0])
    assert (letter.picture, letter.user, letter.chat) == (Picture.GROUP, COACH, "")
    people.say(BEN, "/leave group")
    people.say(ANA, "20 easy")
    with people.engine.begin() as conn:
        found = read_picture(conn, letter, people.now)
    assert found is not None
    assert isinstance(found.shown, Sheet)
    assert [line.name for line in found.shown.lines] == ["Ana"]
    assert "Ana, Mon (150 to 180): now 20" in found.text
    assert "Ben" not in found.text


@pytest.mark.parametrize("user", [ANA, HOST])
def test_the_sheet_is_for_coaches_alone(people: World, user: str) -> None:
    (letter,) = people.say(user, "/roster picture")
    assert letter.text.startswith("That is for coaches.")
    assert letter.picture is None


def test_the_sheet_is_not_shown_in_a_group_chat_and_holds_no_other_coachs_runners(people: World) -> None:
    assert all(letter.picture is None for letter in people.say(COACH, "/roster picture", chat=CHAT))
    assert people.texts(COACH, "/roster picture", chat=CHAT)[0] != IN_PRIVATE
    (other,) = people.say(OTHER_COACH, "/roster picture")
    assert "Cleo" in other.text
    assert "Ana" not in other.text


def test_a_coach_whose_group_is_closed_or_empty_by_then_gets_no_sheet(people: World) -> None:
    (letter,) = people.say(COACH, "/roster picture")
    people.say(ANA, "/leave group")
    people.say(BEN, "/leave group")
    with people.engine.begin() as conn:
        empty = read_picture(conn, letter, people.now)
    assert empty is not None
    assert (empty.text, empty.shown) == (EMPTY, None)
    assert people.texts(COACH, "/roster picture") == [EMPTY]
    people.say(COACH, "/close group")
    with people.engine.begin() as conn:
        assert read_picture(conn, letter, people.now) is None


def test_thirty_runners_arrive_as_a_picture_with_its_words_and_the_rest_of_them_below(tmp_path: Path) -> None:
    path = tmp_path / "bot.db"
    engine = open_database(f"sqlite:///{path}")
    with engine.begin() as conn:
        coach = book_repository.create(conn, "telegram", "7", "Kim", lately())
        number = coach_repository.begin(conn, coach.runner, LONG_AGO, next_digest(coach, LONG_AGO.replace(year=2200)))
        for each in group_of(30).members:
            before = book_repository.create(conn, "telegram", f"1{each.id:02}", each.book.runner.name, lately())
            after = replace(
                each.book, runner=replace(before.runner, stopped=True, joined_at=LONG_AGO), log=(ran(31),), weeks=()
            )
            book_repository.save(conn, before, after)
            group_repository.join(conn, before.runner.id, number, LONG_AGO)
        for page in (1, 2, 3):
            say = Say("words", picture=Picture.GROUP, page=page)
            outbox.put(conn, coach.runner, say, key=f"page {page}", now=LONG_AGO)
    engine.dispose()
    with FakeTelegram() as server:
        with Running(server.url, path, environ={"BOT_UNLIMITED": "1"}) as bot:
            server.until(lambda: sum(bool(each.photo) for each in server.to(7)) == 3)
            assert bot.end() == 0, bot.err
        came = server.to(7)
        assert server.wrong == []
    for sent in came:
        if sent.photo:
            with Image.open(io.BytesIO(sent.photo)) as image:
                image.load()
                assert image.size[0] == WIDTH
    told = "\n".join(sent.text for sent in came)
    assert all(f"{name}" in told for name in ("Кира Соколова", "ليلى", "王小明", "Zeno"))
