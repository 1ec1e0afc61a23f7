"""What the tables are made of: the register of all, and the kinds of columns."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any, Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ColumnElement,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
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
