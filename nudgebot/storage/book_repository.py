"""Books on disk: one runner found, made, loaded whole, saved by difference, erased without trace.

Every function works on the caller's connection, inside the caller's transaction. What a book holds one of is in
`_SINGLES`, what it holds many of in `LISTS`; a field of a value is a column of its table, by name.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, timedelta
from operator import attrgetter, itemgetter
from typing import Any, Final, Generic, TypeVar

from sqlalchemy import (
    Connection,
    Table,
    bindparam,
    delete,
    insert,
    select,
    update,
)

from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.recording import Recording
from nudgebot.domain.model.runner import (
    Asked,
    Book,
    DayLimit,
    Ill,
    Joining,
    LimitReason,
    Nudged,
    OnHold,
    Outcome,
    Pause,
    PressedReading,
    Return,
    Runner,
    SafetyQuestion,
    Snooze,
    Standing,
    SymptomNote,
    Training,
    Walking,
    WalkRun,
)
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.storage import schema
from nudgebot.storage.codec import BareRows, Cells, Codec, UnionCodec
from nudgebot.storage.database import only_reads, upsert, wipe_after
from nudgebot.storage.statement import Statement

T = TypeVar("T")
Rows = defaultdict[str, list[Cells]]  # by table
DateOrMoment = date | datetime

_ID: Final = itemgetter(0)  # `id` is the first column of what a book holds many of
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A session of the week that starts on `start`, as first laid out."""

    start: date
    day: date
    minutes: int
    kind: SessionKind


@dataclass(frozen=True, slots=True)
class BookList(Generic[T]):
    """One kind of value that a book holds many of, in the field that its table is named after.

    `dated` is the field that dates a value; `days` how far back a book reaches before the runner was last heard, None
    for all of it. `unique` names the columns that may be there once a runner: writing such a row again changes it.
    `of` finds the values in the weeks of a book, for what lies there.
    """

    codec: Codec[T]
    dated: str
    days: int | None = None
    unique: tuple[str, ...] = ()
    of: Callable[[tuple[Week, ...]], tuple[T, ...]] | None = None

    @property
    def table(self) -> Table:
        """Where the rows are."""
        return self.codec.table

    @property
    def field(self) -> str:
        """The field of the book in which the values lie."""
        return self.table.name if self.of is None else "weeks"

    def values(self, book: Book) -> tuple[T, ...]:
        """These, as `book` holds them."""
        found: Any = getattr(book, self.field)
        values: tuple[T, ...] = found if self.of is None else self.of(found)
        return values

    def read(self, rows: list[Cells]) -> tuple[T, ...]:
        """What a book's rows hold of these, in date order; a row that cannot be read is left out."""
        values = [value for value in map(self.codec.read, sorted(rows, key=_ID)) if value is not None]
        # By what was read, not by the cells: a damaged one may not even compare with the others.
        values.sort(key=attrgetter(self.dated))
        return tuple(values)

    def save(self, conn: Connection, before: Book, after: Book) -> None:
        """Writes what differs between the two books; dates that did not change are not touched."""
        if getattr(before, self.field) == getattr(after, self.field):
            return
        old, new = self.values(before), self.values(after)
        runner_id = after.runner.id
        was, now = self._by_date(old), self._by_date(new)
        gone: list[int] = []
        come: list[dict[str, Any]] = []
        for when in was.keys() | now.keys():
            had, have = was.get(when, []), now.get(when, [])
            same = next((i for i, pair in enumerate(zip(had, have, strict=False)) if pair[0] != pair[1]), None)
            kept = min(len(had), len(have)) if same is None else same
            if had[kept:]:
                gone += self._ids(conn, runner_id, when, had[kept:])
            come += [{"runner_id": runner_id, **self.codec.row(value)} for value in have[kept:]]
        if gone:
            _DELETING[self.table.name].run_each(conn, [{"row": each} for each in gone])
        if come:
            come.sort(key=itemgetter(self.dated))
            _WRITING[self.table.name].run_each(conn, come)

    def _by_date(self, values: tuple[T, ...]) -> dict[DateOrMoment, list[T]]:
        date_of = attrgetter(self.dated)
        dates: defaultdict[DateOrMoment, list[T]] = defaultdict(list)
        for value in values:
            dates[date_of(value)].append(value)
        return dates

    def _ids(self, conn: Connection, runner_id: int, when: DateOrMoment, values: list[T]) -> list[int]:
        """Ids of the newest rows of that date that hold `values`; a row that cannot be read is never among them."""
        left = list(values)
        ids: list[int] = []
        rows = _OF_A_DATE[self.table.name].read(conn, {"runner": runner_id, "date": when})[self.table.name]
        for cells in sorted(rows, key=_ID, reverse=True):
            value = self.codec.read(cells)
            if value in left:
                left.remove(value)
                ids.append(_ID(cells))
        return ids


LAYOUTS: Final = BookList(
    Codec(LaidOut, schema.layouts, instead={"kind": SessionKind.EASY}),
    "start",
    of=lambda weeks: tuple(LaidOut(week.start, s.day, s.minutes, s.kind) for week in weeks for s in week.sessions),
)
WEEKS: Final = BookList(
    Codec(Week, schema.weeks, instead={"kind": WeekKind.STEADY}, given={"sessions": ()}),
    "start",
    of=lambda weeks: tuple(replace(week, sessions=()) for week in weeks),
)
NUDGES: Final = BookList(
    # An outcome that cannot be read counts as sent: silence beats a double.
    Codec(Nudged, schema.nudges, instead={"outcome": Outcome.SENT}),
    "at",
    days=67,
    unique=("runner_id", "kind", "for_day", "slot"),
)
LISTS: Final[tuple[BookList[Any], ...]] = (
    # Minutes that were done stay in the book, though they count as no run.
    BookList(Codec(LogEntry, schema.log, instead={"activity": Activity.OTHER}), "day", days=140),
    BookList(Codec(Session, schema.plan, instead={"kind": SessionKind.EASY}), "day"),
    WEEKS,
    LAYOUTS,
    BookList(Codec(DayLimit, schema.limits, instead={"reason": LimitReason.BUSY}), "day", days=140),
    NUDGES,
    BookList(Codec(Snooze, schema.snoozes), "at"),
    BookList(Codec(SymptomNote, schema.symptoms), "day"),
    BookList(Codec(Pause, schema.pauses), "first", days=140),
    BookList(Codec(Recording, schema.recordings), "day", days=140),
    BookList(Codec(PressedReading, schema.readings), "at"),
    BookList(Codec(Change, schema.changes), "at"),
)

# An end of a hold that cannot be read has to be begun again.
_BEGUN_AGAIN: Final = {"clearing": None}
_ILLNESS: Final = Codec(Ill, schema.standings, columns={"since": "day"})
_BENEATH: Final = {"beneath": _ILLNESS}  # an illness that waits under a hold lies where one that stands does
STANDING: Final = UnionCodec[Standing](
    schema.standings,
    {
        "joining": Codec(Joining, schema.standings),
        "training": Codec(Training, schema.standings),
        "walking": Codec(Walking, schema.standings, instead=_BEGUN_AGAIN),
        "ill": _ILLNESS,
        "on_hold": Codec(OnHold, schema.standings, instead={"beneath": None, **_BEGUN_AGAIN}, nested=_BENEATH),
    },
)
# What a book holds one of, by its field. A row that cannot be read is none: a question is asked again if it matters.
SINGLES: Final[dict[str, Codec[Any] | UnionCodec[Any]]] = {
    "standing": STANDING,
    "asked": Codec(Asked, schema.questions),
    "safety_question": Codec(SafetyQuestion, schema.safety_questions),
    "returning": Codec(Return, schema.returns),
    "walk_run": Codec(WalkRun, schema.ladders),
}
# Whatever can be read of a hold, and the gravest for what cannot.
_SOME_HOLD: Final = Codec(
    OnHold,
    schema.standings,
    instead={
        "since": _EPOCH,
        "level": "emergency",
        "sign": "",
        "said": "",
        "asked_yes": False,
        "number": "",
        "beneath": None,
        **_BEGUN_AGAIN,
    },
    nested=_BENEATH,
)

_RUNNER: Final = schema.runners.c
_PERSON: Final = tuple(each.name for each in fields(Runner))
_person: Final = attrgetter(*_PERSON)
# What the book itself holds of plain values lies in the same row as the person.
OWN: Final = tuple(each.name for each in fields(Book) if each.name in _RUNNER)
_person_and_own: Final[Callable[[Book], tuple[Any, ...]]] = attrgetter("runner", *OWN)

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
    made = conn.execute(insert(schema.runners).values(_person_row(book))).inserted_primary_key
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
    back is in `LISTS`, counted from when the runner was last heard.
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


def save(conn: Connection, before: Book, after: Book) -> None:
    """Makes the disk, which holds `before`, hold `after`; only what differs is written.

    The profile follows from the answers and is not kept.
    """
    runner_id = after.runner.id
    if _person_and_own(before) != _person_and_own(after):
        _CHANGED.run(conn, {"runner": runner_id, **_person_row(after)})
    _save_answers(conn, before, after)
    for name, codec in SINGLES.items():
        value = getattr(after, name)
        if getattr(before, name) != value:
            _put(conn, codec.table, runner_id, None if value is None else codec.row(value))
    for each in LISTS:
        each.save(conn, before, after)


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
    told = intake_codec.from_rows({question: answer for _, question, answer, *_ in rows[schema.answers.name]})
    held: dict[str, Any] = {
        each.table.name: each.read(rows[each.table.name]) if each.table.name in rows else () for each in LISTS
    }
    laid_out: defaultdict[date, list[Session]] = defaultdict(list)
    for laid in held.pop(schema.layouts.name):
        laid_out[laid.start].append(Session(laid.day, laid.minutes, laid.kind))
    held["weeks"] = tuple(replace(week, sessions=tuple(laid_out.get(week.start, ()))) for week in held["weeks"])
    for name, codec in SINGLES.items():
        found = rows[codec.table.name]
        held[name] = codec.read(found[0]) if found else None
    held["standing"] = held["standing"] or _standing(rows[schema.standings.name], runner)
    own = {name: getattr(row, name) for name in OWN}
    return Book(runner=runner, profile=intake.profile(told), intake=told, **held, **own)


def _standing(rows: list[Cells], runner: Runner) -> Standing:
    """Where a runner stands whose row cannot be read: training to plan, or the hold that the row still tells of."""
    if not rows:
        return Joining()
    # Only a hold names a level; losing one is the dearer mistake, and the runner's word ends it.
    kind, level = (rows[0][schema.standings.columns.keys().index(name)] for name in ("kind", "level"))
    hold = _SOME_HOLD.read(rows[0]) if level or kind == "on_hold" else None
    return Training() if hold is None else replace(hold, since=max(hold.since, runner.joined_at))


def _person_row(book: Book) -> dict[str, Any]:
    own = {name: getattr(book, name) for name in OWN}
    return own | {name: getattr(book.runner, name) for name in _PERSON if name != "id"}


def _put(conn: Connection, table: Table, runner_id: int, row: dict[str, Any] | None) -> None:
    if row is None:
        conn.execute(delete(table).where(table.c.runner_id == runner_id))
        return
    _PUTTING[table.name].run(conn, {"runner_id": runner_id, **row})


def _save_answers(conn: Connection, before: Book, after: Book) -> None:
    if before.intake == after.intake:
        return
    answers = schema.answers
    known, told = intake_codec.rows_that_changed(before.intake, after.intake)
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
    for name, back, is_moment in _SINCE:
        since = runner.last_heard - back
        given[name] = since if is_moment else since.date()
    return _EVERYTHING.read(conn, given)


def _everything() -> BareRows:
    since = {each.table.name: each.table.c[each.dated] for each in LISTS if each.days is not None}
    shares = []
    for table in (schema.answers, *(codec.table for codec in SINGLES.values()), *(each.table for each in LISTS)):
        recent = (since[table.name] >= bindparam(f"since_{table.name}"),) if table.name in since else ()
        shares.append((table, (table.c.runner_id == bindparam("runner"), *recent)))
    return BareRows(shares)


def _of_a_date(each: BookList[Any]) -> BareRows:
    rows = each.table.c
    return BareRows([(each.table, (rows.runner_id == bindparam("runner"), rows[each.dated] == bindparam("date")))])


def _writing(table: Table, unique: tuple[str, ...]) -> Statement:
    """An INSERT that changes the row which the columns `unique` name, where it is there."""
    once = upsert(table)
    if not unique:
        return Statement(once)
    rest = {c.name: once.excluded[c.name] for c in table.c if c.name not in {"id", *unique}}
    return Statement(once.on_conflict_do_update(index_elements=list(unique), set_=rest))


_EVERYTHING: Final = _everything()
# From when on a book holds a list that it does not hold all of: the parameter, how far back, whether it is a moment.
_SINCE: Final = tuple(
    (
        f"since_{each.table.name}",
        timedelta(days=each.days),
        isinstance(each.table.c[each.dated].type, schema.Instant),
    )
    for each in LISTS
    if each.days is not None
)
_OF_A_DATE: Final = {each.table.name: _of_a_date(each) for each in LISTS}
_DELETING: Final = {
    each.table.name: Statement(delete(each.table).where(each.table.c.id == bindparam("row"))) for each in LISTS
}
_WRITING: Final = {each.table.name: _writing(each.table, each.unique) for each in LISTS}
_ANSWERING: Final = _writing(schema.answers, ("runner_id", "question"))
_PUTTING: Final = {codec.table.name: _writing(codec.table, ("runner_id",)) for codec in SINGLES.values()}
