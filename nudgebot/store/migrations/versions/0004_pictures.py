"""Lets a letter say which picture goes with it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Adds the word; the table is copied, since SQLite would write an added column outside the others."""
    with op.batch_alter_table("outbox") as outbox:
        outbox.add_column(sa.Column("picture", sa.String()))


def downgrade() -> None:
    """Forgets which pictures were meant; the letters keep their words."""
    with op.batch_alter_table("outbox") as outbox:
        outbox.drop_column("picture")
