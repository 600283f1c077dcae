"""How is it made sure that one program at a time writes to a database?

The lock is a file beside an SQLite database, a session advisory lock on PostgreSQL. Both end with the
program that holds them, however it ends; the file itself stays and means nothing by being there.
"""

import sys
from pathlib import Path
from typing import IO

from sqlalchemy import text

from lotroot.database import Database
from lotroot.errors import Unavailable

if sys.platform == "win32":
    import msvcrt

    def _lock(file: IO[bytes]) -> None:
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


HOLDER_LOCK = 5_040_626_012_384
"""PostgreSQL advisory lock of the one program that may write: any constant of ours."""


def hold(database: Database) -> None:
    """Be the one program that writes to a database, until it is closed. Raises Unavailable if one is."""
    if database.on_sqlite:
        _hold_file(database)
    else:
        _hold_session(database)


def _hold_file(database: Database) -> None:
    path = Path(f"{database.path}.lock")
    file = path.open("ab")
    try:
        _lock(file)
    except OSError as error:
        file.close()
        raise _in_use(str(database.path)) from error
    database.on_close.append(file.close)


def _hold_session(database: Database) -> None:
    # AUTOCOMMIT: the lock belongs to the session, which must not sit in a transaction for days.
    session = database.engine.connect().execution_options(isolation_level="AUTOCOMMIT")
    database.on_close.append(session.close)
    if not session.scalar(text("SELECT pg_try_advisory_lock(:key)"), {"key": HOLDER_LOCK}):
        raise _in_use(database.engine.url.render_as_string())

    def let_go() -> None:
        session.execute(text("SELECT pg_advisory_unlock(:key)"), {"key": HOLDER_LOCK})

    database.on_close.append(let_go)


def _in_use(value: str) -> Unavailable:
    return Unavailable(
        "Another program is working on this database.",
        value=value,
        expected="Only one at a time may write to it, such as a running server.",
        next_step="Do it on the server's pages, or stop the server first.",
    )
