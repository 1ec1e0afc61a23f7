"""Remembers where the terminal's told time stands."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Adds the clock."""
    op.create_table(
        "clock",
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("voice", name=op.f("pk_clock")),
    )


def downgrade() -> None:
    """Forgets it."""
    op.drop_table("clock")
