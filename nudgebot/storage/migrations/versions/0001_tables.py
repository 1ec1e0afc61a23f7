"""All tables, as `schema` has them.

Nothing is released yet, so a table changes in `schema` alone, and a file made before the change is refused as it is
opened. At the first release the columns are spelled out here, and from then on each change is a migration of its own.
"""

from __future__ import annotations

from alembic import op

from nudgebot.storage.schema import metadata

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Makes the tables."""
    metadata.create_all(op.get_bind())


def downgrade() -> None:
    """Removes everything."""
    metadata.drop_all(op.get_bind())
