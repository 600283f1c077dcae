"""Is status what the events alone make of it?

The events are replayed into a scratch SQLite file, whichever engine the record is on, and both are
compared row by row in byte order.
"""

import json
import tempfile
from collections.abc import Iterator
from functools import cache
from itertools import zip_longest
from pathlib import Path
from typing import Any, NamedTuple

from sqlalchemy import Connection, Select, Table, Text, select
from sqlalchemy.exc import SQLAlchemyError

from lotroot.database import Database
from lotroot.errors import LotrootError
from lotroot.ledger.proof import Finding
from lotroot.posting.status import begin_status, replay, tables


class Line(NamedTuple):
    """One row of the canonical dump: the values of its key, and all of it as text."""

    key: tuple[Any, ...]
    text: str


def status_finding(connection: Connection) -> Finding | None:
    """The first row, by table and key, that is not as the events make it."""
    with tempfile.TemporaryDirectory(prefix="lotroot-verify-") as folder:
        scratch = Database(str(Path(folder) / "status.db"))
        try:
            with scratch.writing() as target:
                begin_status(target)
                replay(connection, target)
            with scratch.reading() as target:
                return _first_difference(connection, target)
        except (LotrootError, SQLAlchemyError) as error:
            return Finding("rebuild", " ".join(str(error).split()), "events that can be replayed")
        finally:
            scratch.close()


def dump(connection: Connection) -> Iterator[tuple[str, Line]]:
    """The canonical dump of status: table by table, rows in the byte order of their keys."""
    for table in sorted(tables("status"), key=lambda one: one.name):
        for line in _lines(connection, table):
            yield table.name, line


def _first_difference(kept: Connection, made: Connection) -> Finding | None:
    for table in sorted(tables("status"), key=lambda one: one.name):
        for found, expected in zip_longest(_lines(kept, table), _lines(made, table)):
            if found != expected:
                return _difference(table, found, expected)
    return None


def _difference(table: Table, found: Line | None, expected: Line | None) -> Finding:
    """Two rows at the same place: with different keys, the lower one has no partner."""
    if found is not None and expected is not None and found.key != expected.key:
        if _bytes(found.key) < _bytes(expected.key):
            expected = None
        else:
            found = None
    key = (found or expected or Line((), "")).key
    where = f"{table.name} {'/'.join(str(part) for part in key)}"
    return Finding(where, found.text if found else "nothing", expected.text if expected else "nothing")


def _bytes(key: tuple[Any, ...]) -> tuple[Any, ...]:
    return tuple(part.encode() if isinstance(part, str) else part for part in key)


def _lines(connection: Connection, table: Table) -> Iterator[Line]:
    width = len(table.primary_key)
    with connection.execute(_in_order(table, connection.dialect.name)) as rows:
        for row in rows:
            text = json.dumps(dict(row._mapping), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
            yield Line(tuple(row[:width]), text)


@cache
def _in_order(table: Table, engine: str) -> Select[Any]:
    """All of a table, its key first, in byte order."""
    keys = list(table.primary_key)
    order = [
        key.collate("C") if isinstance(key.type, Text) and engine != "sqlite" else key.expression
        for key in keys
    ]
    columns = [*keys, *(column for column in table.columns if not column.primary_key)]
    return select(*columns).order_by(*order).execution_options(yield_per=1000)
