"""Run by Alembic, in the transaction that `sawbill.store.sql.migrating` has begun."""

from alembic import context

from sawbill.store.sql.schema import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA)
with context.begin_transaction():
    context.run_migrations()
