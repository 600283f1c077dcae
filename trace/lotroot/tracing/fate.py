"""What came of some lots, all together: how many further lots, which left the plant and to whom?

By live links; `held` names those among the lots themselves that a hold reaches.
"""

from collections.abc import Iterable
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.dispatch.shipments import loads_of_lots
from lotroot.genealogy.walks import lots_numbered
from lotroot.holds.reach import held_among
from lotroot.tracing.kin import kin_below
from lotroot.tracing.whereabouts import LEFT


class Fate(NamedTuple):
    """What came of some lots: numbers of lots that left, codes of customers, how many lots it is in all."""

    left: tuple[str, ...]
    customers: tuple[str, ...]
    held: frozenset[str]
    visited: int


def fate(connection: Connection, numbers: Iterable[str]) -> Fate:
    """Follow some lots (by number) to all that was made of them."""
    lots = {number: row for number, row in lots_numbered(connection, numbers).items() if not row.voided}
    below = all_below(connection, lots)
    loads = [row for row in loads_of_lots(connection, sorted(below)) if row.state == LEFT]
    reached = {lot for lot, _ in held_among(connection, [(row.id, None) for row in lots.values()])}
    return Fate(
        tuple(sorted({row.lot for row in loads})),
        tuple(sorted({row.customer for row in loads})),
        frozenset(number for number, row in lots.items() if row.id in reached),
        len(below),
    )


def all_below(connection: Connection, numbers: Iterable[str]) -> set[str]:
    """Some lots and all made of them, by number."""
    wanted = [row.id for row in lots_numbered(connection, numbers).values()]
    kin = kin_below(connection, wanted)
    made: dict[int, set[int]] = {}
    for child, links in kin.links.items():
        for link in links:
            made.setdefault(link.parent, set()).add(child)
    todo, found = [lot for lot in wanted if lot in kin.lots], set()
    while todo:
        lot = todo.pop()
        if lot not in found:
            found.add(lot)
            todo += made.get(lot, ())
    return {kin.lots[lot].number for lot in found}
