"""Every table, and nothing else.

A new column needs nothing beside it but the field of the same name; see `book_repository` for what a book holds. Until
the first release a file of another shape is refused as it is opened; after it, a change needs a migration beside it.

Instants are whole microseconds since 1970 in UTC, so that they sort, compare and come back exactly as they went
in (SQLite keeps no zone with a date-time). Calendar dates are the runner's own; SQLite keeps them as ISO text. Text
compares by its bytes on either engine: keys are looked up by ranges.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any, Final

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
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

HEAD: Final = "0001"  # the newest migration; a database that says so needs nothing done

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
        return None if value is None else _EPOCH + timedelta(microseconds=value)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


_NUMBER: Final = BigInteger().with_variant(Integer(), "sqlite")  # SQLite numbers rows where the type is INTEGER alone
_TEXT: Final = String().with_variant(Text(collation="C"), "postgresql")


def _id() -> Column[int]:
    return Column("id", _NUMBER, primary_key=True)


def _of_runner(**more: Any) -> Column[int]:
    return Column("runner_id", _NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), nullable=False, **more)


def _word(name: str) -> Column[str]:
    return Column(name, _TEXT, nullable=False)


def _partial(name: str, *columns: Column[Any], where: ColumnElement[bool], **more: Any) -> Index:
    return Index(name, *columns, sqlite_where=where, postgresql_where=where, **more)


def _number(name: str) -> Column[int]:
    return Column(name, Integer, nullable=False)


def _flag(name: str) -> Column[bool]:
    return Column(name, Boolean, nullable=False)


def _moment(name: str) -> Column[datetime]:
    return Column(name, Instant, nullable=False)


# A person is (voice, user): one chat may hold many. `next_due` is when to look at the runner again.
runners = Table(
    "runners",
    metadata,
    _id(),
    _word("voice"),
    _word("user"),
    _word("name"),
    _moment("joined_at"),
    _moment("last_heard"),
    _flag("stopped"),
    _flag("reachable"),
    _number("half_runs"),
    _flag("teaches"),
    Column("next_due", Instant),
    UniqueConstraint("voice", "user"),
    sqlite_autoincrement=True,  # a number is never given to a second person
)
_partial("ix_runners_due", runners.c.voice, runners.c.next_due, where=runners.c.next_due.is_not(None))

# One row a runner at most: where they stand, what we asked back, a return under way, the walk-run ladder.
standings = Table(  # `kind` says which of the others are filled
    "standings",
    metadata,
    _of_runner(primary_key=True),
    _word("kind"),
    Column("since", Instant),
    Column("day", Date),
    Column("last_fever", Date),
    Column("last_upset", Date),
    Column("last_ill", Date),
    Column("covid", Boolean),
    Column("deep", Boolean),
    Column("why", _TEXT),
    Column("level", _TEXT),
    Column("sign", _TEXT),
    Column("said", _TEXT),
    Column("asked_yes", Boolean),
    Column("number", _TEXT),
    Column("clearing_step", _TEXT),
    Column("clearing_since", Instant),
    Column("clearing_who", _TEXT),
)
questions = Table(
    "questions",
    metadata,
    _of_runner(primary_key=True),
    _word("what"),
    _moment("at"),
    _word("token"),
    _word("line"),
    Column("day", Date),
    _word("detail"),
)
safety_questions = Table(
    "safety_questions",
    metadata,
    _of_runner(primary_key=True),
    _moment("at"),
    _word("token"),
    _word("line"),
    _word("language"),
    _number("times"),
    Column("yes_at", Instant),
    Column("walking_since", Instant),
)
returns = Table(
    "returns",
    metadata,
    _of_runner(primary_key=True),
    Column("since", Date, nullable=False),
    _number("days"),
    _number("old_week"),
    _number("old_long"),
    _number("old_target"),
)
ladders = Table(
    "ladders",
    metadata,
    _of_runner(primary_key=True),
    _number("step"),
    _number("clean"),
    Column("since", Date, nullable=False),
    Column("walk_until", Date),
)

answers = Table(
    "answers",
    metadata,
    _of_runner(primary_key=True),
    Column("question", _TEXT, primary_key=True),
    _word("answer"),
)

changes = Table(  # the last things that can be taken back; `parts` is text of the core's own
    "changes",
    metadata,
    _id(),
    _of_runner(),
    _word("key"),
    _moment("at"),
    _word("parts"),
    _flag("restores"),
    Index(None, "runner_id", "at"),
)

# Many rows a runner. Within one date the order of arrival is the order of `id`.
log = Table(
    "log",
    metadata,
    _id(),
    _of_runner(),
    _word("key"),
    Column("day", Date, nullable=False),
    _number("minutes"),
    _word("activity"),
    _flag("in_place_of_run"),
    Column("effort", Integer),
    Column("heart_rate", Integer),
    Column("distance_km", Float),
    _flag("hard"),
    _number("cap"),
    Column("noted_at", Instant),
    Index(None, "runner_id", "day"),
)
plan = Table(
    "plan",
    metadata,
    _id(),
    _of_runner(),
    Column("day", Date, nullable=False),
    _number("minutes"),
    _word("kind"),
    Index(None, "runner_id", "day"),
)
weeks = Table(
    "weeks",
    metadata,
    _id(),
    _of_runner(),
    Column("start", Date, nullable=False),
    _number("target"),
    _number("full"),
    _number("long_run"),
    _word("kind"),
    Index(None, "runner_id", "start"),
)
layouts = Table(  # the sessions of a week as first laid out
    "layouts",
    metadata,
    _id(),
    _of_runner(),
    Column("start", Date, nullable=False),
    Column("day", Date, nullable=False),
    _number("minutes"),
    _word("kind"),
    Index(None, "runner_id", "start"),
)
limits = Table(
    "limits",
    metadata,
    _id(),
    _of_runner(),
    Column("day", Date, nullable=False),
    _number("minutes"),
    _word("reason"),
    Index(None, "runner_id", "day"),
)
nudges = Table(
    "nudges",
    metadata,
    _id(),
    _of_runner(),
    _word("kind"),
    Column("for_day", Date, nullable=False),
    _word("slot"),
    _moment("due_at"),
    _moment("at"),
    _word("outcome"),
    _word("reason"),
    Column("answered_at", Instant),
    UniqueConstraint("runner_id", "kind", "for_day", "slot"),  # at most once, whoever asks
    Index(None, "runner_id", "at"),
)
snoozes = Table(
    "snoozes",
    metadata,
    _id(),
    _of_runner(),
    _word("key"),
    _word("kind"),
    Column("for_day", Date, nullable=False),
    _moment("at"),
    Index(None, "runner_id", "at"),
)
symptoms = Table(
    "symptoms",
    metadata,
    _id(),
    _of_runner(),
    Column("day", Date, nullable=False),
    _word("level"),
    _word("sign"),
    _word("spot"),
    Column("score", Integer),
    Column("at", Instant),
    Index(None, "runner_id", "day"),
)

pauses = Table(
    "pauses",
    metadata,
    _id(),
    _of_runner(),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    Index(None, "runner_id", "first"),
)
# What a file told of the run whose log entry has that key; no place is kept.
recordings = Table(
    "recordings",
    metadata,
    _id(),
    _of_runner(),
    _word("key"),
    _word("sent_as"),
    Column("day", Date, nullable=False),
    _moment("started_at"),
    _number("total_seconds"),
    _number("moving_seconds"),
    *(
        Column(name, Integer)
        for name in ("distance_m", "climb_m", "heart_rate", "under", "inside", "over", "low", "high")
    ),
    _word("pulse"),
    Index(None, "runner_id", "day"),
)
# Sessions as the runner's calendar has them, and the key of its private feed; null: none is open.
calendar_events = Table(
    "calendar_events",
    metadata,
    _id(),
    _of_runner(index=True),
    _word("uid"),
    _number("sequence"),
    Column("day", Date, nullable=False),
    _number("minutes"),
    _word("kind"),
    _flag("cancelled"),
    _moment("changed_at"),
)
feeds = Table(
    "feeds",
    metadata,
    _of_runner(primary_key=True),
    Column("digest", LargeBinary, index=True),
    Column("alarm", Integer),
)

readings = Table(
    "readings",
    metadata,
    _id(),
    _of_runner(),
    _moment("at"),
    _word("key"),
    _word("digest"),
    _word("intent"),
    Column("minutes", Integer),
    _word("line"),
    Index(None, "runner_id", "at"),
)

# What the platform handed over: stored before it is confirmed, done in the transaction that acts on it.
inbox = Table(
    "inbox",
    metadata,
    _id(),
    _word("key"),
    _word("voice"),
    _word("chat"),
    _word("user"),
    Column("raw", _TEXT),  # dropped with `done`
    _word("state"),
    _word("why"),
    _moment("received_at"),
    Column("ended_at", Instant),
    UniqueConstraint("key"),
)
_partial("ix_inbox_waiting", inbox.c.id, where=inbox.c.ended_at.is_(None))
_partial("ix_inbox_ended", inbox.c.ended_at, where=inbox.c.ended_at.is_not(None))

# Keys of lines already acted on, as digests: they outlive the person's erasure and say nothing about them.
heard = Table(
    "heard",
    metadata,
    Column("digest", LargeBinary, primary_key=True),
    Column("at", Instant, nullable=False, index=True),
)

# What is to be said. `address` is the chat it goes to; letters to one address leave in the order of `id`.
outbox = Table(
    "outbox",
    metadata,
    _id(),
    _word("key"),
    Column("runner_id", _NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), index=True),  # null: nobody we keep
    _word("voice"),
    _word("user"),
    _word("chat"),
    _word("address"),
    _word("kind"),
    _word("text"),
    _word("buttons"),
    Column("asks", _TEXT),
    Column("reply_to", _TEXT),
    Column("nudge_kind", _TEXT),
    Column("for_day", Date),
    Column("slot", _TEXT),
    _moment("put_at"),
    _moment("not_before"),
    Column("stale_at", Instant),
    _word("state"),
    _number("attempts"),
    Column("leased_until", Instant),
    Column("message_id", _TEXT),
    _word("why"),
    Column("ended_at", Instant),
    Column("picture", _TEXT),  # which; it is drawn as the letter leaves, and never kept
    Column("file", _TEXT),  # which; it is written as the letter leaves, and never kept
    _flag("until_back"),  # to somebody who said stop it is said once they write again
    UniqueConstraint("key"),
    sqlite_autoincrement=True,  # a button may name its letter long after the letter is gone
)
_partial("ix_outbox_open", outbox.c.voice, outbox.c.address, outbox.c.id, where=outbox.c.ended_at.is_(None))
_partial("ix_outbox_ended", outbox.c.ended_at, where=outbox.c.ended_at.is_not(None))

# Whom a letter to somebody else names: it goes when that person is erased.
mentions = Table(
    "mentions",
    metadata,
    Column("letter_id", _NUMBER, ForeignKey("outbox.id", ondelete="CASCADE"), primary_key=True),
    _of_runner(primary_key=True, index=True),
)

clock = Table(
    "clock",
    metadata,
    Column("voice", _TEXT, primary_key=True),  # one whose time is told, or which makes rounds: its last one
    _moment("at"),
)

# Runners with their coaches.
groups = Table(
    "groups",
    metadata,
    _id(),
    _word("voice"),
    Column("chat", _TEXT),  # the bound group chat
    _moment("made_at"),
    UniqueConstraint("voice", "chat"),
    sqlite_autoincrement=True,
)
# Who coaches which group: one leads it, a second coach has no end, a stand-in has both. `since` is from when on runners
# share with this coach; of several groups the one chosen last is at their desk. `digest_day` is a weekday (0 = Monday),
# null for no digest; `digest_at` when it falls due.
coaches = Table(
    "coaches",
    metadata,
    _of_runner(primary_key=True),
    Column("group_id", _NUMBER, ForeignKey("groups.id", ondelete="CASCADE"), primary_key=True, index=True),
    _moment("since"),
    Column("chosen_at", Instant),
    _flag("leads"),
    Column("begins", Instant),
    Column("ends", Instant),
    Column("digest_day", Integer),
    _word("digest_time"),
    Column("digest_at", Instant),
)
_partial("ix_coaches_lead", coaches.c.group_id, unique=True, where=coaches.c.leads)
members = Table(
    "members",
    metadata,
    _id(),
    _of_runner(),
    Column("group_id", _NUMBER, ForeignKey("groups.id", ondelete="CASCADE"), nullable=False, index=True),
    _moment("joined_at"),
    Column("left_at", Instant),
    _flag("removed"),  # by the coach: invitations made before do not let them in again
)
# A runner runs in one group at a time.
_partial("ix_members_current", members.c.runner_id, unique=True, where=members.c.left_at.is_(None))
invitations = Table(
    "invitations",
    metadata,
    _id(),
    Column("by_id", _NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("group_id", _NUMBER, ForeignKey("groups.id", ondelete="CASCADE"), index=True),  # null: into no group
    _word("opens"),  # what it makes of whoever uses it
    Column("begins", Instant),  # a stand-in's time
    Column("ends", Instant),
    Column("digest", LargeBinary, nullable=False),  # of the code, which is kept nowhere
    _moment("made_at"),
    _moment("until"),
    _number("uses_left"),
    UniqueConstraint("digest"),
    sqlite_autoincrement=True,
)
shares = Table(
    "shares",
    metadata,
    _of_runner(primary_key=True),
    Column("kind", _TEXT, primary_key=True),
    _moment("at"),  # a coach who came later does not see it
)
notes = Table(
    "notes",
    metadata,
    _id(),
    _of_runner(index=True),
    Column("author_id", _NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), nullable=False, index=True),
    _moment("at"),
    _word("text"),
)

# Who knocked at a closed door or tried a code lately, as digests, for a day.
knocks = Table(
    "knocks",
    metadata,
    _id(),
    Column("digest", LargeBinary, nullable=False),
    _word("what"),
    _moment("at"),
    Index(None, "digest", "at"),
)

# Who hosts the bot, a row a voice; null once they were erased. `keep_months`: for how long things are kept.
hosting = Table(
    "hosting",
    metadata,
    Column("voice", _TEXT, primary_key=True),
    Column("runner_id", _NUMBER, ForeignKey("runners.id", ondelete="SET NULL")),
    Column("claimed_at", Instant),  # null: nobody ever has, and only `keep_months` counts
    _number("keep_months"),
)
# The one-time code that makes somebody the host, by its digest.
host_codes = Table(
    "host_codes",
    metadata,
    Column("digest", LargeBinary, primary_key=True),
    _moment("until"),
)
# What a runner was told before something of theirs is deleted, and when.
notices = Table(
    "notices",
    metadata,
    _of_runner(primary_key=True),
    Column("kind", _TEXT, primary_key=True),
    _moment("told_at"),
)
