"""Run by Alembic, in the transaction that `sawbill.store.migrating` has begun."""

from alembic import context

from sawbill.store.schema import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA)
with context.begin_transaction():
    context.run_migrations()
