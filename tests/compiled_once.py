"""How do the hundreds of databases of one test process share what SQLAlchemy compiled?

An engine keeps the SQL it made of a statement for its dialect; each test's database has an engine of its
own and would make all of it anew, a fifth of the time of a journey. Nothing of a dialect hangs on the file
or the database, only on the driver and the server, so all engines of a server take the first one's.
"""

from typing import Any

from lotroot.database import Database
from sqlalchemy import Engine, event

_dialects: dict[Any, Any] = {}
_statements: dict[Any, Any] = {}


def compiled_once(engine: Engine) -> Engine:
    """An engine whose statements were compiled by whichever came first in this process."""
    server = (engine.dialect.dbapi, engine.url.set(database=""))
    if server in _dialects:
        engine.dialect = _dialects[server]
    else:
        # A dialect asks its server what it can do when it first connects; only then is it any use to others.
        event.listen(engine, "connect", lambda *_: _dialects.setdefault(server, engine.dialect))
    engine.update_execution_options(compiled_cache=_statements)
    return engine


class CompiledOnce(Database):
    """A database whose statements were compiled by whichever came first in this process."""

    def _engine(self) -> Engine:
        return compiled_once(super()._engine())
