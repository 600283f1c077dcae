"""From which supplier and heat is a lot, where that is one?

Walked up the links to what was received, one step after another and no further than `FAR` lots: behind a tank
that is never emptied stands everything. Several, or too far: told so, never guessed.
"""

from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select

from lotroot.genealogy.tables import LIVE, edge, lot
from lotroot.receiving.receipts import details_of
from lotroot.receiving.tables import source

SEVERAL = "(several)"
FAR = 200
"""Lots looked at behind one load: a tumbler load of a dozen pans of as many strippers each (ours)."""

_parents = (
    select(edge.c.parent)
    .where(edge.c.child == bindparam("child"), edge.c.stream == bindparam("stream"), edge.c.state == LIVE)
    .distinct()
    .order_by(edge.c.parent)
)
_id = select(lot.c.id).where(lot.c.number == bindparam("number"))
_received = select(source).join(lot, lot.c.number == source.c.lot).where(lot.c.id == bindparam("id"))


class Origin(NamedTuple):
    """A supplier's code and a heat; "" where not known, `SEVERAL` where more than one."""

    supplier: str
    heat: str


def origins_of(connection: Connection, number: str, stream: str) -> frozenset[Origin] | None:
    """Every supplier and heat that a lot's part of a stream came from; None where that leads too far."""
    waiting = [row.id for row in connection.execute(_id, {"number": number})]
    seen, found = set(waiting), set[Origin]()
    while waiting:
        here = waiting.pop()
        received = connection.execute(_received, {"id": here}).first()
        if received is not None:
            found |= {Origin(received.supplier, heat) for heat in details_of(received).heats or ("",)}
        query = {"child": here, "stream": stream}
        parents = {row.parent for row in connection.execute(_parents, query)} - seen
        seen |= parents
        waiting += sorted(parents)
        if len(seen) > FAR:
            return None
    return frozenset(found)


def origin_of(connection: Connection, number: str, stream: str) -> Origin:
    """The supplier and heat that all of a lot's part of a stream came from."""
    found = origins_of(connection, number, stream)
    if found is None:
        return Origin(SEVERAL, SEVERAL)
    return Origin(_one({one.supplier for one in found}), _one({one.heat for one in found}))


def _one(values: set[str]) -> str:
    if len(values) > 1:
        return SEVERAL
    return next(iter(values), "")
