"""How do the tables that are never rebuilt come to the form this release expects?

The revisions stand in migrations/. They run inside the caller's write transaction, all or nothing.
"""

import importlib
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text

from lotroot.settings import data_folder

if TYPE_CHECKING:
    from alembic.config import Config

SCHEMA = "0001"
"""The newest revision in migrations/: what this release's statements expect."""


def migrate(connection: Connection, to: str = "head") -> None:
    """Bring ledger and operational tables to a revision; the caller holds the write transaction."""
    # Imported when needed: it would make every other start half a second slower.
    importlib.import_module("alembic.command").upgrade(configuration(connection), to)


def configuration(connection: Connection | None = None) -> "Config":
    """Where Alembic finds the revisions, and the connection they run on."""
    config: Config = importlib.import_module("alembic.config").Config()
    config.set_main_option("script_location", str(data_folder("migrations")).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def revision(connection: Connection) -> str | None:
    """The revision a database is at; None where it is not one of ours."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.scalar(text("SELECT version_num FROM alembic_version"))
    return str(found) if found else None
