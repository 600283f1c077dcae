"""What is known of a shipment: to whom, with what on it, and what came back?"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, func, or_, select

from lotroot.database import anywhere
from lotroot.dispatch.facts import BEING_LOADED, load, returned, shipment
from lotroot.errors import Unknown
from lotroot.identity.showing import shown

_by_number = select(shipment).where(shipment.c.number == bindparam("number"))
_open = select(shipment).where(BEING_LOADED).order_by(shipment.c.number.desc())
_others = (
    select(shipment)
    .where(shipment.c.state != "open")
    .order_by(shipment.c.number.desc())
    .limit(bindparam("limit"))
)
_loads = (
    select(load)
    .where(load.c.shipment == bindparam("shipment"), load.c.off.is_(None))
    .order_by(load.c.event, load.c.seq)
)
_returns = select(returned).where(returned.c.shipment == bindparam("shipment")).order_by(returned.c.event)
_loads_of_lots = (
    select(load, shipment.c.customer, shipment.c.state, shipment.c.left)
    .join(shipment, shipment.c.number == load.c.shipment)
    .where(load.c.lot.in_(bindparam("lots", expanding=True)), load.c.off.is_(None))
    .where(shipment.c.state != "cancelled")
    .order_by(load.c.shipment, load.c.event, load.c.seq)
)
_like = (
    select(shipment)
    .where(
        or_(
            func.lower(shipment.c.order_number).like(bindparam("like"), escape="\\"),
            shipment.c.customer.in_(bindparam("customers", expanding=True)),
        )
    )
    .order_by(shipment.c.number.desc())
    .limit(bindparam("limit"))
)
_left_to = (
    select(shipment)
    .where(shipment.c.customer == bindparam("customer"), shipment.c.state == "left")
    .order_by(shipment.c.left.desc())
    .limit(bindparam("limit"))
)
_returns_of_lots = select(returned).where(returned.c.lot.in_(bindparam("lots", expanding=True)))


class Shipment(NamedTuple):
    """A shipment with its loads (those taken off before it left are not among them) and returns."""

    row: Row[Any]
    loads: Sequence[Row[Any]]
    returns: Sequence[Row[Any]]


def find_shipment(connection: Connection, number: str) -> Shipment:
    """A shipment with what is on it. Raises Unknown."""
    row = connection.execute(_by_number, {"number": number}).first()
    if row is None:
        raise Unknown(
            f"No shipment {shown(number)} is recorded.",
            value=number,
            expected="The number on a shipment sheet.",
            next_step="Scan the shipment sheet, or open a shipment.",
        )
    query = {"shipment": number}
    return Shipment(row, connection.execute(_loads, query).all(), connection.execute(_returns, query).all())


def latest_shipments(connection: Connection, limit: int = 6) -> list[Row[Any]]:
    """The shipments that are being loaded, then the last others, the latest first."""
    others = connection.execute(_others, {"limit": limit}).all()
    return [*connection.execute(_open).all(), *others]


def packages_of(loads: Iterable[Any]) -> int:
    """How many things are loaded, as a dispatcher counts them: pallets, and what is on none one by one."""
    rows = list(loads)
    loose = [row.last - row.first + 1 if row.first else 1 for row in rows if not row.carrier]
    return len({row.carrier for row in rows if row.carrier}) + sum(loose)


def shipments_like(
    connection: Connection, order: str, customers: Iterable[str], limit: int = 20
) -> Sequence[Row[Any]]:
    """Shipments with a text in their order number, or to some customers (codes), the latest first."""
    query = {"like": anywhere(order.lower()), "customers": list(customers), "limit": limit}
    return connection.execute(_like, query).all()


def left_to(connection: Connection, customer: str, limit: int = 20) -> Sequence[Row[Any]]:
    """The shipments that left to a customer (a code), the latest first."""
    return connection.execute(_left_to, {"customer": customer, "limit": limit}).all()


def loads_of_lots(connection: Connection, lots: Sequence[str]) -> list[Row[Any]]:
    """Every load of some lots on shipments that are not cancelled, with customer, state and left."""
    return [row for some in _some(lots) for row in connection.execute(_loads_of_lots, {"lots": some})]


def returns_of_lots(connection: Connection, lots: Sequence[str]) -> list[Row[Any]]:
    """Everything of some lots that came back."""
    return [row for some in _some(lots) for row in connection.execute(_returns_of_lots, {"lots": some})]


def _some(lots: Sequence[str]) -> list[Sequence[str]]:
    return [lots[start : start + 500] for start in range(0, len(lots), 500)]
