"""How much of the time of an answer is the database's own, on SQLite?

Every cursor of an engine is watched: the time in which it carries out statements and hands over rows, by the
clock and by the processor, which differ where others want the processor too.
"""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import event

from lotroot.database import Database, sqlite_module

_WATCHED = ("execute", "executemany", "fetchone", "fetchmany", "fetchall")


@dataclass
class Watch:
    """Nanoseconds of statements and of all that is done in a block, by the clock and by the processor."""

    spent: int = 0
    processor: int = 0
    statements: int = 0
    whole: int = 0
    whole_processor: int = 0

    @contextmanager
    def on(self) -> Iterator[None]:
        """Count from nothing, for what is done in this block."""
        self.spent = self.processor = self.statements = 0
        begun, at_work = time.perf_counter_ns(), time.thread_time_ns()
        yield
        self.whole = time.perf_counter_ns() - begun
        self.whole_processor = time.thread_time_ns() - at_work


def watched(file: str) -> tuple[Database, Watch]:
    """A database on an SQLite file, and the watch on all its cursors."""
    database, watch = Database(file), Watch()
    connection_kind = _connection_kind(watch)

    def as_watched(_dialect: Any, _record: Any, _args: Any, params: dict[str, Any]) -> None:
        params["factory"] = connection_kind

    event.listen(database.engine, "do_connect", as_watched)
    return database, watch


def _connection_kind(watch: Watch) -> type:
    module = sqlite_module()

    def timed(name: str) -> Any:
        plain = getattr(module.Cursor, name)

        def method(self: Any, *args: Any) -> Any:
            begun, at_work = time.perf_counter_ns(), time.thread_time_ns()
            try:
                return plain(self, *args)
            finally:
                watch.spent += time.perf_counter_ns() - begun
                watch.processor += time.thread_time_ns() - at_work
                watch.statements += name.startswith("execute")

        return method

    cursor = type("Cursor", (module.Cursor,), {name: timed(name) for name in _WATCHED})

    def of_connection(self: Any, *_args: Any) -> Any:
        return module.Connection.cursor(self, cursor)

    return type("Connection", (module.Connection,), {"cursor": of_connection})
