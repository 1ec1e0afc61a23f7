"""What leaves for Telegram: pieces of text, keyboards, pace; and what a server's answer means."""

from __future__ import annotations

import asyncio
import io
import json
import logging
import sys
from datetime import UTC
from itertools import pairwise

import pytest
from apscheduler.schedulers.asyncio import AsyncIOScheduler
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.channels.telegram.bot_api import (
    CallDone,
    CallOutcome,
    Conflict,
    Moved,
    NotFound,
    NotNow,
    Refused,
    RetryLater,
    Unknown,
    outcome,
)
from nudgebot.channels.telegram.keyboard import (
    ButtonRef,
    callback_data,
    keyboard,
    read_callback_data,
    split,
    units,
)
from nudgebot.channels.telegram.logs import begin_log, place
from nudgebot.channels.telegram.pacer import Limits, Pacer
from nudgebot.domain.model.action_codec import encode
from nudgebot.domain.model.actions import Action, ChosenMinutes, Open, Page, Reply, Resume, Undo
from nudgebot.domain.model.speech import Button

SHORT: tuple[Action, ...] = (Resume(), Undo("tg:7:41"), Open(Page.WEEK), Reply("k7", ChosenMinutes(45)))
WORDS = st.text(st.characters(codec="utf-8"), max_size=80)


class TestSplit:
    """ "1-4096 characters" of sendMessage (Bot API 10.1), counted in UTF-16 units."""

    @given(st.text(st.characters(codec="utf-8"), max_size=300), st.integers(2, 40))
    def test_no_piece_is_blank_or_too_long_and_no_word_is_lost(self, text: str, limit: int) -> None:
        pieces = split(text, limit)
        assert all(piece.strip() and units(piece) <= limit for piece in pieces)
        assert "".join("".join(pieces).split()) == "".join(text.split())

    def test_text_is_cut_after_a_line_else_at_a_space(self) -> None:
        assert split("one line\nanother line", 14) == ("one line", "another line")
        assert split("one two three", 8) == ("one two", "three")
        assert split("abcdefgh", 5) == ("abcde", "fgh")

    def test_an_emoji_counts_two(self) -> None:
        assert split("🙂" * 3, 4) == ("🙂🙂", "🙂")
        assert len(split("🙂" * 2048)) == 1
        assert len(split("🙂" * 2049)) == 2


class TestKeyboard:
    """callback_data is "1-64 bytes" (InlineKeyboardButton, Bot API 10.1)."""

    @given(st.sampled_from([*SHORT, Undo("x" * 70)]), st.integers(1, 10**9))
    def test_a_press_finds_its_action_or_its_letter(self, action: Action, letter: int) -> None:
        data = callback_data(Button("label", action), letter, 3)
        assert 1 <= len(data.encode()) <= 64
        assert read_callback_data(data) in (action, ButtonRef(letter, 3))

    def test_a_short_action_travels_with_its_button(self) -> None:
        assert callback_data(Button("45 min", Reply("k7", ChosenMinutes(45))), 12, 0) == "r|k7|m%7C45"
        assert callback_data(Button("Undo", Undo("tg:-100:" + "5" * 70)), 12, 0) == "#12.0"

    @given(WORDS)
    def test_foreign_data_is_no_action_or_one_of_ours(self, data: str) -> None:
        read = read_callback_data(data)
        assert read is None or isinstance(read, ButtonRef) or read_callback_data(encode(read)) == read

    def test_short_labels_share_a_row_and_a_long_one_has_its_own(self) -> None:
        def rows(*labels: str) -> list[list[str]]:
            board = keyboard([Button(label, Resume()) for label in labels], 1)
            return [[key["text"] for key in row] for row in board["inline_keyboard"]]

        assert rows("yes", "no", "skip", "back") == [["yes", "no", "skip"], ["back"]]
        assert rows("did it", "tomorrow at the same time") == [["did it"], ["tomorrow at the same time"]]


def answer(**content: object) -> bytes:
    return json.dumps(content).encode()


@pytest.mark.parametrize(
    ("status", "body", "means"),
    [
        (200, answer(ok=True, result=[1]), CallDone([1])),
        (200, answer(ok=True), Unknown("an answer of no known form")),
        (200, b"<html>", Unknown("an answer of no known form")),
        (200, b"[1]", Unknown("an answer of no known form")),
        (200, answer(ok=False, error_code=403, description="no"), Refused(403, "no")),
        (400, answer(ok=False, description="Bad Request: chat not found"), Refused(400, "Bad Request: chat not found")),
        (400, answer(ok=False, parameters={"migrate_to_chat_id": -1009}), Moved(-1009)),
        (401, answer(ok=False), NotFound(401)),
        (403, answer(ok=False, description="Forbidden: bot was blocked"), Refused(403, "Forbidden: bot was blocked")),
        (404, b"", NotFound(404)),
        (409, answer(ok=False), Conflict()),
        (413, b"", Refused(413, "")),
        (429, answer(ok=False, parameters={"retry_after": 7}), RetryLater(7)),
        (429, b"", RetryLater(1)),
        (429, answer(ok=False, parameters={"retry_after": -7}), RetryLater(0)),
        (500, answer(ok=False), NotNow("500")),
        (502, b"<html>", NotNow("502")),
        (504, b"", Unknown("504")),
        (302, b"", NotNow("302")),
        (400, b"[" * 100_000, Refused(400, "")),
    ],
)
def test_what_the_answer_of_a_server_means(status: int, body: bytes, means: CallOutcome) -> None:
    assert outcome(status, body) == means


class TestPacer:
    """Telegram's bot FAQ: one message a second to a chat, 20 a minute to a group, about 30 a second overall."""

    def drive(self, chats: list[str]) -> list[tuple[float, str]]:
        pacer, now, left = Pacer(Limits()), 0.0, []
        for chat in chats:
            now = max(pacer.chat_at(chat, now), pacer.anyone_at(now))
            pacer.took(chat, now)
            left.append((now, chat))
        return left

    @given(st.lists(st.sampled_from(["1", "2", "3", "-4", "-5"]), max_size=120))
    def test_the_published_limits_are_kept(self, chats: list[str]) -> None:
        left = self.drive(chats)
        for chat in set(chats):
            times = [at for at, to in left if to == chat]
            assert all(later - earlier >= 0.999 for earlier, later in pairwise(times))
            if chat.startswith("-"):
                assert all(later - earlier >= 59.99 for earlier, later in zip(times, times[20:], strict=False))

    def test_many_chats_get_thirty_a_second(self) -> None:
        left = self.drive([str(chat) for chat in range(1, 302)])
        assert left[-1][0] == pytest.approx(10.0)
        assert max(sum(start <= at < start + 1 for at, _ in left) for start in range(10)) <= 31

    def test_a_refused_chat_waits_alone_and_two_make_everyone_wait(self) -> None:
        pacer = Pacer(Limits())
        pacer.held("1", 0.0, 30.0)
        assert (pacer.chat_at("1", 1.0), pacer.chat_at("2", 1.0), pacer.anyone_at(1.0)) == (30.0, 1.0, 1.0)
        pacer.held("2", 1.0, 5.0)
        assert pacer.anyone_at(1.0) == 6.0


class TestLog:
    """Nothing that is logged shows the token or a runner's words."""

    TOKEN = "123456:SECRET-secret"

    @pytest.fixture
    def stream(self, monkeypatch: pytest.MonkeyPatch) -> io.StringIO:
        root = logging.getLogger()
        monkeypatch.setattr(root, "handlers", [])
        monkeypatch.setattr(root, "level", root.level)
        monkeypatch.setattr(sys, "excepthook", sys.excepthook)
        stream = io.StringIO()
        begin_log(self.TOKEN, stream, logging.DEBUG)
        return stream

    def raised(self) -> ValueError:
        words = f"bot{self.TOKEN}/getMe said: my knee hurts"
        try:
            try:
                int(words)
            except ValueError as error:
                raise ValueError(words) from error
        except ValueError as error:
            found = error
        return found

    def test_messages_arguments_and_tracebacks_are_clean(self, stream: io.StringIO) -> None:
        log = logging.getLogger("anywhere")
        log.debug("asked %s", f"https://host/bot{self.TOKEN}/getMe")
        log.error("quoted %s", self.TOKEN.replace(":", "%3A"))
        log.error("failed", exc_info=self.raised())
        sys.excepthook(ValueError, self.raised(), None)
        written = stream.getvalue()
        assert "SECRET" not in written
        assert "knee" not in written
        assert written.count("ValueError") >= 4  # the type and its cause, twice
        assert "/bot[token]/getMe" in written

    def test_the_libraries_stay_quiet_below_warnings(self, stream: io.StringIO) -> None:
        for name in ("httpx", "httpcore.http11", "telegram.Bot", "apscheduler.scheduler"):
            logging.getLogger(name).info("my knee hurts")
        assert stream.getvalue() == ""

    def test_a_job_cut_off_at_the_end_is_no_error_and_a_job_that_failed_is_one(self, stream: io.StringIO) -> None:
        async def stop_in_the_middle() -> None:
            begun = asyncio.Event()

            async def sweep() -> None:
                raise self.raised()

            async def tick() -> None:
                begun.set()
                await asyncio.Event().wait()

            jobs = AsyncIOScheduler(timezone=UTC)
            for work in (sweep, tick):
                jobs.add_job(work, id=work.__name__, name=work.__name__)
            jobs.start()
            await begun.wait()
            jobs.shutdown(wait=False)
            for _ in range(5):  # until the cancelled job has been heard of
                await asyncio.sleep(0)

        asyncio.run(stop_in_the_middle())
        (error,) = [line for line in stream.getvalue().splitlines() if " ERROR " in line]
        assert 'Job "sweep' in error
        assert "CancelledError" not in stream.getvalue()
        assert "knee" not in stream.getvalue()

    def test_the_place_of_an_error_is_one_line_without_its_words(self) -> None:
        assert place(self.raised()).startswith("ValueError at test_wire.py:")
