"""Who hosts the bot and for how long things are kept; one-time codes; who was told what; a file beside a letter."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Adds the tables, and the word that says which file goes with a letter."""
    op.create_table(
        "hosting",
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("runner_id", sa.Integer()),
        sa.Column("claimed_at", sa.BigInteger()),
        sa.Column("keep_months", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("voice", name=op.f("pk_hosting")),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_hosting_runner_id_runners"), ondelete="SET NULL"
        ),
    )
    op.create_table(
        "host_codes",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("until", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_host_codes")),
    )
    op.create_table(
        "notices",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("told_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("runner_id", "kind", name=op.f("pk_notices")),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_notices_runner_id_runners"), ondelete="CASCADE"
        ),
    )
    with op.batch_alter_table("outbox") as outbox:
        outbox.add_column(sa.Column("file", sa.String()))


def downgrade() -> None:
    """Forgets all of it; the letters keep their words."""
    with op.batch_alter_table("outbox") as outbox:
        outbox.drop_column("file")
    for table in ("notices", "host_codes", "hosting"):
        op.drop_table(table)
