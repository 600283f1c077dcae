"""How do the hundreds of databases of one test process share what SQLAlchemy compiled?

An engine keeps the SQL it made of a statement under its own dialect; each test's database has an engine of
its own and would make all of it anew, a fifth of the time of a journey. What is compiled hangs on the driver
and the server, not on the file or the database, and is kept under these.
"""

from typing import Any

from lotroot.database import Database
from sqlalchemy import Engine

_statements: dict[Any, Any] = {}


class _OfOneServer(dict[Any, Any]):
    """What an engine takes for its own cache: it looks up (dialect, statement ...)."""

    def __init__(self, server: Any) -> None:
        super().__init__()
        self._server = server

    def get(self, key: Any, default: Any = None) -> Any:
        return _statements.get((self._server, *key[1:]), default)

    def __setitem__(self, key: Any, compiled: Any) -> None:
        _statements[self._server, *key[1:]] = compiled


def compiled_once(engine: Engine) -> Engine:
    """An engine whose statements were compiled by whichever came first in this process."""
    server = (engine.dialect.dbapi, engine.url.set(database=""))
    engine.update_execution_options(compiled_cache=_OfOneServer(server))
    return engine


def for_all_databases() -> None:
    """See to it for every database of this process, also those that the program opens, as `verify` does."""
    alone = Database._engine
    Database._engine = lambda database: compiled_once(alone(database))
