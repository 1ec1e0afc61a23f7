"""CPU time of each step of a line that is logged and replanned, without a server: shown by `tests.bench.echo`."""

from __future__ import annotations

import json
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from nudgebot.channels.telegram.updates import VOICE, BotName, TextLine, hear
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.storage import book_repository, inbox, outbox
from nudgebot.storage.database import opened
from nudgebot.storage.writer import Writer
from tests.bench.store import fill
from tests.servers.fake_telegram import message

LEASE = timedelta(minutes=1)


def show_steps(show: Callable[[str], None], lines: int = 400) -> None:
    """The steps of a line in their order, each the median of `lines`, and their sum."""
    took: defaultdict[str, list[float]] = defaultdict(list)
    now = datetime.now(UTC)  # noqa: TID251 - the clock of the bot under test
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'steps.db'}"
        fill(url, lines, VOICE, "", now)
        with opened(url) as engine, Writer(engine) as writer:
            for number in range(1, lines + 1):
                steps = _Steps(took)
                raw = {"update_id": number, "message": message(number, number, "20 easy")}
                with writer.begin() as conn:
                    update = inbox.Update(f"u{number}", VOICE, str(number), str(number), json.dumps(raw))
                    inbox.receive(conn, [update], now)
                    steps.end("store the update")
                with writer.begin() as conn:
                    steps.begin()
                    waiting = inbox.waiting(conn, 1)
                    heard = hear(json.loads(waiting[0].raw), BotName(1, "bot"), now)
                    assert isinstance(heard, TextLine)
                    inbox.accept(conn, heard.incoming.key, now)
                    steps.end("take it up")
                    before = book_repository.find(conn, VOICE, str(number))
                    assert before is not None
                    steps.end("load the book")
                    book = planner.roll(before, before.today(now))
                    said = answer(book, Heard(heard.incoming.key, heard.incoming.text, now, now))
                    assert len(said.book.log) == 1
                    steps.end("read, log, replan, word")
                    next_look = nudges.next_look(said.book, now)
                    steps.end("find the next look")
                    book_repository.save(conn, before, said.book, next_due=next_look)
                    outbox.put(conn, said.book.runner, said.says[0], key=f"a{number}", now=now)
                    inbox.done(conn, update.key, now)
                    steps.end("save")
                    (letter,) = outbox.claim(conn, VOICE, now, 1, LEASE, unasked=False)
                    steps.end("take up the answer")
                with writer.begin() as conn:
                    steps.begin()
                    outbox.delivered(conn, letter.id, now, "1")
                    steps.end("save the outcome")
    total = 0.0
    show("CPU time of the steps of one line, without the three commits and the network")
    for name, times in took.items():
        total += median(times)
        show(f"  {name:26} {1000 * median(times):6.2f} ms")
    show(f"  {'together':26} {1000 * total:6.2f} ms")


class _Steps:
    """A stopwatch of CPU time that is read at the end of each step."""

    def __init__(self, took: defaultdict[str, list[float]]) -> None:
        self._took = took
        self.begin()

    def begin(self) -> None:
        self._at = time.thread_time()

    def end(self, name: str) -> None:
        self._took[name].append(time.thread_time() - self._at)
        self.begin()
