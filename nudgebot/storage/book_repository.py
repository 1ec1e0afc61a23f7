"""Books on disk: one runner found, made, loaded whole, saved by difference, erased without trace.

Every function works on the caller's connection, inside the caller's transaction. What a book is made of is in
`book_tables`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from operator import attrgetter, itemgetter
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Table,
    bindparam,
    delete,
    insert,
    select,
    update,
)

from nudgebot.domain.model.runner import (
    Book,
    Joining,
    Runner,
    Standing,
    Training,
)
from nudgebot.domain.model.week import Session, Week
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.storage import schema
from nudgebot.storage.book_tables import LISTS, SINGLES, SOME_HOLD, STANDING, Rows, writing
from nudgebot.storage.codec import BareRows, Cells
from nudgebot.storage.database import only_reads, wipe_after
from nudgebot.storage.statement import Statement

_RUNNER: Final = schema.runners.c
_PERSON: Final = tuple(each.name for each in fields(Runner))
_person: Final = attrgetter(*_PERSON)
# What the book itself holds of plain values lies in the same row as the person.
OWN: Final = tuple(each.name for each in fields(Book) if each.name in _RUNNER)
_CELLS: Final = (*_PERSON[1:], *OWN)  # the columns of that row, without its number; and what is in them
_cells: Final = attrgetter(*(f"runner.{name}" for name in _PERSON[1:]), *OWN)
_singles: Final = attrgetter(*SINGLES)
_lists: Final = attrgetter(*(each.field for each in LISTS))

_named = select(schema.runners).where(_RUNNER.voice == bindparam("voice"), _RUNNER.user == bindparam("user"))
_numbered = select(schema.runners).where(_RUNNER.id == bindparam("runner"))
# Whoever may write a book locks its runner's row first; others may still refer to it. (A file has one writer anyway.)
_NAMED: Final = Statement(_named)
_NUMBERED: Final = Statement(_numbered)
_NAMED_TO_WRITE: Final = Statement(_named.with_for_update(key_share=True))
_NUMBERED_TO_WRITE: Final = Statement(_numbered.with_for_update(key_share=True))
_CHANGED: Final = Statement(update(schema.runners).where(_RUNNER.id == bindparam("runner")))


def find(conn: Connection, voice: str, user: str) -> Book | None:
    """The book of the person that `voice` knows as `user`, None for a stranger; held as by `load`."""
    row = (_NAMED if only_reads(conn) else _NAMED_TO_WRITE).row(conn, {"voice": voice, "user": user})
    return None if row is None else _whole(conn, row)


def create(conn: Connection, voice: str, user: str, name: str, at: datetime) -> Book:
    """A new book for a stranger, with the intake before them; raises IntegrityError for a person who has one."""
    book = Book(Runner(0, voice, user, name, joined_at=at, last_heard=at))
    row = dict(zip(_CELLS, _cells(book), strict=True))
    made = conn.execute(insert(schema.runners).values(row)).inserted_primary_key
    if made is None:
        raise RuntimeError("the database gave the new runner no number")
    conn.execute(insert(schema.standings).values(runner_id=made[0], **STANDING.row(book.standing)))
    return replace(book, runner=replace(book.runner, id=made[0]))


def all_ids(conn: Connection) -> tuple[int, ...]:
    """Numbers of all runners, in the order in which they joined."""
    return tuple(conn.scalars(select(_RUNNER.id).order_by(_RUNNER.id)))


def load(conn: Connection, runner_id: int, *, to_write: bool = True) -> Book:
    """The whole book of a runner; LookupError if there is no such runner.

    Nobody else writes it before this transaction ends, unless it is loaded only to be looked at. How far it reaches
    back is in `book_tables.LISTS`, counted from when the runner was last heard.
    """
    statement = _NUMBERED_TO_WRITE if to_write and not only_reads(conn) else _NUMBERED
    row = statement.row(conn, {"runner": runner_id})
    if row is None:
        raise LookupError("no such runner", runner_id)
    return _whole(conn, row)


def person(conn: Connection, runner_id: int) -> Runner:
    """Who has that number, without their book; LookupError where nobody has."""
    row = _NUMBERED.row(conn, {"runner": runner_id})
    if row is None:
        raise LookupError("no such runner", runner_id)
    return Runner(*_person(row))


def save(conn: Connection, before: Book, after: Book, **also: datetime | None) -> None:
    """Makes the disk, which holds `before`, hold `after`; only what differs is written.

    `also` is written into the runner's row with it: `next_due`, when to look at the runner again. The profile follows
    from the answers and is not kept.
    """
    runner_id = after.runner.id
    # Without the columns that are the same: an index over one would be written anew.
    cells = zip(_CELLS, _cells(before), _cells(after), strict=True)
    differ = {name: value for name, known, value in cells if value != known} | also
    if differ:
        _CHANGED.run(conn, {"runner": runner_id, **differ})
    _save_answers(conn, before, after)
    for codec, known, value in zip(SINGLES.values(), _singles(before), _singles(after), strict=True):
        if value is not known and value != known:
            _put(conn, codec.table, runner_id, None if value is None else codec.row(value))
    for each, known, value in zip(LISTS, _lists(before), _lists(after), strict=True):
        if value is not known:
            each.save(conn, runner_id, known, value)


def move(conn: Connection, runner: Runner, user: str) -> None:
    """The person is `user` of the same voice from now on, with all that is theirs and what waits for them."""
    conn.execute(update(schema.runners).where(_RUNNER.id == runner.id).values(user=user))
    inbox, letters = schema.inbox, schema.outbox
    conn.execute(delete(inbox).where(inbox.c.voice == runner.voice, inbox.c.user == runner.user))
    conn.execute(update(letters).where(letters.c.runner_id == runner.id).values(user=user))
    private = (letters.c.runner_id == runner.id, letters.c.chat == "")
    conn.execute(update(letters).where(*private).values(address=f"@{user}"))


def erase(conn: Connection, runner_id: int) -> None:
    """Removes every row of a person, what they wrote and what was still to be said to them included."""
    row = _NUMBERED.row(conn, {"runner": runner_id})
    if row is None:
        return
    for letters in (schema.inbox, schema.outbox):
        conn.execute(delete(letters).where(letters.c.voice == row.voice, letters.c.user == row.user))
    conn.execute(delete(schema.runners).where(_RUNNER.id == runner_id))  # the rest goes with it, by its reference
    wipe_after(conn)


def _whole(conn: Connection, row: Any) -> Book:
    runner = Runner(*_person(row))
    rows = _rows(conn, runner)
    told = intake_codec.from_rows(dict(map(_ANSWER, rows[schema.answers.name])))
    held: dict[str, Any] = {name: _BY_TABLE[name].read(found) for name, found in rows.items() if name in _BY_TABLE}
    laid_out: defaultdict[date, list[Session]] = defaultdict(list)
    for laid in held.pop(schema.layouts.name, ()):
        laid_out[laid.start].append(Session(laid.day, laid.minutes, laid.kind))
    held["weeks"] = tuple(
        Week(week.start, week.target, week.long_run, week.kind, tuple(laid_out.get(week.start, ())), week.full)
        for week in held.get("weeks", ())
    )
    for name, codec in SINGLES.items():
        if found := rows.get(codec.table.name):
            held[name] = codec.read(found[0])
    held["standing"] = held.get("standing") or _standing(rows[schema.standings.name], runner)
    own = {name: getattr(row, name) for name in OWN}
    return Book(runner=runner, profile=intake.profile(told), intake=told, **held, **own)


def _standing(rows: list[Cells], runner: Runner) -> Standing:
    """Where a runner stands whose row cannot be read: training to plan, or the hold that the row still tells of."""
    if not rows:
        return Joining()
    # Only a hold names a level; losing one is the dearer mistake, and the runner's word ends it.
    kind, level = (rows[0][schema.standings.columns.keys().index(name)] for name in ("kind", "level"))
    hold = SOME_HOLD.read(rows[0]) if level or kind == "on_hold" else None
    return Training() if hold is None else replace(hold, since=max(hold.since, runner.joined_at))


def _put(conn: Connection, table: Table, runner_id: int, row: dict[str, Any] | None) -> None:
    if row is None:
        conn.execute(delete(table).where(table.c.runner_id == runner_id))
        return
    _PUTTING[table.name].run(conn, {"runner_id": runner_id, **row})


def _save_answers(conn: Connection, before: Book, after: Book) -> None:
    if before.intake is after.intake or before.intake == after.intake:
        return
    answers = schema.answers
    known, told = intake_codec.differing_rows(before.intake, after.intake)
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
        _ANSWERING.run_each(conn, come)


def _rows(conn: Connection, runner: Runner) -> Rows:
    """All rows that make up a book."""
    given: dict[str, object] = {"runner": runner.id}
    for name, (back, is_moment) in _SINCE.items():
        since = runner.last_heard - back
        given[name] = since if is_moment else since.date()
    return _EVERYTHING.read(conn, given)


def _everything() -> tuple[BareRows, dict[str, tuple[timedelta, bool]]]:
    """The rows of a book; and from when on it holds a list that it does not hold all of.

    That is a parameter, with how far back it lies, and whether it is a moment; lists that reach as far share one.
    """
    since: dict[str, tuple[timedelta, bool]] = {}
    whole = (schema.answers, *(codec.table for codec in SINGLES.values()))
    shares: list[tuple[Table, Sequence[ColumnElement[bool]]]] = [
        (table, (table.c.runner_id == bindparam("runner"),)) for table in whole
    ]
    for each in LISTS:
        where: list[ColumnElement[bool]] = [each.table.c.runner_id == bindparam("runner")]
        if each.days is not None:
            dated = each.table.c[each.dated]
            is_moment = isinstance(dated.type, schema.Instant)
            name = f"since_{each.days}_{'moment' if is_moment else 'day'}"
            since[name] = (timedelta(days=each.days), is_moment)
            where.append(dated >= bindparam(name))
        shares.append((each.table, where))
    return BareRows(shares), since


_EVERYTHING, _SINCE = _everything()
_ANSWER: Final = itemgetter(*map(schema.answers.c.keys().index, ("question", "answer")))
_BY_TABLE: Final = {each.table.name: each for each in LISTS}
_ANSWERING: Final = writing(schema.answers, ("runner_id", "question"))
_PUTTING: Final = {codec.table.name: writing(codec.table, ("runner_id",)) for codec in SINGLES.values()}
