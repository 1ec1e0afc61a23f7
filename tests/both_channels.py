"""One conversation in both channels at once: typed in the terminal, and written to `serve` over HTTP, told the same."""

from __future__ import annotations

import io
import json
import re
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from nudgebot.channels.terminal.console import Talk, ToldClock
from tests.memory import in_memory
from tests.servers.fake_telegram import FakeTelegram
from tests.servers.running import Running

GROUP = -1000500
SILENT = 1.5  # s
WAIT = 20.0  # s; what has not come by then does not come
CODE = re.compile(r"/start ([A-Za-z0-9_-]{22})")


class Noted(ToldClock):
    """A told clock that notes each moment it was set to."""

    def __init__(self, at: datetime) -> None:
        self.moments: list[datetime] = []
        super().__init__(at)

    def __setattr__(self, name: str, value: Any) -> None:
        super().__setattr__(name, value)
        if name == "at":
            self.moments.append(value)


@dataclass
class Terminal:
    """The terminal voice, a line at a time: what each line leads to, by when and to whom."""

    at: datetime
    zone: str
    speaker: str
    owner: str = ""
    read: int = 0

    def __post_init__(self) -> None:
        self.out = io.StringIO()
        self.clock = Noted(self.at)
        zone, engine = ZoneInfo(self.zone), in_memory()
        self.sitting = Talk(
            engine, self.out, sys.stderr, self.clock, self.speaker, zone, as_json=True, echo=False, owner=self.owner
        )

    def says(self, line: str) -> list[dict[str, Any]]:
        """The messages that `line` causes, in order."""
        self.clock.moments.clear()
        self.sitting.play([line])
        lines = self.out.getvalue()[self.read :].splitlines()
        self.read = len(self.out.getvalue())
        return [json.loads(each) for each in lines]

    def now(self) -> datetime:
        """Its clock."""
        return self.sitting.now()


@dataclass
class Telegram:
    """`serve` and its server; `told` is what each chat should have been told by now."""

    server: FakeTelegram
    clock: Path
    ids: dict[str, int] = field(default_factory=dict)
    told: dict[int, list[str]] = field(default_factory=lambda: defaultdict(list))
    differences: int = 0
    compared: int = 0
    number: int = 100

    def user(self, name: str) -> int:
        """The number by which the platform knows a person."""
        return self.ids.setdefault(name, 8000 + len(self.ids))

    def set_clock(self, to: datetime) -> None:
        """The bot's clock shows `to` from now on."""
        new = self.clock.with_suffix(".new")  # the bot never reads half a number
        new.write_text(str(to.timestamp() - time.time()), encoding="ascii")
        new.replace(self.clock)

    def say(self, name: str, line: str, at: datetime, *, group: bool) -> None:
        """Somebody writes a line, in private or in the group, or presses a button."""
        self.number += 1
        person = {"id": self.user(name), "is_bot": False, "first_name": name}
        press = re.fullmatch(r"#(\d+)", line)
        if press is not None:
            data = next(sent.callback_data for sent in reversed(self.server.to(self.user(name))) if sent.callback_data)
            under = {"message_id": 1, "date": int(at.timestamp()), "chat": {"id": self.user(name), "type": "private"}}
            query = {"id": f"press-{self.number}", "from": person, "message": under, "chat_instance": "1"}
            self.server.push({"callback_query": query | {"data": data[int(press[1]) - 1]}})
            return
        if (code := CODE.fullmatch(line)) is not None:
            newest = next(sent.text for sent in reversed(self.server.sent) if CODE.search(sent.text))
            line = line.replace(code[1], CODE.findall(newest)[0])
        chat = {"id": GROUP, "type": "supergroup"} if group else {"id": self.user(name), "type": "private"}
        said = {"message_id": self.number, "from": person, "chat": chat, "date": int(at.timestamp()), "text": line}
        self.server.push({"message": said})

    def expect(self, messages: list[dict[str, Any]]) -> None:
        """Waits until these have come, and holds each against what came."""
        for message in messages:
            chat = self.user(message["to"]) if message["in"] == "private" else GROUP
            self.told[chat].append(message["text"])
        chats = {self.user(m["to"]) if m["in"] == "private" else GROUP for m in messages}
        end = time.monotonic() + WAIT
        while time.monotonic() < end and any(len(self.server.texts(c)) < len(self.told[c]) for c in chats):
            time.sleep(0.02)
        for chat in chats:
            came, wanted = self.server.texts(chat), self.told[chat]
            if [_plain(text) for text in came] != [_plain(text) for text in wanted]:
                self.differences += 1
                pairs = enumerate(zip(map(_plain, came), map(_plain, wanted), strict=False))
                place = next((n for n, (one, other) in pairs if one != other), -1)
                print(f"{chat}: {came[place]!r} in place of {wanted[place]!r}; {len(came)} of {len(wanted)}")
                self.told[chat] = list(came)
        self.compared += len(messages)


def _plain(text: str) -> str:
    """A text without an invitation's code and link, which differ."""
    return text.partition("\n")[0] if "/revoke" in text else text


def play(terminal: Terminal, telegram: Telegram, lines: Iterable[str]) -> None:
    """Plays all lines in both channels, side by side."""
    speaker, group, code = terminal.speaker, False, ""
    for typed in lines:
        line = f"/start {code}" if typed.startswith("/start ") else typed
        before = terminal.now()
        messages = terminal.says(line)
        for message in messages:
            code = next(iter(CODE.findall(message["text"])), code)
        if line.startswith("@ as "):
            speaker = line.removeprefix("@ as ")
        elif line.startswith("@ in "):
            group = line != "@ in private"
        elif line.startswith("@"):
            said = defaultdict(list)
            for message in messages:
                said[datetime.fromisoformat(message["at"])].append(message)
            for at in sorted({*said, *terminal.clock.moments}):
                telegram.set_clock(at)
                telegram.expect(said[at])
                if not said[at]:
                    time.sleep(SILENT)  # something is settled without a word; the bot looks once a second
        else:
            telegram.set_clock(before)
            telegram.say(speaker, line, before, group=group)
            telegram.expect(messages)


@dataclass(frozen=True)
class Compared:
    """What a conversation in both channels came to; `wrong` are requests against the published description."""

    messages: int
    differences: int
    wrong: int


def compare(terminal: Terminal, lines: Iterable[str], environ: dict[str, str] | None = None) -> Compared:
    """Plays `lines` by `terminal` and by a `serve` of its own; `environ` are more settings of that."""
    with tempfile.TemporaryDirectory() as folder, FakeTelegram() as server:
        telegram = Telegram(server, Path(folder) / "ahead")
        if terminal.owner:
            environ = {"NUDGEBOT_OWNER": str(telegram.user(terminal.owner)), **(environ or {})}
        telegram.set_clock(terminal.at)
        told = {"BOT_UNLIMITED": "1", "BOT_CONVERSATION": "real", "BOT_CLOCK": str(telegram.clock)}
        with Running(server.url, Path(folder) / "bot.db", environ={**told, **(environ or {})}) as bot:
            bot.ready()
            play(terminal, telegram, lines)
        return Compared(telegram.compared, telegram.differences, len(server.wrong))
