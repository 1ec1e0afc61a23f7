"""What is done unasked: `tick` for the runners who are due, `digest` for the coaches, `sweep` once an hour.

Each is one function of the time, called by the clock of a channel. Who is due is one indexed question to the store;
nothing is kept in memory between two calls, so a restart, a late call or a clock that was set needs no other path.
"""

from __future__ import annotations

import logging
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection, Engine

from nudgebot.app import coaching, ownership
from nudgebot.app.digest import digest_withdrawn, send_digest
from nudgebot.app.notifications import send_nudge
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.parameters import kept_since
from nudgebot.domain.model.runner import Book
from nudgebot.domain.nudging import nudges, triggers
from nudgebot.domain.nudging.learned_hour import with_learned_hour
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.domain.planning import planner
from nudgebot.storage import (
    book_repository,
    coach_repository,
    due_queue,
    inbox,
    invitation_repository,
    outbox,
    owners,
    pruning,
)
from nudgebot.storage.database import OneAtATime, fold_log, only_one, reading
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.letter import Letter

LIMIT: Final = 10  # runners a round, some 25 ms: answers that came in meanwhile have their turn between two
AT_LEAST: Final = timedelta(minutes=1)  # between two looks at one runner, whatever the next one is said to be
AFTER_A_FAILURE: Final = timedelta(minutes=15)
SNOOZE_KEPT: Final = timedelta(days=2)  # after its time

_log = logging.getLogger(__name__)


def tick(engine: Engine, now: datetime, voice: str, limit: int = LIMIT) -> int:
    """Looks at the runners of `voice` that are due, at most `limit`, each in a transaction of their own.

    Returns how many were due, 0 if other workers see to all of them. A runner whose book fails us is logged by
    number and looked at again later; the others are served. Raises StoreFault if the store itself cannot be used.
    """
    with reading(engine) as conn:
        ids = due_queue.take_due(conn, now, limit, voice)
    looked = False
    for runner_id in ids:
        with _outlived(f"runner {runner_id}") as failed, engine.begin() as conn:
            if due_queue.is_due(conn, runner_id, now):
                looked = True
                look(conn, runner_id, now)
        if failed:
            looked = True
            with engine.begin() as conn:
                due_queue.set_next(conn, runner_id, now + AFTER_A_FAILURE)
    return len(ids) if looked else 0


@contextmanager
def _outlived(whom: str) -> Iterator[list[str]]:
    """A bug with one person's book must not silence the others: it is logged, and its place is in the list."""
    failed: list[str] = []
    try:
        yield failed
    except StoreFault:
        raise
    except Exception as error:
        # Where, but not what: the message of an error may quote the runner.
        last = traceback.extract_tb(error.__traceback__)[-1]
        failed.append(last.name)
        _log.error("%s: %s in %s, line %s", whom, type(error).__name__, last.name, last.lineno)


def digest(engine: Engine, now: datetime, voice: str) -> None:
    """Makes the coaches' digests that fell due, each in a transaction of its own; raises StoreFault like `tick`.

    Stand-ins whose days are over are let go first.
    """
    with reading(engine) as conn:
        numbers, over = coach_repository.digests_due(conn, voice, now), coach_repository.over(conn, now)
    if over:
        with engine.begin() as conn:
            if only_one(conn, OneAtATime.DIGEST):
                coaching.end_stand_ins(conn, now)
    for coach, number in numbers:
        with _outlived(f"digest of {coach}") as failed, engine.begin() as conn:
            if only_one(conn, OneAtATime.DIGEST):
                send_digest(conn, coach, number, now)
        if failed:
            with engine.begin() as conn:
                coach_repository.set_digest(conn, coach, number, now + AFTER_A_FAILURE)


def look(conn: Connection, runner_id: int, now: datetime) -> Book:
    """Brings one book up to `now`, puts what falls due into the outbox, and notes when to look again."""
    before = book_repository.load(conn, runner_id)
    book = with_learned_hour(planner.roll(before, before.today(now)), now)
    called = triggers.find_calls(book, now)
    for verdict in nudges.settle_due(book, now, called):
        if send_nudge(conn, book, verdict, now):
            book = replace(book, nudges=(*book.nudges, verdict.nudged))
    # One that was settled is kept a while: the letter is held against it once more before it leaves.
    book = replace(book, snoozes=tuple(snooze for snooze in book.snoozes if snooze.at > now - SNOOZE_KEPT))
    book_repository.save(conn, before, book)
    after = nudges.next_look(book, now, called)
    due_queue.set_next(conn, runner_id, None if after is None else max(after, now + AT_LEAST))
    return book


def withdrawn(conn: Connection, letter: Letter, now: datetime) -> Reason | None:
    """Why `letter` may not leave at `now`: a nudge is held against the book as it is, anything else always may."""
    if letter.nudge_kind is None or letter.for_day is None or letter.slot is None:
        return None
    if letter.runner_id is None:
        return Reason.ERASED
    try:
        book = book_repository.load(conn, letter.runner_id, to_write=False)
    except LookupError:  # erased while their letter was in the sender's hand
        return Reason.ERASED
    if letter.nudge_kind is NudgeKind.COACH_DIGEST:
        return digest_withdrawn(conn, book, letter.slot, now)
    return nudges.why_withdrawn(book, letter.nudge_kind, letter.for_day, letter.slot, now)


def sweep(engine: Engine, now: datetime) -> None:
    """Removes what is no longer needed, and wipes what was erased off the disk; once an hour is enough."""
    with engine.begin() as conn:
        if not only_one(conn, OneAtATime.SWEEP):
            return
        inbox.prune(conn, now)
        outbox.prune(conn, now)
        invitation_repository.prune(conn, now)
        owners.prune(conn, now)
        for voice in pruning.voices(conn):
            _let_old_go(conn, voice, now)
    fold_log(engine)


def _let_old_go(conn: Connection, voice: str, now: datetime) -> None:
    """Deletes what is older than the host keeps things, and whom nobody heard of as long; each was told in time."""
    since = kept_since(now, owners.keep_months(conn, voice))
    ownership.give_notice(conn, voice, now)
    gone = pruning.trim(conn, voice, since, now)
    silent = pruning.silent_for_good(conn, voice, since, now)
    for runner_id in silent:
        coaching.prepare_erasure(
            conn, book_repository.load(conn, runner_id), Heard(f"silent:{runner_id}", "", now, now)
        )
        book_repository.erase(conn, runner_id)
    if gone or silent:
        _log.info("kept long enough: %d rows and %d silent runners are gone", gone, len(silent))


def next_due(engine: Engine, voice: str) -> datetime | None:
    """When the first runner or digest of `voice` is due, None if none is: a clock that jumps can jump there."""
    with reading(engine) as conn:
        return min(
            filter(None, (due_queue.next_due(conn, voice), coach_repository.next_digest(conn, voice))), default=None
        )
