"""Groups: a coach's runners, invitations, what is shared, notes, and who knocked at the door lately."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def _person(name: str, table: str, *, nullable: bool = False) -> tuple[sa.Column[Any], sa.ForeignKeyConstraint]:
    key = sa.ForeignKeyConstraint([name], ["runners.id"], name=op.f(f"fk_{table}_{name}_runners"), ondelete="CASCADE")
    return sa.Column(name, sa.Integer(), nullable=nullable), key


def _group(table: str, *, nullable: bool = False) -> tuple[sa.Column[Any], sa.ForeignKeyConstraint]:
    key = sa.ForeignKeyConstraint(
        ["group_id"], ["groups.id"], name=op.f(f"fk_{table}_group_id_groups"), ondelete="CASCADE"
    )
    return sa.Column("group_id", sa.Integer(), nullable=nullable), key


def upgrade() -> None:
    """Adds the tables of a group."""
    coach, coach_key = _person("coach_id", "groups")
    op.create_table(
        "groups",
        sa.Column("id", sa.Integer(), nullable=False),
        coach,
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("chat", sa.String()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("digest_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_groups")),
        sa.UniqueConstraint("coach_id", name=op.f("uq_groups_coach_id")),
        sa.UniqueConstraint("voice", "chat", name=op.f("uq_groups_voice_chat")),
        coach_key,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_groups_voice_digest_at"), "groups", ["voice", "digest_at"])

    runner, runner_key = _person("runner_id", "members")
    group, group_key = _group("members")
    op.create_table(
        "members",
        sa.Column("id", sa.Integer(), nullable=False),
        runner,
        group,
        sa.Column("joined_at", sa.BigInteger(), nullable=False),
        sa.Column("left_at", sa.BigInteger()),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_members")),
        runner_key,
        group_key,
    )
    op.create_index(op.f("ix_members_group_id"), "members", ["group_id"])
    op.create_index(
        "ix_members_current", "members", ["runner_id"], unique=True, sqlite_where=sa.text("left_at IS NULL")
    )

    by, by_key = _person("by_id", "invitations")
    group, group_key = _group("invitations", nullable=True)
    op.create_table(
        "invitations",
        sa.Column("id", sa.Integer(), nullable=False),
        by,
        group,
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("until", sa.BigInteger(), nullable=False),
        sa.Column("uses_left", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitations")),
        sa.UniqueConstraint("digest", name=op.f("uq_invitations_digest")),
        by_key,
        group_key,
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_invitations_by_id"), "invitations", ["by_id"])
    op.create_index(op.f("ix_invitations_group_id"), "invitations", ["group_id"])

    runner, runner_key = _person("runner_id", "shares")
    op.create_table(
        "shares",
        runner,
        sa.Column("kind", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("runner_id", "kind", name=op.f("pk_shares")),
        runner_key,
    )

    runner, runner_key = _person("runner_id", "notes")
    author, author_key = _person("author_id", "notes")
    op.create_table(
        "notes",
        sa.Column("id", sa.Integer(), nullable=False),
        runner,
        author,
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notes")),
        runner_key,
        author_key,
    )
    op.create_index(op.f("ix_notes_runner_id"), "notes", ["runner_id"])
    op.create_index(op.f("ix_notes_author_id"), "notes", ["author_id"])

    op.create_table(
        "knocks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_knocks")),
    )
    op.create_index(op.f("ix_knocks_digest_at"), "knocks", ["digest", "at"])


def downgrade() -> None:
    """Removes them, and with them who runs with whom."""
    for table in ("knocks", "notes", "shares", "invitations", "members", "groups"):
        op.drop_table(table)
