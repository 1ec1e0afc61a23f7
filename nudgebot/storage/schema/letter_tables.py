"""What came in, what is to be said, and when a voice last looked."""

from __future__ import annotations

from sqlalchemy import Column, Date, ForeignKey, LargeBinary, Table, UniqueConstraint

from nudgebot.storage.schema.columns import (
    NUMBER,
    TEXT,
    Instant,
    flag,
    metadata,
    moment,
    number,
    of_runner,
    partial_index,
    row_id,
    word,
)

# What the platform handed over: stored before it is confirmed, done in the transaction that acts on it.
inbox = Table(
    "inbox",
    metadata,
    row_id(),
    word("key"),
    word("voice"),
    word("chat"),
    word("user"),
    Column("raw", TEXT),  # dropped with `done`
    word("state"),
    word("why"),
    moment("received_at"),
    Column("ended_at", Instant),
    UniqueConstraint("key"),
)
partial_index("ix_inbox_waiting", inbox.c.id, where=inbox.c.ended_at.is_(None))
partial_index("ix_inbox_ended", inbox.c.ended_at, where=inbox.c.ended_at.is_not(None))

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
    row_id(),
    word("key"),
    Column("runner_id", NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), index=True),  # null: nobody we keep
    word("voice"),
    word("user"),
    word("chat"),
    word("address"),
    word("kind"),
    word("text"),
    word("buttons"),
    Column("asks", TEXT),
    Column("reply_to", TEXT),
    Column("nudge_kind", TEXT),
    Column("for_day", Date),
    Column("slot", TEXT),
    moment("put_at"),
    moment("not_before"),
    Column("stale_at", Instant),
    word("state"),
    number("attempts"),
    Column("leased_until", Instant),
    Column("message_id", TEXT),
    word("why"),
    Column("ended_at", Instant),
    Column("picture", TEXT),  # which; it is drawn as the letter leaves, and never kept
    Column("file", TEXT),  # which; it is written as the letter leaves, and never kept
    flag("until_back"),  # to somebody who said stop it is said once they write again
    UniqueConstraint("key"),
    sqlite_autoincrement=True,  # a button may name its letter long after the letter is gone
)
partial_index("ix_outbox_open", outbox.c.voice, outbox.c.address, outbox.c.id, where=outbox.c.ended_at.is_(None))
partial_index("ix_outbox_ended", outbox.c.ended_at, where=outbox.c.ended_at.is_not(None))

# Whom a letter to somebody else names: it goes when that person is erased.
mentions = Table(
    "mentions",
    metadata,
    Column("letter_id", NUMBER, ForeignKey("outbox.id", ondelete="CASCADE"), primary_key=True),
    of_runner(primary_key=True, index=True),
)

clock = Table(
    "clock",
    metadata,
    Column("voice", TEXT, primary_key=True),  # one whose time is told, or which makes rounds: its last one
    moment("at"),
)
