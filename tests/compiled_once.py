"""How do the hundreds of databases of one test process share what SQLAlchemy compiled?

An engine keeps the SQL it made of a statement for its dialect; each test's database has an engine of its
own and would make all of it anew, a fifth of the time of a journey. Nothing of SQLite's dialect hangs on
the file, so all engines of a driver take the first one's.
"""

from typing import Any

from lotroot.database import Database
from sqlalchemy import Engine

_dialects: dict[Any, Any] = {}
_statements: dict[Any, Any] = {}


def compiled_once(engine: Engine) -> Engine:
    """An engine on SQLite whose statements were compiled by whichever came first in this process."""
    engine.dialect = _dialects.setdefault(engine.dialect.dbapi, engine.dialect)
    engine.update_execution_options(compiled_cache=_statements)
    return engine


class CompiledOnce(Database):
    """A database whose statements were compiled by whichever came first in this process."""

    def _engine(self) -> Engine:
        engine = super()._engine()
        return compiled_once(engine) if self.on_sqlite else engine
