"""By which names of one scheme is known what goods were made of: which paint batches are in a bundle?

Walked up the links to the lots that go by such a name, step by step and no further than `FAR` lots: behind a
tank that is never emptied stands everything. Nothing is guessed: a lot without such a name adds none.
"""

from collections.abc import Iterable

from sqlalchemy import Connection, bindparam, select

from lotroot.genealogy.tables import LIVE, alias, edge, lot

PAINT_BATCH = "paint batch"
"""The scheme of the alias that a painted coil goes by beside others of its paint."""

FAR = 200
"""Lots looked at behind one bundle: a handful of coils, each slit of another, is far less (ours)."""

Part = tuple[str, int, int]
"""A lot's number and the serials first to last of it; 0 and 0 for all of the lot."""

_lot = select(lot.c.id, lot.c.axis).where(lot.c.number == bindparam("number"))
_links = (
    select(edge.c.parent, edge.c.child_from, edge.c.child_to)
    .where(edge.c.child == bindparam("child"), edge.c.state == LIVE)
    .distinct()
    .order_by(edge.c.parent)
)
_names = (
    select(alias.c.value)
    .join(lot, lot.c.number == alias.c.number)
    .where(lot.c.id == bindparam("id"), alias.c.scheme == bindparam("scheme"))
)


def known_as_above(connection: Connection, part: Part, scheme: str) -> frozenset[str]:
    """The names of a scheme that a lot, or some of its items, and what they were made of go by.

    Of items only the links that meet them count; of what is behind these, the whole lots. Empty where none
    has such a name, or where that leads too far to be told.
    """
    number, first, last = part
    begun = connection.execute(_lot, {"number": number}).first()
    if begun is None:
        return frozenset()
    span = (first, last) if first and begun.axis == "serial" else None
    found = _names_of(connection, begun.id, scheme)
    waiting = _parents(connection, begun.id, span)
    seen = {begun.id, *waiting}
    while waiting:
        here = waiting.pop()
        names = _names_of(connection, here, scheme)
        found |= names
        # A lot that goes by such a name itself is what it is, whatever it was made of.
        parents = set() if names else _parents(connection, here) - seen
        seen |= parents
        waiting |= parents
        if len(seen) > FAR:
            return frozenset()
    return frozenset(found)


def known_of_all(connection: Connection, parts: Iterable[Part], scheme: str) -> frozenset[str]:
    """The names of a scheme that any of some goods go by."""
    return frozenset().union(*(known_as_above(connection, part, scheme) for part in parts))


def _names_of(connection: Connection, lot_id: int, scheme: str) -> set[str]:
    return {str(row.value) for row in connection.execute(_names, {"id": lot_id, "scheme": scheme})}


def _parents(connection: Connection, child: int, span: tuple[int, int] | None = None) -> set[int]:
    """The parents of a lot, or of its items within a span of serials."""
    rows = connection.execute(_links, {"child": child})
    return {int(row.parent) for row in rows if _meets(span, row.child_from, row.child_to)}


def _meets(span: tuple[int, int] | None, start: int | None, end: int | None) -> bool:
    return span is None or start is None or end is None or (span[0] <= end and start <= span[1])
