"""What a book is made of, as rows: what it holds one of is in `SINGLES`, what it holds many of in `LISTS`.

A field of a value is a column of its table, by name.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from operator import attrgetter, itemgetter
from typing import Any, Final, Generic, TypeVar

from sqlalchemy import Connection, Table, bindparam, delete, func, select, update

from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.logbook import Activity, LogEntry, Recording
from nudgebot.domain.model.nudged import Nudged, Outcome, Snooze
from nudgebot.domain.model.questions import Asked, PressedReading, SafetyQuestion
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    Joining,
    LimitReason,
    OnHold,
    Pause,
    Standing,
    SymptomNote,
    Training,
    Walking,
)
from nudgebot.domain.model.week import Return, Session, SessionKind, WalkRun, Week, WeekKind
from nudgebot.storage import schema
from nudgebot.storage.codec import BareRows, Cells, Codec, UnionCodec
from nudgebot.storage.database import upsert
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
    of: Callable[[Sequence[Week]], tuple[T, ...]] | None = None

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
        return tuple(self._of(getattr(book, self.field)))

    def _of(self, held: Sequence[Any]) -> Sequence[T]:
        return held if self.of is None else self.of(held)

    def read(self, rows: list[Cells]) -> tuple[T, ...]:
        """What a book's rows hold of these, in date order; a row that cannot be read is left out."""
        values = self.codec.read_all(sorted(rows, key=_ID))
        # By what was read, not by the cells: a damaged one may not even compare with the others.
        values.sort(key=attrgetter(self.dated))
        return tuple(values)

    def save(self, conn: Connection, runner_id: int, old: Sequence[Any], new: Sequence[Any]) -> None:
        """Writes what differs between the field of two books; dates that did not change are not touched."""
        was, now = self._by_date(old), self._by_date(new)
        gone: list[int] = []
        come: list[dict[str, Any]] = []
        for when in was.keys() | now.keys():
            had, have = was.get(when, ()), now.get(when, ())
            if had == have:
                continue
            had, have = self._of(had), self._of(have)
            same = next((i for i, pair in enumerate(zip(had, have, strict=False)) if pair[0] != pair[1]), None)
            kept = min(len(had), len(have)) if same is None else same
            lost, fresh = had[kept:], have[kept:]
            if len(lost) == len(fresh) == 1 and self._changed(conn, runner_id, lost[0], fresh[0]):
                continue
            if lost:
                gone += self._ids(conn, runner_id, when, lost)
            come += [{"runner_id": runner_id, **self.codec.row(value)} for value in fresh]
        if gone:
            _DELETING[self.table.name].run_each(conn, [{"row": each} for each in gone])
        if come:
            come.sort(key=itemgetter(self.dated))
            _WRITING[self.table.name].run_each(conn, come)

    def _changed(self, conn: Connection, runner_id: int, lost: T, fresh: T) -> bool:
        """Whether the newest row of a date held just `lost` and has become `fresh`; False, and nothing was done, where
        it was mended as it was read, or might become one that is there already."""
        if self.unique:
            return False
        known = {f"old_{name}": cell for name, cell in self.codec.row(lost).items()}
        changing = _CHANGING[self.table.name]
        return bool(changing.run(conn, {"runner": runner_id, **known, **self.codec.row(fresh)}).rowcount)

    def _by_date(self, values: Sequence[Any]) -> Mapping[DateOrMoment, Sequence[Any]]:
        date_of = attrgetter(self.dated)
        dates: defaultdict[DateOrMoment, list[Any]] = defaultdict(list)
        for value in values:
            dates[date_of(value)].append(value)
        return dates

    def _ids(self, conn: Connection, runner_id: int, when: DateOrMoment, values: Sequence[T]) -> list[int]:
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
SOME_HOLD: Final = Codec(
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


def _of_a_date(each: BookList[Any]) -> BareRows:
    rows = each.table.c
    return BareRows([(each.table, (rows.runner_id == bindparam("runner"), rows[each.dated] == bindparam("date")))])


def _changing(each: BookList[Any]) -> Statement:
    """An UPDATE of the newest row of a date, where it holds what is given as `old_` and its column."""
    rows, others = each.table.c, each.table.alias().c
    of_date = (others.runner_id == bindparam("runner"), others[each.dated] == bindparam(f"old_{each.dated}"))
    newest = select(func.max(others.id)).where(*of_date).scalar_subquery()
    held = (rows[name].is_not_distinct_from(bindparam(f"old_{name}")) for name in each.codec.columns)
    return Statement(update(each.table).where(rows.id == newest, *held))


def writing(table: Table, unique: tuple[str, ...]) -> Statement:
    """An INSERT that changes the row which the columns `unique` name, where it is there."""
    once = upsert(table)
    if not unique:
        return Statement(once)
    rest = {c.name: once.excluded[c.name] for c in table.c if c.name not in {"id", *unique}}
    return Statement(once.on_conflict_do_update(index_elements=list(unique), set_=rest))


_OF_A_DATE: Final = {each.table.name: _of_a_date(each) for each in LISTS}
_CHANGING: Final = {each.table.name: _changing(each) for each in LISTS if not each.unique}
_DELETING: Final = {
    each.table.name: Statement(delete(each.table).where(each.table.c.id == bindparam("row"))) for each in LISTS
}
_WRITING: Final = {each.table.name: writing(each.table, each.unique) for each in LISTS}
