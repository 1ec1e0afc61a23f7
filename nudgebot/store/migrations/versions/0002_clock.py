"""Remembers where the terminal's told time stands."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from nudgebot.store.tables import Instant

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Adds the clock."""
    op.create_table(
        "clock",
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("voice", name=op.f("pk_clock")),
    )


def downgrade() -> None:
    """Forgets it."""
    op.drop_table("clock")
