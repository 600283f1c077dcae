"""What happened in several runs, read in a few statements?"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Row, Table, bindparam, select

from lotroot.genealogy.walks import AT_ONCE
from lotroot.production.runs import Run
from lotroot.production.tables import run, run_input, run_join, run_mark, run_output, run_scrap, run_use


def _of_runs(table: Table) -> Any:
    return (
        select(table)
        .where(table.c.run.in_(bindparam("some", expanding=True)))
        .order_by(*table.primary_key.columns)
    )


_rows = select(run).where(run.c.number.in_(bindparam("some", expanding=True)))
_inputs, _outputs, _scrap = _of_runs(run_input), _of_runs(run_output), _of_runs(run_scrap)
_joins, _uses, _marks = _of_runs(run_join), _of_runs(run_use), _of_runs(run_mark)
_loading = select(run_input.c.run).where(
    run_input.c.lot.in_(bindparam("some", expanding=True)), run_input.c.voided == 0
)


def runs_numbered(connection: Connection, numbers: Iterable[str]) -> list[Run]:
    """Some runs with all that happened in them, in the order they were opened; void parts are left out."""
    wanted = sorted(set(numbers))
    tables = [
        _by_run(connection, query, wanted) for query in (_inputs, _outputs, _scrap, _joins, _uses, _marks)
    ]
    found = []
    for row in _fetched(connection, _rows, wanted):
        inputs, outputs, scrap, joins, uses, marks = (table.get(row.number, []) for table in tables)
        found.append(Run(row, _standing(inputs), _standing(outputs), _standing(scrap), joins, uses, marks))
    return sorted(found, key=lambda one: one.row.opened_event)


def runs_loading(connection: Connection, lots: Iterable[str]) -> set[str]:
    """The runs in which any of some lots was loaded."""
    return {row.run for row in _fetched(connection, _loading, sorted(set(lots)))}


def _standing(rows: list[Row[Any]]) -> list[Row[Any]]:
    return [row for row in rows if not row.voided]


def _by_run(connection: Connection, query: Any, numbers: list[str]) -> dict[str, list[Row[Any]]]:
    found: dict[str, list[Row[Any]]] = {}
    for row in _fetched(connection, query, numbers):
        found.setdefault(row.run, []).append(row)
    return found


def _fetched(connection: Connection, query: Any, some: list[str]) -> list[Row[Any]]:
    return [
        row
        for start in range(0, len(some), AT_ONCE)
        for row in connection.execute(query, {"some": some[start : start + AT_ONCE]})
    ]
