"""How is a database set up, and may this program work on the one it is given?"""

from contextlib import ExitStack
from pathlib import Path

from sqlalchemy import Connection, inspect

from lotroot.database import Database
from lotroot.errors import Unavailable
from lotroot.house.catching_up import catch_up
from lotroot.house.lock import hold
from lotroot.house.schema import SCHEMA, migrate, revision
from lotroot.ledger.triggers import expected_triggers, standing_triggers
from lotroot.posting.status import is_current, rebuild, remake

__all__ = ["create", "hold", "look_into", "make_private", "migrate", "open_house", "require_empty"]


def create(database: Database) -> None:
    """Set up an empty database: ledger, operational and status tables, triggers, all or nothing.

    Raises Unavailable where it is not empty. A new SQLite file is for its owner's eyes only: it holds
    hashed PINs and badges.
    """
    make_private(database)
    with database.writing() as connection:
        require_empty(connection)
        migrate(connection)
        remake(connection)


def open_house(url: str) -> Database:
    """The database to serve or to write to, with its lock held until it is closed.

    Status made by other rules is made anew, and what this release adds to a record is added. Raises
    Unavailable where the database is absent, in use,
    of another release, or unprotected.
    """
    with ExitStack() as stack:
        database = _existing(url)
        stack.callback(database.close)
        hold(database)
        with database.reading() as connection:
            _require_release(connection)
            _require_triggers(connection)
        if not is_current(database):
            rebuild(database)
        catch_up(database)
        stack.pop_all()
        return database


def look_into(url: str, *, status: bool = True) -> Database:
    """The database to read only, also beside a running server; `status`: its status tables are read too.

    Raises Unavailable where it is absent or of another release.
    """
    with ExitStack() as stack:
        database = _existing(url)
        stack.callback(database.close)
        with database.reading() as connection:
            _require_release(connection)
        if status and not is_current(database):
            raise Unavailable(
                "Where things stand was worked out by another release.",
                expected="Status made by this one.",
                next_step="Start the server once: lotroot serve. It makes status anew.",
            )
        stack.pop_all()
        return database


def make_private(database: Database) -> None:
    """Make a new SQLite file readable by its owner only; the engine's files beside it follow suit."""
    if database.path is None:
        return
    try:
        Path(database.path).touch(mode=0o600)
    except OSError as error:
        raise Unavailable(
            "The database's file cannot be made.",
            value=database.path,
            expected=f"A folder that is there and may be written to: {error.strerror}.",
            next_step="Name another file with --database.",
        ) from error


def require_empty(connection: Connection) -> None:
    """Raise Unavailable unless the database holds no table at all."""
    tables = inspect(connection).get_table_names()
    if tables:
        raise Unavailable(
            "The database is not empty.",
            value=", ".join(sorted(tables)[:5]),
            expected="An empty or absent database.",
            next_step="Name another one with --database; nothing was changed.",
        )


def _existing(url: str) -> Database:
    database = Database(url)
    if database.path is not None and not Path(database.path).is_file():
        raise _absent(database.path)
    return database


def _absent(value: str) -> Unavailable:
    return Unavailable(
        "There is no Lotroot database here.",
        value=value,
        expected=f"Looked for: {value}.",
        next_step="Make one with: lotroot init, or name the right one with --database.",
    )


def _require_release(connection: Connection) -> None:
    found = revision(connection)
    if found is None:
        raise _absent(connection.engine.url.render_as_string())
    if found != SCHEMA:
        raise Unavailable(
            "The database is of another release.",
            value=found,
            expected=f"Revision {SCHEMA}, found {found}.",
            next_step="Back it up with the release that made it, then restore that with this one.",
        )


def _require_triggers(connection: Connection) -> None:
    standing, expected = standing_triggers(connection), expected_triggers(connection)
    wrong = sorted(name for name in expected if standing.get(name) != expected[name])
    if wrong:
        raise Unavailable(
            "What keeps the ledger from being changed is not in place.",
            value=", ".join(wrong),
            expected=f"Missing or changed: {', '.join(wrong)}.",
            next_step="Run: lotroot verify. Then restore the last good backup.",
        )
