"""A bot that is killed at any moment, a platform that loses answers: what the two boxes promise all the same.

The clauses are those of docs/operations.md, "The store", and of the platform's published interface: updates come
again until they are confirmed, and a message has no idempotency key.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from datetime import timedelta
from enum import Enum, auto

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from sqlalchemy import Connection

from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Runner
from nudgebot.domain.model.speech import ANSWER, NUDGE, SAFETY, Say
from nudgebot.storage import book_repository, inbox, outbox
from nudgebot.storage.inbox import Update
from nudgebot.storage.letter import Letter, sent_once
from tests.memory import in_memory
from tests.storage.examples import NOW

LEASE = timedelta(seconds=60)
KINDS = (
    ANSWER,
    SAFETY,
    f"{NUDGE}{NudgeKind.SAFETY_FOLLOWUP}",
    f"{NUDGE}{NudgeKind.MORNING}",
    f"{NUDGE}{NudgeKind.SNOOZED}",
)


class End(Enum):
    """How a call of the platform can end."""

    CONFIRMED = auto()
    ARRIVED_UNKNOWN = auto()  # it arrived, and the answer was lost
    LOST_UNKNOWN = auto()  # it never arrived, and nobody knows
    PUT_OFF = auto()  # 429: not taken, come again later
    KILLED_BEFORE = auto()  # the bot ends before the call
    KILLED_AFTER = auto()  # the bot ends after the call, before it notes the end


@dataclass(frozen=True, slots=True)
class Put:
    """A letter that was put in the box, and where."""

    kind: str
    chat: str


class Killed(Exception):  # noqa: N818 - not an error: the end of a process
    """The process ended in the middle of a transaction."""


class Boxes(RuleBasedStateMachine):
    """The bot, the platform and bad luck, each a set of rules."""

    @initialize()
    def start(self) -> None:
        self.engine = in_memory()
        self.now = NOW
        self.people: list[Runner] = []
        with self.engine.begin() as conn:
            self.people = [book_repository.create(conn, "telegram", user, user, NOW).runner for user in ("7", "8")]
        self.put: dict[str, Put] = {}
        self.in_hand: list[Letter] = []
        self.arrived: Counter[str] = Counter()
        self.confirmed: set[str] = set()
        self.called: defaultdict[tuple[str, bool], list[int]] = defaultdict(list)
        self.offered: list[Update] = []
        self.handled: Counter[str] = Counter()

    def teardown(self) -> None:
        if not hasattr(self, "engine"):
            return
        self.restart()
        for _ in range(4 * len(self.offered) + 4):
            self.receive_all()
            self.handle(killed=False)
        for _ in range(4 * (len(self.put) + len(self.handled)) + 4):
            self.now += timedelta(minutes=6)
            self.claim(limit=10)
            while self.in_hand:
                self.call(End.CONFIRMED)
        # "What must arrive is sent again until it is confirmed."
        assert {key for key, put in self.put.items() if not sent_once(put.kind)} <= self.confirmed
        # "No update is lost, and none is acted on twice."
        assert self.handled == Counter(update.key for update in self.offered)
        self.promises()
        self.engine.dispose()

    @rule(kind=st.sampled_from(KINDS), person=st.sampled_from((0, 1)), chat=st.sampled_from(("", "-100")))
    def say(self, kind: str, person: int, chat: str) -> None:
        key = f"letter {len(self.put)}"
        with self.engine.begin() as conn:
            self._put(conn, self.people[person], key, kind, chat)

    def _put(self, conn: Connection, runner: Runner, key: str, kind: str, chat: str) -> None:
        assert outbox.put(conn, runner, Say(key, kind), key=key, now=self.now, chat=chat)
        assert not outbox.put(conn, runner, Say(key, kind), key=key, now=self.now, chat=chat)
        self.put[key] = Put(kind, chat or runner.user)

    @rule(limit=st.integers(1, 3))
    def claim(self, limit: int) -> None:
        with self.engine.begin() as conn:
            letters = outbox.claim(conn, "telegram", self.now, limit, LEASE)
        for letter in letters:
            self.called[letter.chat or letter.user, letter.kind.startswith(NUDGE)].append(letter.id)
        self.in_hand += letters
        # "A letter leaves once at a time" in its chat.
        assert len({letter.chat or letter.user for letter in self.in_hand}) == len(self.in_hand)

    @rule()
    def killed_while_claiming(self) -> None:
        try:
            with self.engine.begin() as conn:
                outbox.claim(conn, "telegram", self.now, 3, LEASE)
                raise Killed
        except Killed:
            pass

    @precondition(lambda self: self.in_hand)
    @rule(end=st.sampled_from(End))
    def call(self, end: End) -> None:
        letter = self.in_hand.pop(0)
        if end is not End.KILLED_BEFORE:
            with self.engine.begin() as conn:
                outbox.calling(conn, letter.id, letter.attempts)
        if end in {End.CONFIRMED, End.ARRIVED_UNKNOWN, End.KILLED_AFTER}:
            self.arrived[letter.key] += 1
        with self.engine.begin() as conn:
            match end:
                case End.CONFIRMED:
                    outbox.delivered(conn, letter.id, self.now, "m")
                    self.confirmed.add(letter.key)
                case End.ARRIVED_UNKNOWN | End.LOST_UNKNOWN:
                    outbox.unknown(conn, letter.id, self.now)
                case End.PUT_OFF:
                    outbox.try_at(conn, letter.id, self.now + timedelta(seconds=30))
                case End.KILLED_BEFORE | End.KILLED_AFTER:
                    pass
        if end in {End.KILLED_BEFORE, End.KILLED_AFTER}:
            self.in_hand.clear()

    @rule(seconds=st.sampled_from((1, 30, 90)))
    def time_passes(self, seconds: int) -> None:
        """A sender that is alive never outlives its lease: the voice's calls time out well before."""
        if not self.in_hand:
            self.now += timedelta(seconds=seconds)

    @precondition(lambda self: not self.in_hand)
    @rule()
    def recover(self) -> None:
        with self.engine.begin() as conn:
            outbox.recover(conn, "telegram", self.now)

    @rule()
    def restart(self) -> None:
        self.in_hand.clear()
        with self.engine.begin() as conn:
            outbox.recover(conn, "telegram", self.now, all_leases=True)

    @rule()
    def somebody_writes(self) -> None:
        number = len(self.offered)
        self.offered.append(Update(f"update {number}", "telegram", "", "7", "hello"))

    @rule(first=st.integers(0, 5))
    def receive_again(self, first: int) -> None:
        """The platform offers everything it does not know to be confirmed, so again and again."""
        with self.engine.begin() as conn:
            inbox.receive(conn, self.offered[first:], self.now)

    def receive_all(self) -> None:
        self.receive_again(0)

    @rule(killed=st.booleans())
    def handle(self, *, killed: bool) -> None:
        try:
            with self.engine.begin() as conn:
                waiting = inbox.waiting(conn, 1)
                put_before = dict(self.put)
                for update in waiting:
                    assert inbox.accept(conn, update.key, self.now)
                    self._put(conn, self.people[0], f"answer to {update.key}", ANSWER, "")
                    inbox.done(conn, update.key, self.now)
                if killed:
                    self.put = put_before
                    raise Killed
                self.handled.update(update.key for update in waiting)
        except Killed:
            pass

    @invariant()
    def promises(self) -> None:
        if not hasattr(self, "engine"):
            return
        # "An ordinary nudge is sent at most once."
        assert all(n <= 1 for key, n in self.arrived.items() if sent_once(self.put[key].kind))
        # "Never before an earlier one of its chat", but for an answer that passes a nudge: calls never go back.
        assert all(calls == sorted(calls) for calls in self.called.values())
        assert max(self.handled.values(), default=1) == 1


TestBoxes = Boxes.TestCase
TestBoxes.settings = settings(max_examples=25, stateful_step_count=40, deadline=None)


def test_the_machine_notices_a_nudge_that_is_sent_again() -> None:
    """The check itself is checked: the promise breaks as soon as the letter's kind is read as another."""
    machine = Boxes()
    machine.start()
    machine.say(ANSWER, 0, "")
    machine.claim(1)
    machine.call(End.ARRIVED_UNKNOWN)
    machine.now += timedelta(minutes=1)
    machine.claim(1)
    machine.call(End.CONFIRMED)
    machine.put["letter 0"] = replace(machine.put["letter 0"], kind=f"{NUDGE}{NudgeKind.MORNING}")
    try:
        machine.promises()
    except AssertionError:
        return
    raise AssertionError("two arrivals of an ordinary nudge went unnoticed")
