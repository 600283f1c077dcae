"""What do the checks say of a lot, an item, a run or a carrier, and which are still to be made?

A check on a run shows on every lot the run made, judged by that lot's product; a check on a pan was one
on the lot that was in it then.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.confirmed.facts import decided
from lotroot.genealogy.lots import find_lot, lots_of_run
from lotroot.goods import typed
from lotroot.identity import ItemNumber, is_lot, is_run
from lotroot.production.runs import find_run, judged_by, loads_of_lot, outputs_of_lot, run_or_none
from lotroot.quality.facts import checked

JUDGED = (
    select(
        checked,
        decided.c.person.label("stood_by"),
        decided.c.at.label("stood_at"),
        decided.c.overridden,
    )
    .outerjoin_from(checked, decided, checked.c.figure == decided.c.event)
    .where(checked.c.voided == 0)
)
"""Every judgement that was not taken back, as a `Check`."""

_of_lots = JUDGED.where(checked.c.lot.in_(bindparam("some", expanding=True)))
_of_subjects = JUDGED.where(checked.c.subject.in_(bindparam("some", expanding=True)))

Check = Row[Any]
"""A row of `quality.facts.checked`: one judgement of one check; `stood_by` and `stood_at` are None, or who
confirmed or overrode (`overridden`) its limits and when."""


def checks_of(connection: Connection, number: str) -> list[Check]:
    """The checks on a lot, an item, a run with its lots, or a carrier, in ledger order.

    `subject` is what was scanned: on a lot's list, a run's number means that it was checked as a whole.
    Raises Unknown for a lot nobody gave.
    """
    value = typed(number)
    if isinstance(value, ItemNumber):
        return [
            row
            for row in _on_lot(connection, str(value.lot))
            if not row.first or row.first <= value.serial <= row.last
        ]
    if is_lot(value):
        return _on_lot(connection, number)
    own = _rows(connection, _of_subjects, [number])
    if is_run(value):
        lots = [row.number for row in lots_checked_with(connection, number)]
        return _in_order([*own, *_rows(connection, _of_lots, lots)])
    return _in_order(own)


def lots_checked_with(connection: Connection, number: str) -> list[Row[Any]]:
    """The lots that a check on a run says something of: those it was for, or those that go through as
    they are. What came out beside them is other goods: solution in a tank has no moisture of wood."""
    run = find_run(connection, number)
    process = judged_by(connection, run.row)[1]
    if process.feed != "as_is":
        beside = {one.code for one in process.outputs if one.by_product}
        others = {one.lot for one in run.outputs if one.output in beside}
        return [row for row in lots_of_run(connection, number) if row.number not in others]
    return [find_lot(connection, lot) for lot in dict.fromkeys(load.lot for load in run.inputs)]


def checks_due(connection: Connection, lot: str) -> list[str]:
    """The characteristics that the processes of a lot ask for and nobody has checked since, in order."""
    done = _on_lot(connection, lot)
    due: dict[str, None] = {}
    for run in _runs_of(connection, lot):
        since = {row.characteristic for row in done if row.event > run.opened_event}
        for code in judged_by(connection, run)[1].checks:
            if code not in since:
                due[code] = None
    return list(due)


def _on_lot(connection: Connection, number: str) -> list[Check]:
    lot = find_lot(connection, number)
    runs = [run.number for run in _runs_of(connection, number)]
    of_runs = [row for row in _rows(connection, _of_subjects, runs) if not row.lot]
    return _in_order([*_rows(connection, _of_lots, [number]), *_of_product(of_runs, lot.product)])


def _of_product(rows: list[Check], product: str) -> list[Check]:
    """The judgement of each check that is by this product's limits, else all it has."""
    fitting = {row.event for row in rows if row.product == product}
    return [row for row in rows if row.product == product or row.event not in fitting]


def _runs_of(connection: Connection, number: str) -> list[Row[Any]]:
    """The runs whose checks are the lot's: those that made it, and those it went through as it is."""
    made = [one.run for one in outputs_of_lot(connection, number) if _is_main(connection, one)]
    through = [one.run for one in loads_of_lot(connection, number)]
    found = []
    for run in dict.fromkeys([*made, *through]):
        row = run_or_none(connection, run)
        if row is not None and (run in made or judged_by(connection, row)[1].feed == "as_is"):
            found.append(row)
    return found


def _is_main(connection: Connection, made: Row[Any]) -> bool:
    """Whether an output is what the run was for; what else came out has no checks of its own."""
    row = run_or_none(connection, made.run)
    output = judged_by(connection, row)[1].output(made.output) if row is not None else None
    return output is not None and not output.by_product


def _rows(connection: Connection, query: Any, some: Sequence[str]) -> list[Check]:
    return [
        row
        for start in range(0, len(some), 500)
        for row in connection.execute(query, {"some": list(some[start : start + 500])})
    ]


def _in_order(rows: Iterable[Check]) -> list[Check]:
    found = {(row.event, row.seq): row for row in rows}
    return [found[key] for key in sorted(found)]
