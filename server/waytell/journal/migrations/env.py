"""Read by alembic: the steps run on the connection, and in the transaction, of `schema.bring_up_to_date`."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"])
with context.begin_transaction():
    context.run_migrations()
