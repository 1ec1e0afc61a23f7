"""Groups with their coaches, who may come in, and who hosts the bot."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Integer, LargeBinary, Table, UniqueConstraint

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

# Runners with their coaches.
groups = Table(
    "groups",
    metadata,
    row_id(),
    word("voice"),
    Column("chat", TEXT),  # the bound group chat
    moment("made_at"),
    UniqueConstraint("voice", "chat"),
    sqlite_autoincrement=True,
)
# Who coaches which group: one leads it, a second coach has no end, a stand-in has both. `since` is from when on runners
# share with this coach; of several groups the one chosen last is at their desk. `digest_day` is a weekday (0 = Monday),
# null for no digest; `digest_at` when it falls due.
coaches = Table(
    "coaches",
    metadata,
    of_runner(primary_key=True),
    Column("group_id", NUMBER, ForeignKey("groups.id", ondelete="CASCADE"), primary_key=True, index=True),
    moment("since"),
    Column("chosen_at", Instant),
    flag("leads"),
    Column("begins", Instant),
    Column("ends", Instant),
    Column("digest_day", Integer),
    word("digest_time"),
    Column("digest_at", Instant),
)
partial_index("ix_coaches_lead", coaches.c.group_id, unique=True, where=coaches.c.leads)
members = Table(
    "members",
    metadata,
    row_id(),
    of_runner(),
    Column("group_id", NUMBER, ForeignKey("groups.id", ondelete="CASCADE"), nullable=False, index=True),
    moment("joined_at"),
    Column("left_at", Instant),
    flag("removed"),  # by the coach: invitations made before do not let them in again
)
# A runner runs in one group at a time.
partial_index("ix_members_current", members.c.runner_id, unique=True, where=members.c.left_at.is_(None))
invitations = Table(
    "invitations",
    metadata,
    row_id(),
    Column("by_id", NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("group_id", NUMBER, ForeignKey("groups.id", ondelete="CASCADE"), index=True),  # null: into no group
    word("opens"),  # what it makes of whoever uses it
    Column("begins", Instant),  # a stand-in's time
    Column("ends", Instant),
    Column("digest", LargeBinary, nullable=False),  # of the code, which is kept nowhere
    moment("made_at"),
    moment("until"),
    number("uses_left"),
    UniqueConstraint("digest"),
    sqlite_autoincrement=True,
)
shares = Table(
    "shares",
    metadata,
    of_runner(primary_key=True),
    Column("kind", TEXT, primary_key=True),
    moment("at"),  # a coach who came later does not see it
)
notes = Table(
    "notes",
    metadata,
    row_id(),
    of_runner(index=True),
    Column("author_id", NUMBER, ForeignKey("runners.id", ondelete="CASCADE"), nullable=False, index=True),
    moment("at"),
    word("text"),
)

# Who knocked at a closed door or tried a code lately, as digests, for a day.
knocks = Table(
    "knocks",
    metadata,
    row_id(),
    Column("digest", LargeBinary, nullable=False),
    word("what"),
    moment("at"),
    Index(None, "digest", "at"),
)

# Who hosts the bot, a row a voice; null once they were erased. `keep_months`: for how long things are kept.
hosting = Table(
    "hosting",
    metadata,
    Column("voice", TEXT, primary_key=True),
    Column("runner_id", NUMBER, ForeignKey("runners.id", ondelete="SET NULL")),
    Column("claimed_at", Instant),  # null: nobody ever has, and only `keep_months` counts
    number("keep_months"),
)
# The one-time code that makes somebody the host, by its digest.
host_codes = Table(
    "host_codes",
    metadata,
    Column("digest", LargeBinary, primary_key=True),
    moment("until"),
)
# What a runner was told before something of theirs is deleted, and when.
notices = Table(
    "notices",
    metadata,
    of_runner(primary_key=True),
    Column("kind", TEXT, primary_key=True),
    moment("told_at"),
)
