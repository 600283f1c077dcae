"""On which connection do the revisions run? The caller's: it also holds the transaction and the commit."""

from alembic import context
from lotroot.database import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
with context.begin_transaction():
    context.run_migrations()
