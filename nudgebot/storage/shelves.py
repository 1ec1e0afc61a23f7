"""What a book holds many of: one shelf a kind, with its rows both ways and the difference written between two books."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Final, Generic, TypeVar

from sqlalchemy import Connection, Insert, Select, Table, bindparam, delete, insert, select
from sqlalchemy.dialects import sqlite

from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    LimitReason,
    Nudged,
    NudgeKind,
    Outcome,
    Pause,
    Snooze,
    SymptomNote,
)
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind
from nudgebot.storage import schema
from nudgebot.storage.enum_codec import word

T = TypeVar("T")
When = date | datetime


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A session of the week that starts on `start`, as first laid out."""

    start: date
    session: Session


@dataclass(frozen=True, slots=True)
class Shelf(Generic[T]):
    """One kind of value in the book: what it is in the book, its rows, and the column that dates them.

    `days` is how far back a book reaches before the runner was last heard, None for all of it. `unique` names
    the columns that may be there once a runner: writing such a row again changes it.
    """

    table: Table
    dated: str
    of: Callable[[Book], tuple[T, ...]]
    to_row: Callable[[T], dict[str, Any]]
    from_row: Callable[[Any, int], T | None]
    days: int | None = None
    unique: tuple[str, ...] = ()

    def read(self, rows: Iterable[Any], runner_id: int) -> tuple[T, ...]:
        """What `rows` hold, in their order; a row that cannot be read is left out."""
        values = (self.from_row(row, runner_id) for row in rows)
        return tuple(value for value in values if value is not None)

    def save(self, conn: Connection, before: Book, after: Book) -> None:
        """Writes what differs between the two books; dates that did not change are not touched."""
        old, new = self.of(before), self.of(after)
        if old == new:
            return
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
            come += [{"runner_id": runner_id, **self.to_row(value)} for value in have[kept:]]
        if gone:
            conn.execute(_DELETING[self.table.name], [{"row": each} for each in gone])
        if come:
            come.sort(key=lambda row: row[self.dated])
            conn.execute(_WRITING[self.table.name], come)

    def _by_date(self, values: tuple[T, ...]) -> dict[When, list[T]]:
        dates: defaultdict[When, list[T]] = defaultdict(list)
        for value in values:
            dates[getattr(value, self.dated)].append(value)
        return dates

    def _ids(self, conn: Connection, runner_id: int, when: When, values: list[T]) -> list[int]:
        """Ids of the newest rows of that date that hold `values`; a row that cannot be read is never among them."""
        left = list(values)
        ids: list[int] = []
        for row in conn.execute(_OF_A_DATE[self.table.name], {"runner": runner_id, "date": when}):
            value = self.from_row(row, runner_id)
            if value in left:
                left.remove(value)
                ids.append(row.id)
        return ids


def _entry(row: Any, runner_id: int) -> LogEntry:
    return LogEntry(
        key=row.key,
        day=row.day,
        minutes=row.minutes,
        # Minutes that were done stay in the book, though they count as no run.
        activity=word(Activity, row.activity, runner_id) or Activity.OTHER,
        in_place_of_run=row.in_place_of_run,
        effort=row.effort,
        heart_rate=row.heart_rate,
        distance_km=row.distance_km,
        hard=row.hard,
        cap=row.cap,
        noted_at=row.noted_at,
    )


def _session(row: Any, runner_id: int) -> Session:
    return Session(row.day, row.minutes, word(SessionKind, row.kind, runner_id) or SessionKind.EASY)


def _week(row: Any, runner_id: int) -> Week:
    kind = word(WeekKind, row.kind, runner_id) or WeekKind.STEADY
    return Week(row.start, row.target, row.long_run, kind, full=row.full)


def _nudged(row: Any, runner_id: int) -> Nudged | None:
    kind = word(NudgeKind, row.kind, runner_id)
    if kind is None:
        return None
    # An outcome that cannot be read counts as sent: silence beats a double.
    outcome = word(Outcome, row.outcome, runner_id) or Outcome.SENT
    return Nudged(kind, row.for_day, row.slot, row.due_at, row.at, outcome, row.reason, row.answered)


def _snooze(row: Any, runner_id: int) -> Snooze | None:
    kind = word(NudgeKind, row.kind, runner_id)
    return None if kind is None else Snooze(row.key, kind, row.for_day, row.at)


def _limit(row: Any, runner_id: int) -> DayLimit:
    return DayLimit(row.day, row.minutes, word(LimitReason, row.reason, runner_id) or LimitReason.BUSY)


def _fields(*names: str) -> Callable[[Any], dict[str, Any]]:
    return lambda value: {name: getattr(value, name) for name in names}


def nudge_row(nudged: Nudged) -> dict[str, Any]:
    """The row of a settled nudge, without its runner."""
    return _NUDGE_ROW(nudged)


_NUDGE_ROW: Final = _fields("kind", "for_day", "slot", "due_at", "at", "outcome", "reason", "answered")

LOG: Final = Shelf(
    schema.log,
    "day",
    lambda book: book.log,
    _fields(
        "key", "day", "minutes", "activity", "in_place_of_run", "effort", "heart_rate", "distance_km", "hard", "cap",
        "noted_at",
    ),
    _entry,
    days=140,
)  # fmt: skip
PLAN: Final = Shelf(schema.plan, "day", lambda book: book.plan, _fields("day", "minutes", "kind"), _session)
WEEKS: Final = Shelf(
    schema.weeks,
    "start",
    lambda book: tuple(replace(week, sessions=()) for week in book.weeks),
    _fields("start", "target", "full", "long_run", "kind"),
    _week,
)
LAYOUTS: Final = Shelf(
    schema.layouts,
    "start",
    lambda book: tuple(LaidOut(week.start, session) for week in book.weeks for session in week.sessions),
    lambda laid: {
        "start": laid.start,
        "day": laid.session.day,
        "minutes": laid.session.minutes,
        "kind": laid.session.kind,
    },
    lambda row, runner_id: LaidOut(row.start, _session(row, runner_id)),
)
LIMITS: Final = Shelf(
    schema.limits, "day", lambda book: book.limits, _fields("day", "minutes", "reason"), _limit, days=140
)
NUDGES: Final = Shelf(
    schema.nudges,
    "at",
    lambda book: book.nudges,
    _NUDGE_ROW,
    _nudged,
    days=67,
    unique=("runner_id", "kind", "for_day", "slot"),
)
SNOOZES: Final = Shelf(
    schema.snoozes, "at", lambda book: book.snoozes, _fields("key", "kind", "for_day", "at"), _snooze
)
SYMPTOMS: Final = Shelf(
    schema.symptoms,
    "day",
    lambda book: book.symptoms,
    _fields("day", "level", "sign", "spot", "score", "at"),
    lambda row, _: SymptomNote(row.day, row.level, row.sign, row.spot, row.score, row.at),
)
PAUSES: Final = Shelf(
    schema.pauses,
    "first",
    lambda book: book.pauses,
    _fields("first", "last"),
    lambda row, _: Pause(row.first, row.last),
    days=140,
)

SHELVES: Final[tuple[Shelf[Any], ...]] = (LOG, PLAN, WEEKS, LAYOUTS, LIMITS, NUDGES, SNOOZES, SYMPTOMS, PAUSES)


def _of_a_date(shelf: Shelf[Any]) -> Select[Any]:
    rows, dated = shelf.table, shelf.table.c[shelf.dated]
    of_runner = select(rows).where(rows.c.runner_id == bindparam("runner"), dated == bindparam("date"))
    return of_runner.order_by(rows.c.id.desc())


def _writing(shelf: Shelf[Any]) -> Insert:
    if not shelf.unique:
        return insert(shelf.table)
    once = sqlite.insert(shelf.table)
    rest = {c.name: once.excluded[c.name] for c in shelf.table.c if c.name not in {"id", *shelf.unique}}
    return once.on_conflict_do_update(index_elements=list(shelf.unique), set_=rest)


# Built once: composing a statement costs more than running it.
_OF_A_DATE: Final = {shelf.table.name: _of_a_date(shelf) for shelf in SHELVES}
_DELETING: Final = {
    shelf.table.name: delete(shelf.table).where(shelf.table.c.id == bindparam("row")) for shelf in SHELVES
}
_WRITING: Final = {shelf.table.name: _writing(shelf) for shelf in SHELVES}
