"""`serve` in a process of its own, with a conversation small enough to check every answer of.

`python -m tests.servers.bot` reads the settings that `nudgebot serve` reads. With BOT_UNLIMITED=1 it keeps no pace,
with BOT_PACE=N one of N messages a second; with BOT_CONVERSATION=real it talks as nudgebot does. BOT_AHEAD says by how
many seconds its clock is ahead of the host's; BOT_CLOCK names a file that holds that number, and may change meanwhile.
Workers on PostgreSQL take BOT_AHEAD for the server's clock, too; BOT_CLOCK_OFF is by how much one's own is off beside
it, and BOT_LEASE for how many seconds one has a letter in hand.
"""

from __future__ import annotations

import os
import sys
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from sqlalchemy import Connection

from nudgebot.app import handle_message
from nudgebot.app.access import Host
from nudgebot.channels.settings import Settings, read_settings
from nudgebot.channels.telegram.pacer import Limits
from nudgebot.channels.telegram.serve import serve
from nudgebot.domain.model.actions import ChosenValue, Reply
from nudgebot.domain.model.speech import ANSWER, NUDGE, Button, Incoming, Say
from nudgebot.storage import book_repository, inbox, outbox

UNLIMITED = Limits(overall=1e9, per_chat=1e9, per_group=10**9)


def echo(conn: Connection, incoming: Incoming, now: datetime) -> None:
    """Answers "heard: …" with the line, once; "fail" is a bug, "buttons" brings two of them.

    "nudge …" is answered by what counts as an ordinary nudge.
    """
    if not inbox.accept(conn, incoming.key, now):
        return
    book = book_repository.find(conn, incoming.voice, incoming.user)
    if book is None:
        book = book_repository.create(conn, incoming.voice, incoming.user, incoming.name, now)
    if incoming.text == "fail":
        raise ValueError(incoming.text)
    buttons = (
        (Button("yes", Reply("q1", ChosenValue("yes"))), Button("long", Reply("q1", ChosenValue("a long word " * 9))))
        if incoming.text == "buttons"
        else ()
    )
    said = f"heard: {incoming.text}"
    if isinstance(incoming.action, Reply) and isinstance(incoming.action.chosen, ChosenValue):
        said = f"heard: {incoming.action.chosen.text} about {incoming.action.question}"
    kind = f"{NUDGE}morning" if incoming.text.startswith("nudge") else ANSWER
    outbox.put(conn, book.runner, Say(said, kind, buttons), key=f"answer:{incoming.key}", now=now)


def main() -> int:
    """Exit status of `serve`, 2 for wrong settings."""
    settings = read_settings(os.environ, sys.platform)
    if not isinstance(settings, Settings):
        for fault in settings:
            print(f"nudgebot: {fault}", file=sys.stderr)
        return 2
    limits = UNLIMITED if os.environ.get("BOT_UNLIMITED") else Limits()
    if pace := os.environ.get("BOT_PACE"):
        limits = Limits(overall=float(pace))
    real = partial(handle_message.take, host=Host(settings.owner, settings.open_door))
    talks = os.environ.get("BOT_CONVERSATION") == "real"
    ahead, told = os.environ.get("BOT_AHEAD", "0"), os.environ.get("BOT_CLOCK")

    def clock() -> datetime:
        seconds = float(Path(told).read_text(encoding="ascii") if told else ahead)
        off = float(os.environ.get("BOT_CLOCK_OFF", "0"))
        return datetime.now(UTC) + timedelta(seconds=seconds + off)  # noqa: TID251 - the clock of the bot under test

    def agreed(server: datetime) -> datetime:
        return server + timedelta(seconds=float(ahead))

    lease = timedelta(seconds=float(os.environ["BOT_LEASE"])) if "BOT_LEASE" in os.environ else None
    several = partial(serve, settings, clock, limits=limits, agreed=agreed, lease=lease)
    if talks:
        return several(real)
    return several(echo, prepare=lambda: None)  # which reads no words


if __name__ == "__main__":
    sys.exit(main())
