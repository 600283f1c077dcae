"""Is there anything of what an address narrows yields to, or was it mistyped?

A code that is in the plant, or of which there were runs before, is known; a page without runs says no more
of any other than of a quiet month.
"""

from collections.abc import Callable, Collection, Mapping

from sqlalchemy import ColumnElement, Connection, select

from lotroot.errors import Unreadable
from lotroot.plant.adopted import parties, things
from lotroot.processes.definition import Plant
from lotroot.reconciliation.origins import SEVERAL
from lotroot.reconciliation.tables import balance_source, run_balance

_COLUMNS: Mapping[str, ColumnElement[str]] = {
    "process": run_balance.c.process,
    "product": run_balance.c.product,
    "station": run_balance.c.station,
    "shift": run_balance.c.shift,
    "supplier": balance_source.c.supplier,
    "heat": balance_source.c.heat,
}
_NOW: Mapping[str, Callable[[Connection, Plant], Collection[str]]] = {
    "process": lambda _, plant: plant.processes,
    "product": lambda _, plant: plant.products,
    "station": lambda connection, _: [row.number for row in things(connection) if row.kind == "station"],
    "shift": lambda _, plant: [one.code for one in plant.shifts],
    "supplier": lambda connection, _: [row.code for row in parties(connection, "supplier")],
    "heat": lambda _, __: (),
}
_SHOWN = 12


def check_known(connection: Connection, plant: Plant, only: Mapping[str, str]) -> None:
    """Raise Unreadable at the first value of a grouping that nothing has, and never had."""
    for by, value in only.items():
        if value in ("", SEVERAL):
            continue
        codes = _NOW[by](connection, plant)
        if value in codes or _ever(connection, by, value):
            continue
        listed = ", ".join([*codes][:_SHOWN])
        raise Unreadable(
            f"No closed run used a heat {value[:40]}." if by == "heat" else f"There is no {by} {value[:40]}.",
            value=value[:40],
            expected=f"One of: {listed}." if listed else "A heat as on the tag of a coil that was used.",
            next_step="Choose another in the form, or leave it at all.",
        )


def _ever(connection: Connection, by: str, value: str) -> bool:
    column = _COLUMNS[by]
    return connection.scalar(select(column).where(column == value).limit(1)) is not None
