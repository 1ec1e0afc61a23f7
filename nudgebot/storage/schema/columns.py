"""What the tables are made of: the register of all, the kinds of columns, and the tables of what a book holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from types import NoneType
from typing import Any, Final, get_args, get_type_hints

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ColumnElement,
    Date,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
)

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)


class Instant(TypeDecorator[datetime]):
    """A moment: aware in, UTC out. A naive value is refused, since it could mean any zone."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """Microseconds since 1970."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant needs its zone")
        return (value - _EPOCH) // _MICROSECOND

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """The moment in UTC."""
        return moment_at(value)


def moment_at(microseconds: int | None) -> datetime | None:
    """The moment (UTC) so long after the beginning of 1970, None for None."""
    return None if microseconds is None else _EPOCH + timedelta(microseconds=microseconds)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


NUMBER: Final = BigInteger().with_variant(Integer(), "sqlite")  # SQLite numbers rows where the type is INTEGER alone
TEXT: Final = String().with_variant(Text(collation="C"), "postgresql")


def row_id() -> Column[int]:
    """The number of a row."""
    return Column("id", NUMBER, primary_key=True)


def of_runner(**more: Any) -> Column[int]:
    """The runner whose row it is; it goes with them."""
    return Column("runner_id", NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), nullable=False, **more)


def word(name: str) -> Column[str]:
    """A text that is always there."""
    return Column(name, TEXT, nullable=False)


def partial_index(name: str, *columns: Column[Any], where: ColumnElement[bool], **more: Any) -> Index:
    """An index on the rows of which `where` is true."""
    return Index(name, *columns, sqlite_where=where, postgresql_where=where, **more)


def number(name: str) -> Column[int]:
    """A whole number that is always there."""
    return Column(name, Integer, nullable=False)


def flag(name: str) -> Column[bool]:
    """Yes or no."""
    return Column(name, Boolean, nullable=False)


def moment(name: str) -> Column[datetime]:
    """A moment that is always there."""
    return Column(name, Instant, nullable=False)


_TYPES: Final[dict[type, Any]] = {bool: Boolean, int: Integer, float: Float, date: Date, datetime: Instant}


def columns_of(kind: type, *left_out: str) -> Iterator[Column[Any]]:
    """A column for each field of the dataclass `kind` but those `left_out`; one that may be None may be null."""
    hints = get_type_hints(kind)
    for part in fields(kind):
        if part.name not in left_out:
            hint = hints[part.name]
            of = next(iter(each for each in get_args(hint) if each is not NoneType), hint)
            yield Column(part.name, _TYPES.get(of, TEXT), nullable=NoneType in get_args(hint))


def one_of(name: str, kind: type) -> Table:
    """The table of a value that a book holds one of at most."""
    return Table(name, metadata, of_runner(primary_key=True), *columns_of(kind))


def many_of(name: str, kind: type, dated: str, *more: Any, left_out: tuple[str, ...] = ()) -> Table:
    """The table of values that a book holds many of, looked up by the field `dated`; `more` are constraints."""
    columns = columns_of(kind, *left_out)
    return Table(name, metadata, row_id(), of_runner(), *columns, *more, Index(None, "runner_id", dated))
