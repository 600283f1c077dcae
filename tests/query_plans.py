"""How does a test learn by which way the engine reaches the rows of a question?

    [plan] = plans(connection, lambda: lots_met(connection, met, window))

On PostgreSQL reading from end to end is made dear first, so that it is chosen only where no index serves.
"""

import re
from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, event

SMALL = ("plant", "walk", "floor", "mine", "CONSTANT")
"""Read whole by right: these do not grow with the goods, or hold what the statement itself has found."""


def plans(connection: Connection, ask: Callable[[], Any]) -> list[str]:
    """How the statements of a question are carried out, one line a step."""
    return [line for lines in plans_by_statement(connection, ask).values() for line in lines]


def plans_by_statement(connection: Connection, ask: Callable[[], Any]) -> dict[str, list[str]]:
    """How each statement of a question is carried out, one line a step."""
    sent: dict[str, Any] = {}

    def note(*args: Any) -> None:
        sent.setdefault(args[2], args[3])

    event.listen(connection.engine, "before_cursor_execute", note)
    try:
        ask()
    finally:
        event.remove(connection.engine, "before_cursor_execute", note)
    assert sent, "a question that asks the database nothing has no plan"
    explain = _of_sqlite if connection.dialect.name == "sqlite" else _of_postgresql
    return {statement: explain(connection, statement, values) for statement, values in sent.items()}


def read_whole(lines: list[str]) -> list[str]:
    """The steps that read a table of goods from end to end, or make an index or filter of one anew."""
    return [line for line in lines if _table_read_whole(line) or "AUTOMATIC" in line or "BLOOM" in line]


def _table_read_whole(line: str) -> bool:
    found = re.match(r"SCAN (\w+)", line) or re.search(r"Seq Scan on (\w+)", line)
    return found is not None and found[1] not in SMALL


def _of_sqlite(connection: Connection, statement: str, values: Any) -> list[str]:
    rows = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values)
    return [str(row[3]) for row in rows]


def _of_postgresql(connection: Connection, statement: str, values: Any) -> list[str]:
    connection.exec_driver_sql("SET LOCAL enable_seqscan = off")
    return [str(row[0]) for row in connection.exec_driver_sql(f"EXPLAIN {statement}", values)]
