"""How do births, growth and corrections of a lot become what its items weigh?

The rows of a lot add up to its mass at every event: each holds what one output weighed, and what a correction
of the whole lot changed is shared over all of them.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, insert, select, update

from lotroot.genealogy.events import AmountCorrected, LotBorn, LotGrew, LotShrunk
from lotroot.genealogy.tables import item_mass, lot
from lotroot.quantities import split_cumulative

_of_lot = select(item_mass).where(item_mass.c.lot == bindparam("number")).order_by(item_mass.c.first)
_lot = select(lot).where(lot.c.number == bindparam("number"))
_axis = select(lot.c.axis).where(lot.c.number == bindparam("number"))


def born(event: LotBorn, connection: Connection) -> None:
    """The items a lot began with."""
    if event.items and event.amount and event.mass and event.unit != "g":
        _put(connection, event.number, (1, event.items), (event.mass, event.amount))


def grew(event: LotGrew, connection: Connection) -> None:
    """More items: under new serials, or under labels that were printed before."""
    if not event.amount or not event.mass:
        return
    serials = (event.packed_first, event.packed_last) if event.packed_last else (event.first, event.last)
    if serials[1]:
        _put(connection, event.number, serials, (event.mass, event.amount))
    elif connection.scalar(_axis, {"number": event.number}) == "serial":
        _put(connection, event.number, (0, 0), (0, 0))  # an old ledger did not keep under which labels


def shrank(event: LotShrunk, connection: Connection) -> None:
    """Items that were taken back."""
    mine = item_mass.c.lot == event.number
    if event.last:
        gone = (mine, item_mass.c.first >= event.first, item_mass.c.last <= event.last)
        connection.execute(delete(item_mass).where(*gone))
    elif event.items:
        connection.execute(delete(item_mass).where(mine, item_mass.c.first > event.items))


def corrected(event: AmountCorrected, connection: Connection) -> None:
    """Another mass: of the items told, else of all, in proportion. Called before the lot itself changes."""
    if event.mass is None:
        return
    row = connection.execute(_lot, {"number": event.number}).one()
    if row.axis != "serial" or row.unit == "g":
        return
    rows = connection.execute(_of_lot, {"number": event.number}).all()
    if not event.last or not all(one.first for one in rows):
        _shared_anew(connection, row, rows, event.mass)
        return
    more = event.mass - (row.mass or 0)
    mine = [one for one in rows if one.first == event.first]
    if mine:
        amount = mine[0].amount + event.amount - event.was
        _set(connection, mine[0], mass=mine[0].mass + more, amount=amount)
    else:
        _put(connection, event.number, (event.first, event.last), (more, event.amount - event.was))


def _shared_anew(connection: Connection, row: Row[Any], rows: Sequence[Row[Any]], mass: int) -> None:
    weights = [max(one.mass, 0) for one in rows]
    if any(weights):
        for one, share in zip(rows, split_cumulative(mass, weights), strict=True):
            _set(connection, one, mass=share)
    elif not rows and row.items:
        _put(connection, row.number, (1, row.items), (mass, row.amount))


def _put(connection: Connection, number: str, serials: tuple[int, int], much: tuple[int, int]) -> None:
    """A row of its own; serials that have one already, or 0 for nobody knows which, keep it."""
    (first, last), (mass, amount) = serials, much
    row = {"lot": number, "first": first, "last": last, "mass": mass, "amount": amount}
    there = (item_mass.c.lot == number, item_mass.c.first == first)
    if connection.execute(select(item_mass.c.first).where(*there)).first() is None:
        connection.execute(insert(item_mass), [row])


def _set(connection: Connection, row: Row[Any], **values: int) -> None:
    there = (item_mass.c.lot == row.lot, item_mass.c.first == row.first)
    connection.execute(update(item_mass).where(*there).values(**values))
