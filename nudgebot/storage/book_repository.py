"""Books on disk: one runner found, made, loaded whole, saved by difference, erased without trace.

Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Row, Table, bindparam, delete, insert, select, update
from sqlalchemy.dialects import sqlite

from nudgebot.domain.model.runner import Book, Joining, Runner
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.storage import schema, shelves, singles, whole

T = TypeVar("T")

_RUNNER: Final = schema.runners.c
_NAMED: Final = select(schema.runners).where(_RUNNER.voice == bindparam("voice"), _RUNNER.user == bindparam("user"))
_NUMBERED: Final = select(schema.runners).where(_RUNNER.id == bindparam("runner"))
# Built once: composing a statement costs more than running it.
_CHANGED: Final = update(schema.runners).where(_RUNNER.id == bindparam("runner"))


def find(conn: Connection, voice: str, user: str) -> Book | None:
    """The book of the person that `voice` knows as `user`, None for a stranger."""
    row = conn.execute(_NAMED, {"voice": voice, "user": user}).one_or_none()
    return None if row is None else _whole(conn, row)


def create(conn: Connection, voice: str, user: str, name: str, at: datetime) -> Book:
    """A new book for a stranger, with the intake before them; raises IntegrityError for a person who has one."""
    runner = Runner(0, voice, user, name, joined_at=at, last_heard=at)
    made = conn.execute(insert(schema.runners).values(half_runs=0, **_runner_row(runner))).inserted_primary_key
    if made is None:
        raise RuntimeError("the database gave the new runner no number")
    conn.execute(insert(schema.standings).values(runner_id=made[0], **singles.standing_row(Joining())))
    return Book(replace(runner, id=made[0]))


def all_ids(conn: Connection) -> tuple[int, ...]:
    """Numbers of all runners, in the order in which they joined."""
    return tuple(conn.scalars(select(_RUNNER.id).order_by(_RUNNER.id)))


def load(conn: Connection, runner_id: int) -> Book:
    """The whole book of a runner; LookupError where there is no such runner.

    The log and the limits reach back 140 days from when the runner was last heard, what was settled 67 days;
    the rest is all there is.
    """
    row = conn.execute(_NUMBERED, {"runner": runner_id}).one_or_none()
    if row is None:
        raise LookupError("no such runner", runner_id)
    return _whole(conn, row)


def _whole(conn: Connection, row: Row[Any]) -> Book:
    rows = whole.of_runner(conn, row.id, row.last_heard)
    told = intake_codec.from_rows({answer.question: answer.answer for answer in rows["answers"]})
    laid_out: dict[Any, list[Any]] = {}
    for laid in shelves.LAYOUTS.read(rows["layouts"], row.id):
        laid_out.setdefault(laid.start, []).append(laid.session)
    runner = Runner(row.id, row.voice, row.user, row.name, row.joined_at, row.last_heard, row.stopped, row.reachable)
    return Book(
        runner=runner,
        profile=intake.profile(told),
        standing=_single(rows["standings"], lambda standing: singles.standing(standing, row.joined_at)) or Joining(),
        intake=told,
        log=shelves.LOG.read(rows["log"], row.id),
        plan=shelves.PLAN.read(rows["plan"], row.id),
        weeks=tuple(
            replace(week, sessions=tuple(laid_out.get(week.start, ())))
            for week in shelves.WEEKS.read(rows["weeks"], row.id)
        ),
        limits=shelves.LIMITS.read(rows["limits"], row.id),
        returning=_single(rows["returns"], singles.returning),
        walk_run=_single(rows["ladders"], singles.ladder),
        asked=_single(rows["questions"], singles.asked),
        nudges=shelves.NUDGES.read(rows["nudges"], row.id),
        snoozes=shelves.SNOOZES.read(rows["snoozes"], row.id),
        symptoms=shelves.SYMPTOMS.read(rows["symptoms"], row.id),
        pauses=shelves.PAUSES.read(rows["pauses"], row.id),
        half_runs=row.half_runs,
    )


def save(conn: Connection, before: Book, after: Book) -> None:
    """Makes the disk, which holds `before`, hold `after`; only what differs is written.

    The profile follows from the answers and is not kept.
    """
    runner_id = after.runner.id
    if (before.runner, before.half_runs) != (after.runner, after.half_runs):
        conn.execute(_CHANGED, {"runner": runner_id, "half_runs": after.half_runs, **_runner_row(after.runner)})
    _save_answers(conn, before, after)
    if before.standing != after.standing:
        _put(conn, schema.standings, runner_id, singles.standing_row(after.standing))
    if before.asked != after.asked:
        _put(conn, schema.questions, runner_id, singles.asked_row(after.asked))
    if before.returning != after.returning:
        _put(conn, schema.returns, runner_id, singles.return_row(after.returning))
    if before.walk_run != after.walk_run:
        _put(conn, schema.ladders, runner_id, singles.ladder_row(after.walk_run))
    for shelf in shelves.SHELVES:
        shelf.save(conn, before, after)


def erase(conn: Connection, runner_id: int) -> None:
    """Removes every row of a person, what they wrote and what was still to be said to them included."""
    row = conn.execute(_NUMBERED, {"runner": runner_id}).one_or_none()
    if row is None:
        return
    for letters in (schema.inbox, schema.outbox):
        conn.execute(delete(letters).where(letters.c.voice == row.voice, letters.c.user == row.user))
    conn.execute(delete(schema.runners).where(_RUNNER.id == runner_id))  # the rest goes with it, by its reference


def _runner_row(runner: Runner) -> dict[str, Any]:
    return {
        "voice": runner.voice,
        "user": runner.user,
        "name": runner.name,
        "joined_at": runner.joined_at,
        "last_heard": runner.last_heard,
        "stopped": runner.stopped,
        "reachable": runner.reachable,
    }


def _single(rows: list[Any], read: Callable[[Any], T | None]) -> T | None:
    return read(rows[0]) if rows else None


def _put(conn: Connection, table: Table, runner_id: int, row: dict[str, Any] | None) -> None:
    if row is None:
        conn.execute(delete(table).where(table.c.runner_id == runner_id))
        return
    conn.execute(
        sqlite.insert(table)
        .values(runner_id=runner_id, **row)
        .on_conflict_do_update(index_elements=["runner_id"], set_=row)
    )


def _save_answers(conn: Connection, before: Book, after: Book) -> None:
    if before.intake == after.intake:
        return
    answers = schema.answers
    known, told = intake_codec.as_rows(before.intake), intake_codec.as_rows(after.intake)
    gone = known.keys() - told.keys()
    if gone:
        of_runner = answers.c.runner_id == after.runner.id
        conn.execute(delete(answers).where(of_runner, answers.c.question.in_(gone)))
    come = [
        {"runner_id": after.runner.id, "question": question, "answer": answer}
        for question, answer in told.items()
        if known.get(question) != answer
    ]
    if come:
        once = sqlite.insert(answers)
        conn.execute(
            once.on_conflict_do_update(index_elements=["runner_id", "question"], set_={"answer": once.excluded.answer}),
            come,
        )
