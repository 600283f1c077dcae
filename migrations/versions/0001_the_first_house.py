"""Which tables does the first release have that are never rebuilt?

Nothing is released yet: until then this revision creates the tables as the program declares them, and
each is named here, so that a new one is a decision. Released revisions are never changed; from 0002 on
they spell out what they add, and ledger tables only ever gain columns.
"""

from alembic import op
from lotroot.database import metadata
from lotroot.ledger.triggers import create_triggers
from lotroot.posting.status import tables

revision = "0001"
down_revision = None

LEDGER = ("posting", "event", "file")
OPERATIONAL = (
    *("series", "status_version", "name", "badge", "login", "device", "signin", "duty"),
    *("print_job", "printer_seen"),
)


def upgrade() -> None:
    """Create the tables and what keeps the ledger from being changed."""
    connection = op.get_bind()
    declared = {table.name: table for layer in ("ledger", "operational") for table in tables(layer)}
    metadata.create_all(connection, [declared[name] for name in LEDGER + OPERATIONAL])
    create_triggers(connection)
