"""Is the standing balance of each closed run what its run's own tables come to now?

In amounts alone, a handful of statements for all runs: loaded, returned and scrap of each stream; what was
made, where all outputs of the run are of one stream and of an undivided product; and that the sides add up. A
run that is open or void has no balance, and one that is closed has one of each stream it used, but for those
of before there were balances, which the next start adds up.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, func, select

from lotroot.balance.reconciling import Sides, difference
from lotroot.ledger.proof import Finding
from lotroot.plant.adopted import plant_of
from lotroot.production.tables import run, run_input, run_output, run_scrap
from lotroot.reconciliation.earlier import never_added_up
from lotroot.reconciliation.sides import THEORY
from lotroot.reconciliation.tables import STANDS, run_balance

Sums = dict[tuple[str, str], tuple[int, ...]]
"""Amounts by run and stream."""

_returned = func.sum(run_input.c.remainder).filter(run_input.c.unloaded_at.is_not(None))
_loads = (
    select(run_input.c.run, run_input.c.stream, func.sum(run_input.c.amount), _returned)
    .where(run_input.c.voided == 0)
    .group_by(run_input.c.run, run_input.c.stream)
)
_scrap = (
    select(run_scrap.c.run, run_input.c.stream, func.sum(run_scrap.c.amount))
    .join(run_input, (run_input.c.run == run_scrap.c.run) & (run_input.c.load == run_scrap.c.load))
    .where(run_scrap.c.voided == 0, run_input.c.voided == 0)
    .group_by(run_scrap.c.run, run_input.c.stream)
)
_made = (
    select(run_output.c.run, run_output.c.stream, func.sum(run_output.c.amount))
    .where(run_output.c.voided == 0)
    .group_by(run_output.c.run, run_output.c.stream)
)
_balances = (
    select(run_balance, run.c.closed.label("closed_now"), run.c.voided, run.c.plant)
    .join(run, run.c.number == run_balance.c.run)
    .where(STANDS)
    .order_by(run_balance.c.run, run_balance.c.stream)
)
_closed = (
    select(run_input.c.run, run_input.c.stream)
    .join(run, run.c.number == run_input.c.run)
    .where(run.c.closed.is_not(None), run.c.voided == 0, run_input.c.voided == 0)
    .distinct()
)


def balance_findings(connection: Connection) -> Iterator[Finding]:
    """Every run whose balance is lacking or not what it comes to: its first stream, in the order of runs."""
    balances = connection.execute(_balances).all()
    found = [*_lacking(connection, {(row.run, row.stream) for row in balances}), *_off(connection, balances)]
    for _, mine in groupby(sorted(found), key=lambda one: one.where.partition(" ")[0]):
        yield next(mine)


def _lacking(connection: Connection, there: set[tuple[str, str]]) -> Iterator[Finding]:
    """Streams of closed runs that were never added up and that no start will add up."""
    lacking = sorted({(row.run, row.stream) for row in connection.execute(_closed)} - there)
    if lacking:
        waiting = set(never_added_up(connection, most=len(lacking)))
        for number, stream in lacking:
            if number not in waiting:
                yield Finding(f"{number} {stream}", "no balance", "one, as the run is closed")


def _off(connection: Connection, balances: Sequence[Row[Any]]) -> Iterator[Finding]:
    loads, scrap, made = (_sums(connection, query) for query in (_loads, _scrap, _made))
    streams: dict[str, int] = {}
    for number, _ in made:
        streams[number] = streams.get(number, 0) + 1
    for row in balances:
        key = (row.run, row.stream)
        plain = streams.get(row.run) == 1 and not _divided(connection, row)
        own = made.get(key, (0,))[0] if plain and key in made else None
        finding = _wrong(row, loads.get(key, (0, 0)), scrap.get(key, (0,))[0], own)
        if finding is not None:
            yield finding


def _sums(connection: Connection, query: Any) -> Sums:
    return {(row[0], row[1]): tuple(int(one or 0) for one in row[2:]) for row in connection.execute(query)}


def _divided(connection: Connection, row: Any) -> bool:
    """Whether the product is made up of several streams, such as steel and PVC."""
    product = plant_of(connection, row.plant).products.get(row.product)
    return product is not None and bool(product.parts_permille)


def _wrong(row: Any, loads: tuple[int, ...], scrap: int, made: int | None) -> Finding | None:
    where = f"{row.run} {row.stream}"
    if row.closed_now is None or row.voided:
        return Finding(where, "a balance of a run that is not closed", "none")
    recorded = row.other_good if row.basis == THEORY else row.good
    found = {"loaded": row.loaded, "returned": row.returned, "scrap": row.scrap}
    wanted = {"loaded": loads[0], "returned": loads[1], "scrap": scrap}
    if made is not None:
        found["made"], wanted["made"] = recorded + row.by_product, made
    sides = Sides(row.loaded, row.returned, row.good, row.by_product, row.scrap)
    found["difference"], wanted["difference"] = row.difference, difference(sides, row.loss)
    for name, amount in found.items():
        if amount != wanted[name]:
            return Finding(where, f"{name} {amount} {row.unit}", f"the {wanted[name]} of the run itself")
    return None
