"""Lets a letter say which picture goes with it, and a book which days a hold or an illness took."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Adds the word and the days.

    The letters' table is copied, since SQLite would write an added column outside the others.
    """
    with op.batch_alter_table("outbox") as outbox:
        outbox.add_column(sa.Column("picture", sa.String()))
    op.create_table(
        "pauses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_pauses_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pauses")),
    )
    op.create_index(op.f("ix_pauses_runner_id_first"), "pauses", ["runner_id", "first"])


def downgrade() -> None:
    """Forgets which pictures were meant, and the days; the letters keep their words."""
    op.drop_table("pauses")
    with op.batch_alter_table("outbox") as outbox:
        outbox.drop_column("picture")
