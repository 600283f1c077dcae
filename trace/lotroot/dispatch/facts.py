"""Which facts make a shipment, and how do they become its tables?"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Index,
    Integer,
    Row,
    Table,
    Text,
    insert,
    literal_column,
    select,
    update,
)

from lotroot.database import index_where, metadata
from lotroot.ledger.events import Recorded, event
from lotroot.stock.standing import part_of_range

shipment = Table(
    "shipment",
    metadata,
    Column("number", Text, primary_key=True),
    Column("customer", Text, nullable=False),
    Column("order_number", Text, nullable=False),
    Column("state", Text, nullable=False),  # open, left, cancelled
    Column("opened", BigInteger, nullable=False),
    Column("left", BigInteger),
    Column("vehicle", Text, nullable=False),
    Column("seal", Text, nullable=False),
    Column("person", Text, nullable=False),
    sqlite_with_rowid=False,
    info={"layer": "status"},
)
Index("ix_shipment_left", shipment.c.left)
BEING_LOADED = shipment.c.state == literal_column("'open'")
index_where("ix_shipment_open", BEING_LOADED, shipment.c.number)

load = Table(
    "load",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("shipment", Text, nullable=False),
    Column("carrier", Text, nullable=False),
    Column("lot", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("off", BigInteger),  # the event that took it off before the shipment left
    sqlite_with_rowid=False,
    info={"layer": "status"},
)
Index("ix_load_shipment", load.c.shipment)
# With all that a recall asks of a load, so that it need not go to the row as well.
Index("ix_load_lot", load.c.lot, load.c.off, load.c.shipment, load.c.amount)

returned = Table(
    "returned",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("shipment", Text, nullable=False),
    Column("lot", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("reason", Text, nullable=False),
    info={"layer": "status"},
)
Index("ix_returned_shipment", returned.c.shipment)
Index("ix_returned_lot", returned.c.lot)


@dataclass(frozen=True)
class LoadLine:
    """Goods as they were when loaded: a lot, or serials first to last of it, in the lot's unit."""

    lot: str
    amount: int
    first: int = 0
    last: int = 0
    carrier: str = ""


@event
@dataclass(frozen=True)
class ShipmentOpened:
    """A shipment to a customer is being loaded."""

    shipment: str
    customer: str
    order_number: str = ""


@event
@dataclass(frozen=True)
class ShipmentLoaded:
    """Goods went onto the shipment."""

    shipment: str
    lines: tuple[LoadLine, ...]


@event
@dataclass(frozen=True)
class ShipmentUnloaded:
    """Goods came off the shipment before it left; `carrier` or `lot` (with serials) says which."""

    shipment: str
    carrier: str = ""
    lot: str = ""
    first: int = 0
    last: int = 0


@event
@dataclass(frozen=True)
class ShipmentLeft:
    """The shipment has left the plant."""

    shipment: str
    vehicle: str = ""
    seal: str = ""


@event
@dataclass(frozen=True)
class ShipmentReopened:
    """The shipment has not left after all."""

    shipment: str


@event
@dataclass(frozen=True)
class ShipmentCancelled:
    """Nothing went out under this number."""

    shipment: str


@event
@dataclass(frozen=True)
class ShipmentCorrected:
    """A shipment went to another customer, under another order, than recorded."""

    shipment: str
    customer: str
    order_number: str
    was: str


@event
@dataclass(frozen=True)
class GoodsReturned:
    """Shipped goods came back."""

    shipment: str
    lines: tuple[LoadLine, ...]
    reason: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of shipments; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about shipments."""


@_apply.register
def _(event: ShipmentOpened, connection: Connection, recorded: Recorded) -> None:
    row = {
        "number": event.shipment,
        "customer": event.customer,
        "order_number": event.order_number,
        "state": "open",
        "opened": recorded.posting.happened,
        "vehicle": "",
        "seal": "",
        "person": recorded.posting.person,
    }
    connection.execute(insert(shipment), [row])


@_apply.register
def _(event: ShipmentLoaded, connection: Connection, recorded: Recorded) -> None:
    connection.execute(insert(load), _lines(event, recorded))


@_apply.register
def _(event: ShipmentUnloaded, connection: Connection, recorded: Recorded) -> None:
    on = [load.c.shipment == event.shipment, load.c.off.is_(None), load.c.carrier == event.carrier]
    if not event.carrier:
        on += [load.c.lot == event.lot, load.c.first <= event.last, load.c.last >= event.first]
    rows = connection.execute(select(load).where(*on).order_by(load.c.event, load.c.seq)).all()
    connection.execute(update(load).where(*on).values(off=recorded.id))
    left = [] if event.carrier else [line for row in rows for line in _left_of(connection, row, event)]
    if left:
        connection.execute(insert(load), _lines(ShipmentLoaded(event.shipment, tuple(left)), recorded))


def _left_of(connection: Connection, row: Row[Any], event: ShipmentUnloaded) -> list[LoadLine]:
    """What stays on of a row of items when some of it come off; the parts add up to the row."""
    spans = [(row.first, event.first - 1), (event.last + 1, row.last)] if row.first else []
    return [
        LoadLine(row.lot, part_of_range(connection, row, first, last), first, last)
        for first, last in spans
        if first <= last
    ]


@_apply.register
def _(event: ShipmentLeft, connection: Connection, recorded: Recorded) -> None:
    values = {"vehicle": event.vehicle, "seal": event.seal, "left": recorded.posting.happened}
    _change(connection, event.shipment, state="left", **values)


@_apply.register
def _(event: ShipmentReopened, connection: Connection, _recorded: Recorded) -> None:
    _change(connection, event.shipment, state="open", left=None)


@_apply.register
def _(event: ShipmentCancelled, connection: Connection, _recorded: Recorded) -> None:
    _change(connection, event.shipment, state="cancelled")


@_apply.register
def _(event: ShipmentCorrected, connection: Connection, _recorded: Recorded) -> None:
    _change(connection, event.shipment, customer=event.customer, order_number=event.order_number)


@_apply.register
def _(event: GoodsReturned, connection: Connection, recorded: Recorded) -> None:
    rows = [
        {**{key: value for key, value in row.items() if key != "carrier"}, "reason": event.reason}
        for row in _lines(event, recorded)
    ]
    connection.execute(insert(returned), rows)


def _lines(event: ShipmentLoaded | GoodsReturned, recorded: Recorded) -> list[dict[str, Any]]:
    return [
        {
            "event": recorded.id,
            "seq": seq,
            "shipment": event.shipment,
            "carrier": line.carrier,
            "lot": line.lot,
            "first": line.first,
            "last": line.last,
            "amount": line.amount,
        }
        for seq, line in enumerate(event.lines, 1)
    ]


def _change(connection: Connection, number: str, **values: Any) -> None:
    connection.execute(update(shipment).where(shipment.c.number == number).values(**values))
