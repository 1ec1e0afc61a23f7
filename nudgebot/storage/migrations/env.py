"""Alembic's door: runs the migrations on the connection that `upgrade` hands over, in its transaction."""

from __future__ import annotations

from alembic import context

from nudgebot.storage.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,  # SQLite changes a column by copying the table
)
with context.begin_transaction():
    context.run_migrations()
