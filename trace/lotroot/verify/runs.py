"""Does every load of every run close (RULES 3)?

Per load: what its outputs took is what its live links say, and, once it is off the machine, taken +
scrapped + difference + remainder is what was loaded. All in the lot's own unit. Nothing stands on a run
that is closed. What was apportioned from a bin is all that its weighing shared out.
"""

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, func, select

from lotroot.genealogy.tables import LIVE, edge_table, lot_table
from lotroot.ledger.proof import Finding
from lotroot.production.tables import bin_weighing, run, run_input, run_scrap
from lotroot.stock.tables import standing

_taken = (
    select(lot_table.c.run, edge_table.c.load, func.sum(edge_table.c.taken).label("taken"))
    .join(lot_table, lot_table.c.id == edge_table.c.child)
    .where(edge_table.c.state == LIVE, edge_table.c.load > 0)
    .group_by(lot_table.c.run, edge_table.c.load)
)
_scrapped = (
    select(run_scrap.c.run, run_scrap.c.load, func.sum(run_scrap.c.own).label("own"))
    .where(run_scrap.c.voided == 0)
    .group_by(run_scrap.c.run, run_scrap.c.load)
)
_loads = (
    select(run_input, run.c.closed)
    .join(run, run.c.number == run_input.c.run)
    .where(run_input.c.voided == 0)
    .order_by(run_input.c.run, run_input.c.load)
)
_apportioned = (
    select(run_scrap.c.weighing, func.sum(run_scrap.c.amount).label("amount"))
    .where(run_scrap.c.voided == 0, run_scrap.c.weighing > 0)
    .group_by(run_scrap.c.weighing)
)
_weighings = select(bin_weighing).order_by(bin_weighing.c.event)
_left_on = (
    select(standing.c.lot, standing.c.amount, run.c.number)
    .join(run, run.c.number == standing.c.spot)
    .where(run.c.closed.is_not(None), standing.c.amount != 0)
    .order_by(run.c.number, standing.c.lot, standing.c.first)
)


def load_findings(connection: Connection) -> Iterator[Finding]:
    """Every load whose amounts do not close, in the order of runs and loads."""
    taken = {(row.run, row.load): int(row.taken) for row in connection.execute(_taken)}
    scrapped = {(row.run, row.load): int(row.own) for row in connection.execute(_scrapped)}
    for load in connection.execute(_loads):
        key = (load.run, load.load)
        by_links = taken.get(key, 0)
        where = f"{load.run} load {load.load}"
        if load.taken != by_links:
            yield Finding(where, f"taken {load.taken}", f"the {by_links} of its live links")
        if load.closed is not None or load.unloaded_at is not None:
            yield from _closed(where, load, scrapped.get(key, 0))
    yield from _bins(connection)
    for row in connection.execute(_left_on):
        yield Finding(row.number, f"{row.amount} of {row.lot} on a closed run", "nothing on it")


def _bins(connection: Connection) -> Iterator[Finding]:
    parts = {row.weighing: int(row.amount) for row in connection.execute(_apportioned)}
    for row in connection.execute(_weighings):
        shared, found = 0 if row.voided else row.shared, parts.pop(row.event, 0)
        if found != shared:
            yield Finding(f"bin {row.bin}", f"{found} g apportioned", f"the {shared} g of its weighing")
    for event, found in parts.items():
        yield Finding(f"event {event}", f"{found} g apportioned", "the weighing of a bin")


def _closed(where: str, load: Any, scrapped: int) -> Iterator[Finding]:
    remainder = load.remainder if load.amount == load.own else None
    if remainder is None:
        return  # told in another unit than the stream's: the lot's own accounts say whether it closes
    gone = load.taken + scrapped + load.difference + remainder
    if gone != load.own:
        yield Finding(
            where, f"{gone} taken, scrapped, different and left", f"the {load.own} that were loaded"
        )
