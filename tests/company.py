"""A small world of invented people: two coaches with their groups, an ex-member, strangers, and who hosts it all."""

from __future__ import annotations

import itertools
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from sqlalchemy import Connection, Engine, select

from nudgebot.app import handle_message, scheduler
from nudgebot.app.access import Host
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book, Training
from nudgebot.domain.model.speech import Button, Incoming
from nudgebot.domain.overview.group import next_digest
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.storage import book_repository, coach_repository, group_repository, outbox, schema
from nudgebot.storage.letter import Letter
from tests.memory import in_memory, kept, made_once

NOW = datetime(2027, 1, 4, 12, tzinfo=UTC)  # a Monday, in winter: Lisbon's clock is UTC
HOST, COACH, OTHER_COACH = "1", "2", "3"
ANA, BEN, CLEO, DAN, EVE = "11", "12", "13", "14", "15"
NAMES = {HOST: "Olga", COACH: "Kim", OTHER_COACH: "Lou", ANA: "Ana", BEN: "Ben", CLEO: "Cleo", DAN: "Dan", EVE: "Eve"}
CHAT, OTHER_CHAT = "-100", "-200"
VOICE = "telegram"
ANSWERS = {
    "adult": "yes", "active": "yes", "disease": "no", "signs": "no", "pregnancy": "no", "medicine": "no",
    "goal": "endurance", "weekly": "75", "longest": "35", "commute": "no",
    "days": "mon 45, tue 45, wed 45, thu 45, sat 90, sun 90", "long_day": "sat", "zone": "Europe/Lisbon",
    "run_time": "18:00", "remind_at": "06:45", "quiet": "21:30-06:30", "country": "PT", "birth_year": "1975",
}  # fmt: skip


@dataclass
class World:
    """The people in their store. `say` is a line of one of them; it gives back the letters that it caused."""

    engine: Engine = field(default_factory=in_memory)
    now: datetime = NOW
    open_door: bool = False
    keys: Iterable[int] = field(default_factory=itertools.count)

    def say(self, user: str, text: str, *, chat: str = "", **more: Any) -> list[Letter]:
        """What `user` says in private or in `chat`, and every letter that came of it, in order."""
        key = more.pop("key", None) or f"tg:{chat or user}:{next(iter(self.keys))}"
        incoming = Incoming(key, VOICE, user, NAMES.get(user, "Somebody"), text, self.now, chat=chat)
        incoming = replace(incoming, door="https://t.me/our_bot?start=", **more)
        with self.engine.begin() as conn:
            before = set(conn.scalars(select(schema.outbox.c.id)))
            handle_message.take(conn, incoming, self.now, Host(HOST, self.open_door))
            new = sorted(set(conn.scalars(select(schema.outbox.c.id))) - before)
            letters = [outbox.find(conn, each) for each in new]
        return [letter for letter in letters if letter is not None]

    def press(self, user: str, button: Button) -> list[Letter]:
        """`user` presses a button, and every letter that came of it."""
        return self.say(user, "", action=button.action)

    def texts(self, user: str, text: str, **more: Any) -> list[str]:
        """The texts of `say`."""
        return [letter.text for letter in self.say(user, text, **more)]

    def book(self, user: str) -> Book | None:
        """Somebody's book as it is on the disk."""
        with self.engine.begin() as conn:
            return book_repository.find(conn, VOICE, user)

    def number(self, user: str) -> int:
        """Somebody's number in the store."""
        book = self.book(user)
        assert book is not None, NAMES[user]
        return book.runner.id

    def code(self, coach: str, command: str = "/invite") -> str:
        """A new invitation's code."""
        (text,) = self.texts(coach, command)
        return text.partition("?start=")[2].split()[0]

    def deliver(self, until: datetime | None = None) -> list[Letter]:
        """Everything that may leave by `until`, delivered."""
        at = until or self.now
        came: list[Letter] = []
        while True:
            with self.engine.begin() as conn:
                letters = outbox.claim(conn, VOICE, at, 50, timedelta(minutes=1))
                for letter in letters:
                    outbox.delivered(conn, letter.id, at, "1")
            if not letters:
                return came
            came += letters

    def rows(self, *, without: Iterable[str] = ()) -> dict[str, list[tuple[Any, ...]]]:
        """Every row of every table but letters and keys heard, those of the people in `without` left out."""
        left_out = {self.number(user) for user in without if self.book(user) is not None}
        found: dict[str, list[tuple[Any, ...]]] = {}
        with self.engine.begin() as conn:
            for table in schema.metadata.sorted_tables:
                if table.name in {"outbox", "inbox", "heard", "knocks", "mentions"}:
                    continue
                owner = "id" if table.name == "runners" else "runner_id"
                rows = conn.execute(select(table)).mappings()
                found[table.name] = [tuple(row.values()) for row in rows if row.get(owner) not in left_out]
        return found


def runner(conn: Connection, user: str, now: datetime = NOW) -> Book:
    """Somebody who has been through the questions and runs to plan."""
    made = book_repository.create(conn, VOICE, user, NAMES[user], now)
    book = replace(
        made,
        intake=intake_codec.from_rows(ANSWERS),
        profile=intake.profile(intake_codec.from_rows(ANSWERS)),
        standing=Training(),
    )
    book = planner.begin(book, book.today(now), now_closed=False)
    book_repository.save(conn, made, book)
    return book_repository.load(conn, made.runner.id)


def world(engine: Engine | None = None) -> World:
    """Kim coaches Ana and Ben, Lou coaches Cleo; Kim took Dan out; nobody knows Eve."""
    if engine is None:
        return World(in_memory(_kept_world()))
    made = World(engine)
    with made.engine.begin() as conn:
        book_repository.create(conn, VOICE, HOST, NAMES[HOST], NOW)
        for coach, chat, runs in ((COACH, CHAT, (ANA, BEN, DAN)), (OTHER_COACH, OTHER_CHAT, (CLEO,))):
            book = book_repository.create(conn, VOICE, coach, NAMES[coach], NOW)
            number = coach_repository.begin(conn, book.runner, NOW, next_digest(book, NOW))
            group_repository.bind(conn, number, chat)
            for user in runs:
                group_repository.join(conn, runner(conn, user).runner.id, number, NOW)
        dan = book_repository.find(conn, VOICE, DAN)
        assert dan is not None
        group_repository.leave(conn, dan.runner.id, NOW, removed=True)
    return made


@cache
def _kept_world() -> sqlite3.Connection:
    with made_once() as engine:
        return kept(world(engine).engine)


def round_at(people: World, at: datetime) -> list[Letter]:
    """What a round at `at` puts in the box and lets go; what was said before it is delivered first."""
    people.deliver()
    people.now = at
    scheduler.tick(people.engine, at, "telegram")
    scheduler.digest(people.engine, at, "telegram")
    return people.deliver()


def digests(people: World, at: datetime) -> list[Letter]:
    """The digests that a round at `at` lets go."""
    return [letter for letter in round_at(people, at) if letter.nudge_kind is NudgeKind.COACH_DIGEST]


def digested(people: World, at: datetime) -> list[str]:
    """Whom a round at `at` sends a digest."""
    return [letter.user for letter in digests(people, at)]


def comes(people: World, user: str, command: str) -> list[str]:
    """`user` takes the link of the coach's `command`; what they are told."""
    return people.texts(user, f"/start {people.code(COACH, command)}")


def roster(people: World, user: str) -> str:
    """The roster as `user` sees it."""
    return people.texts(user, "/roster")[0]
