"""`serve` as a process against our own server: ordinary days, bad days, and the end."""

from __future__ import annotations

import itertools
import json
import signal
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from nudgebot.app.commands import menu
from nudgebot.app.request import Menu
from nudgebot.channels.telegram.dispatcher import GONE, TROUBLE
from nudgebot.domain.messages.group.host import NOBODY_HOSTS
from nudgebot.storage.backup import restore
from tests.servers import moment
from tests.servers.contract import units
from tests.servers.fake_telegram import BOT_ID, TOKEN, Break, FakeTelegram, message, person
from tests.servers.running import Running

ANA, BEA = 7, 8
NUMBERS = itertools.count(1001)  # ids of runners, new for each test that shares a bot
FAST = {"BOT_UNLIMITED": "1"}


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[FakeTelegram, Running]]:
    """A server and a bot that many tests share; each brings its own runners."""
    with FakeTelegram() as server:
        with Running(server.url, tmp_path_factory.mktemp("house") / "bot.db", environ=FAST) as bot:
            bot.ready()
            yield server, bot
        assert server.wrong == []  # every request kept to the published contract


@pytest.fixture
def shared(house: tuple[FakeTelegram, Running]) -> FakeTelegram:
    """The shared server, with its bot still alive."""
    server, bot = house
    assert bot.process.poll() is None, bot.err[-5:]
    assert not any(fault.times for fault in server.faults)
    return server


@pytest.fixture
def ana() -> int:
    return next(NUMBERS)


@pytest.fixture
def bea() -> int:
    return next(NUMBERS)


@pytest.fixture
def server() -> Iterator[FakeTelegram]:
    with FakeTelegram() as server:
        yield server
    assert server.wrong == []


@pytest.fixture
def bot(server: FakeTelegram, tmp_path: Path) -> Iterator[Running]:
    with Running(server.url, tmp_path / "bot.db", environ=FAST) as bot:
        bot.ready()
        yield bot


class TestAnOrdinaryDay:
    def test_a_line_is_answered_and_confirmed(self, shared: FakeTelegram, ana: int) -> None:
        shared.say(ana, "42 min easy")
        shared.until(lambda: shared.texts(ana) == ["heard: 42 min easy"])
        shared.until(lambda: not shared.updates)  # confirmed, and so forgotten

    def test_the_menu_is_set_and_a_webhook_that_would_be_in_the_way_is_taken_off(self, shared: FakeTelegram) -> None:
        shared.until(lambda: len(shared.of("setMyCommands")) == 3)
        menus = {
            json.loads(asked.fields["scope"])["type"]: [row["command"] for row in json.loads(asked.fields["commands"])]
            for asked in shared.of("setMyCommands")
        }
        assert menus["all_private_chats"] == [name for name, _ in menu([Menu.PRIVATE])]
        assert menus["all_group_chats"] == [name for name, _ in menu([Menu.GROUP])]
        assert set(menus["all_group_chats"]) < set(menus["all_chat_administrators"])
        (taken_off,) = shared.of("deleteWebhook")
        assert taken_off.fields == {}  # waiting updates are not dropped

    def test_each_chat_hears_its_answers_in_the_order_of_its_lines(
        self, shared: FakeTelegram, ana: int, bea: int
    ) -> None:
        for number in range(20):
            for user in (ana, bea):
                shared.say(user, f"line {number}")
        expected = [f"heard: line {number}" for number in range(20)]
        shared.until(lambda: len(shared.texts(ana) + shared.texts(bea)) == 40)
        assert shared.texts(ana) == shared.texts(bea) == expected

    def test_a_pressed_button_does_what_it_carries_and_its_waiting_sign_is_taken_off(
        self, shared: FakeTelegram, ana: int, bea: int
    ) -> None:
        shared.say(ana, "buttons")
        shared.until(lambda: shared.texts(ana))
        short, long = shared.to(ana)[0].callback_data
        query = shared.press(ana, short)
        shared.until(lambda: shared.texts(ana)[-1] == "heard: yes about q1")
        shared.until(
            lambda: {"callback_query_id": query} in [asked.fields for asked in shared.of("answerCallbackQuery")]
        )
        shared.press(ana, long)
        shared.until(lambda: shared.texts(ana)[-1].startswith("heard: a long word a long word"))
        shared.press(bea, long)  # another person's button
        shared.until(lambda: shared.texts(bea) == [GONE.text])

    def test_the_same_update_twice_is_acted_on_once(self, shared: FakeTelegram, ana: int) -> None:
        twice = {"update_id": 5000, "message": message(ana, 50, "42 min")}
        shared.push(twice)
        shared.until(lambda: shared.texts(ana))
        shared.push(twice)
        shared.say(ana, "and then")
        shared.until(lambda: shared.texts(ana)[-1] == "heard: and then")
        assert shared.texts(ana) == ["heard: 42 min", "heard: and then"]

    def test_another_line_under_a_number_that_was_used_is_answered_and_the_log_says_so(
        self, shared: FakeTelegram, house: tuple[FakeTelegram, Running], ana: int, bea: int
    ) -> None:
        shared.push({"update_id": 6000, "message": message(ana, 60, "before the numbers began again")})
        shared.until(lambda: shared.texts(ana))
        shared.push({"update_id": 6000, "message": message(bea, 61, "after it")})
        shared.until(lambda: shared.texts(bea) == ["heard: after it"])
        shared.until(lambda: any("update numbers begin again" in line for line in house[1].err))

    def test_a_hangup_signal_is_answered_in_the_log_and_ends_nothing(
        self, shared: FakeTelegram, house: tuple[FakeTelegram, Running], ana: int
    ) -> None:
        house[1].process.send_signal(signal.SIGHUP)
        shared.until(lambda: any("SIGHUP: nothing is read anew" in line for line in house[1].err))
        shared.say(ana, "still there?")
        shared.until(lambda: shared.texts(ana) == ["heard: still there?"])

    def test_a_long_answer_arrives_in_pieces(self, shared: FakeTelegram, ana: int) -> None:
        shared.say(ana, "🙂 words " * 455)  # 4,095 units, and "heard: " before them
        shared.until(lambda: len(shared.texts(ana)) == 2)
        assert all(units(text) <= 4096 for text in shared.texts(ana))

    def test_somebody_who_blocks_the_bot_is_marked_and_no_update_is_stuck(
        self, shared: FakeTelegram, ana: int, bea: int
    ) -> None:
        change = {
            "chat": message(ana, 1, "")["chat"],
            "from": person(ana),
            "date": 1,
            "new_chat_member": {"status": "kicked"},
        }
        shared.push({"my_chat_member": change})
        shared.push({"poll": {"id": "1"}})
        shared.push({"message": {"text": "unreadable"}})
        shared.say(bea, "hello")
        shared.until(lambda: shared.texts(bea))
        shared.until(lambda: not shared.updates)

    def test_a_line_with_half_a_character_or_a_nul_is_answered_and_stops_nobody(
        self, shared: FakeTelegram, ana: int
    ) -> None:
        shared.say(ana, "42 min \ud83d")
        shared.say(ana, "4\x002 min")
        shared.until(lambda: shared.texts(ana) == ["heard: 42 min \N{REPLACEMENT CHARACTER}", "heard: 42 min"])

    def test_a_line_that_meets_a_bug_is_put_aside_and_its_writer_is_told(self, shared: FakeTelegram, ana: int) -> None:
        shared.say(ana, "fail")
        shared.say(ana, "42 min")
        shared.until(lambda: shared.texts(ana) == [TROUBLE.text, "heard: 42 min"])


class TestABadDay:
    def test_an_answer_is_sent_until_it_is_confirmed(self, shared: FakeTelegram) -> None:
        # An end that nobody knows may bring the answer twice: silence would be worse.
        table: list[tuple[Break | tuple[int, dict[str, int]], int]] = [
            ((429, {"retry_after": 1}), 1),
            ((429, {}), 1),
            ((500, {}), 1),
            ((502, {}), 1),
            (Break.BEFORE, 1),
            (Break.AFTER, 2),
            (Break.GARBAGE, 2),
        ]
        told = {next(NUMBERS): times for _, times in table}
        for (how, _), runner in zip(table, told, strict=True):
            shared.fail("sendMessage", how, when=lambda fields, runner=runner: fields["chat_id"] == str(runner))
            shared.say(runner, "42 min")
        for runner, times in told.items():
            shared.until(lambda: len(shared.texts(runner)) == times)
            shared.say(runner, "next")
        for runner, times in told.items():
            shared.until(lambda: shared.texts(runner) == ["heard: 42 min"] * times + ["heard: next"])

    def test_retry_after_is_waited_for(self, shared: FakeTelegram, ana: int) -> None:
        shared.fail("sendMessage", (429, {"retry_after": 2}))
        shared.say(ana, "42 min")
        shared.until(lambda: shared.texts(ana))
        first, second = [sent for sent in shared.of("sendMessage") if sent.fields["chat_id"] == str(ana)]
        assert second.at - first.at >= 1.9

    def test_a_refused_chat_does_not_hold_up_the_others(self, shared: FakeTelegram, ana: int, bea: int) -> None:
        shared.fail("sendMessage", (429, {"retry_after": 600}), when=lambda fields: fields["chat_id"] == str(ana))
        shared.say(ana, "42 min")
        shared.until(lambda: not shared.faults[-1].times)
        shared.say(bea, "30 min")
        shared.until(lambda: shared.texts(bea))
        assert shared.texts(ana) == []

    def test_one_who_blocked_the_bot_is_written_to_no_more_until_they_write(
        self, shared: FakeTelegram, ana: int, bea: int
    ) -> None:
        shared.fail("sendMessage", (403, {}), description="Forbidden: bot was blocked by the user")
        shared.say(ana, "42 min")
        shared.until(lambda: not shared.faults[-1].times)
        shared.say(bea, "hello")
        shared.until(lambda: shared.texts(bea))
        assert shared.texts(ana) == []
        shared.say(ana, "I am back")
        shared.until(lambda: shared.texts(ana) == ["heard: I am back"])

    def test_a_chat_that_moved_is_followed(self, shared: FakeTelegram, ana: int, bea: int) -> None:
        shared.fail("sendMessage", (400, {"migrate_to_chat_id": bea}))
        shared.say(ana, "one")
        shared.say(ana, "two")
        shared.until(lambda: shared.texts(bea) == ["heard: one", "heard: two"])

    def test_a_message_that_is_refused_for_good_does_not_block_the_next(self, shared: FakeTelegram, ana: int) -> None:
        shared.fail("sendMessage", (400, {}), description="Bad Request: chat not found")
        shared.say(ana, "one")
        shared.say(ana, "two")
        shared.until(lambda: shared.texts(ana) == ["heard: two"])

    @pytest.mark.parametrize("how", [(409, {}), (429, {"retry_after": 1}), (500, {}), Break.BEFORE, (401, {})], ids=str)
    def test_polling_goes_on_after_any_failure(
        self, shared: FakeTelegram, ana: int, how: Break | tuple[int, dict[str, int]]
    ) -> None:
        shared.fail("getUpdates", how)
        shared.say(ana, "one")  # ends the poll under way; the next one fails
        shared.until(lambda: not any(fault.times for fault in shared.faults))
        shared.say(ana, "two")
        shared.until(lambda: shared.texts(ana) == ["heard: one", "heard: two"])


class TestOtherServers:
    def test_a_server_without_the_optional_methods_is_enough(self, tmp_path: Path) -> None:
        missing = frozenset({"setMyCommands", "answerCallbackQuery", "deleteWebhook"})
        with FakeTelegram(unknown=missing) as server, Running(server.url, tmp_path / "bot.db", environ=FAST) as bot:
            bot.ready()
            for number in range(3):
                server.press(ANA, f"\npress {number}")
            server.until(lambda: len(server.texts(ANA)) == 3)
            server.press(ANA, "\nlast")
            server.until(lambda: len(server.texts(ANA)) == 4)
            assert bot.end() == 0
            for method in missing:
                assert sum(method in line for line in bot.err) == 1, bot.err

    def test_a_server_that_is_away_at_the_start_is_waited_for(self, tmp_path: Path) -> None:
        with FakeTelegram() as server:
            server.fail("getMe", (500, {}), times=2)
            server.fail("getUpdates", Break.BEFORE)
            with Running(server.url, tmp_path / "bot.db") as bot:
                bot.ready()
                assert len(server.of("getMe")) == 3

    @pytest.mark.usefixtures("bot")
    def test_a_server_that_repeats_itself_keeps_nobody_busy(self, server: FakeTelegram) -> None:
        server.stubborn = True
        server.say(ANA, "again and again")
        server.until(lambda: len(server.of("getUpdates")) >= 5)
        polls = [poll.at for poll in server.of("getUpdates")]
        assert polls[-1] - polls[-2] >= 0.9
        assert server.texts(ANA) == ["heard: again and again"]

    def test_a_server_that_does_not_wait_keeps_nobody_busy(self, tmp_path: Path) -> None:
        proxy = {"HTTP_PROXY": "http://127.0.0.1:9"}  # nobody there, and not asked for a server on this machine
        with FakeTelegram(hasty=True) as server, Running(server.url, tmp_path / "bot.db", environ=proxy) as bot:
            bot.ready()
            server.until(lambda: len(server.of("getUpdates")) >= 6)
            polls = [poll.at for poll in server.of("getUpdates")]
            assert polls[-1] - polls[-5] >= 0.9
            server.say(ANA, "42 min")
            server.until(lambda: server.texts(ANA))

    @pytest.mark.usefixtures("bot")
    def test_an_update_far_ahead_does_not_stop_those_that_come_after(self, server: FakeTelegram) -> None:
        server.push({"update_id": 2**40, "message": message(ANA, 50, "far ahead")})
        server.until(lambda: server.texts(ANA))
        server.say(ANA, "numbered anew")
        server.until(lambda: server.texts(ANA)[-1] == "heard: numbered anew")

    def test_quick_lines_of_one_chat_are_answered_a_second_apart_and_others_need_not_wait(
        self, server: FakeTelegram, tmp_path: Path
    ) -> None:
        with Running(server.url, tmp_path / "bot.db") as bot:
            bot.ready()
            for number in range(3):
                server.say(ANA, f"line {number}")
            server.say(BEA, "hello")
            server.until(lambda: len(server.texts(ANA)) == 3)
        to_ana = [sent.at for sent in server.of("sendMessage") if sent.fields["chat_id"] == str(ANA)]
        to_bea = [sent.at for sent in server.of("sendMessage") if sent.fields["chat_id"] == str(BEA)]
        assert all(later - earlier > 0.95 for earlier, later in itertools.pairwise(to_ana))
        assert to_bea[0] < to_ana[1]


class TestTheEnd:
    @pytest.mark.parametrize("by", [signal.SIGTERM, signal.SIGINT])
    def test_a_signal_ends_it_with_0(self, bot: Running, by: signal.Signals) -> None:
        assert bot.end(by) == 0
        assert not any("Traceback" in line for line in bot.err)

    def test_a_signal_ends_it_without_waiting_out_a_call_that_hangs(self, server: FakeTelegram, bot: Running) -> None:
        server.fail("sendMessage", Break.HANG)
        server.say(ANA, "42 min")
        server.until(lambda: server.sent)
        assert bot.end() == 0
        # A call that was waited out is logged as an attempt; GOODBYE_SECONDS break it off long before that.
        assert not any("attempt" in line for line in bot.err), bot.err

    def test_a_signal_ends_it_with_0_while_no_server_is_there(self, tmp_path: Path) -> None:
        with FakeTelegram() as server:
            server.fail("getMe", (500, {}), times=1000)
            with Running(server.url, tmp_path / "bot.db") as bot:
                server.until(lambda: len(server.of("getMe")) >= 2)
                assert bot.end() == 0
                assert bot.out == []

    def test_a_database_that_cannot_be_made_ends_it_with_1_and_one_line(self, tmp_path: Path) -> None:
        (tmp_path / "file").touch()
        with Running("http://127.0.0.1:9", tmp_path / "file" / "bot.db") as bot:
            assert bot.ended() == 1
            assert len(bot.err) == 1
            assert bot.err[0].startswith("nudgebot: cannot create the database")

    def test_a_database_that_is_removed_is_noticed_and_what_it_held_can_be_put_back(
        self, server: FakeTelegram, bot: Running
    ) -> None:
        server.say(ANA, "before")
        server.until(lambda: server.texts(ANA) == ["heard: before"])
        for each in bot.database.parent.glob("bot.db*"):
            if not each.name.endswith(".lock"):
                each.unlink()
        assert bot.ended() == 1
        assert "was removed or replaced while it was in use" in bot.err[-1]
        bot.start()
        assert bot.ended() == 1  # and does not greet everybody as a stranger
        assert "was in use and is gone" in bot.err[-1]
        (copy,) = bot.database.parent.glob("bot.db.rescued-*")
        assert restore(f"sqlite:///{bot.database}", copy, moment.now()) is None
        with closing(sqlite3.connect(bot.database)) as conn:
            assert conn.execute("SELECT user FROM runners").fetchall() == [(str(ANA),)]

    def test_by_default_everything_is_kept_in_the_users_data_folder_for_its_owner_alone(
        self, server: FakeTelegram, tmp_path: Path
    ) -> None:
        with Running(server.url, tmp_path / "unused.db", environ={"NUDGEBOT_DATABASE": ""}) as bot:
            bot.ready()
            database = tmp_path / ".local" / "share" / "nudgebot" / "nudgebot.db"
            assert stat.S_IMODE(database.stat().st_mode) == 0o600
            assert stat.S_IMODE(database.parent.stat().st_mode) == 0o700

    def test_a_refused_token_ends_it_with_1_and_one_line(self, server: FakeTelegram, tmp_path: Path) -> None:
        with Running(server.url, tmp_path / "other.db", token="999:SECRET-SECRET") as other:
            assert other.ended() == 1
            assert other.err == [f"nudgebot: {NOBODY_HOSTS}", "nudgebot: the server refused the token"]

    def test_a_token_that_is_withdrawn_later_ends_it_with_1(self, server: FakeTelegram, bot: Running) -> None:
        server.token = "123456:another-token"
        server.push({"update_id": 1, "poll": {}})  # ends the poll under way
        assert bot.ended() == 1
        assert bot.err[-1] == "nudgebot: the server refused the token"

    def test_a_second_serve_on_the_same_file_ends_with_1_and_one_line(self, server: FakeTelegram, bot: Running) -> None:
        with Running(server.url, bot.database) as second:
            assert second.ended() == 1
            assert len(second.err) == 1
            assert second.err[0].startswith("nudgebot: the database ")
        server.say(ANA, "still there?")
        server.until(lambda: server.texts(ANA))

    def test_lines_and_answers_left_over_are_taken_up_by_the_next_start(
        self, server: FakeTelegram, bot: Running
    ) -> None:
        server.fail("sendMessage", (429, {"retry_after": 1}))
        server.say(ANA, "42 min")
        server.until(lambda: server.of("sendMessage"))
        assert bot.end() == 0
        assert server.texts(ANA) == []
        bot.start()
        server.until(lambda: server.texts(ANA) == ["heard: 42 min"])

    def test_lines_handed_out_newest_first_are_answered_in_the_order_in_which_they_were_said(
        self, server: FakeTelegram, bot: Running
    ) -> None:
        assert bot.end() == 0
        server.disorderly = True
        for number in range(3):
            server.say(ANA, f"line {number}")
        bot.start()
        server.until(lambda: len(server.texts(ANA)) == 3)
        assert server.texts(ANA) == [f"heard: line {number}" for number in range(3)]

    def test_neither_the_token_nor_a_runners_words_are_in_the_log(self, server: FakeTelegram, bot: Running) -> None:
        server.fail("sendMessage", Break.GARBAGE)
        server.fail("sendMessage", (400, {}), description="Bad Request")
        for line in ("my knee hurts", "fail", "knee again"):
            server.say(ANA, line)
        server.until(lambda: len(server.texts(ANA)) >= 3)
        server.fail("getUpdates", Break.BEFORE)
        server.say(BEA, "wake")  # ends the poll under way; the next one fails
        server.until(lambda: server.faults[-1].times == 0)
        arguments = Path(f"/proc/{bot.process.pid}/cmdline").read_bytes()
        bot.end()
        assert any("put aside: ValueError at bot.py:" in line for line in bot.err)
        written = "\n".join(bot.out + bot.err)
        assert TOKEN not in written
        assert TOKEN.partition(":")[2] not in written
        assert TOKEN.encode() not in arguments
        assert "knee" not in written
        assert str(BOT_ID) not in written.replace(f"tg:{BOT_ID}:", "")
