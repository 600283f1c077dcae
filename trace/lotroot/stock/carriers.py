"""Which carriers are there, where do they stand and what is on them?"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, or_, select

from lotroot.errors import Unknown
from lotroot.stock.tables import carrier, content

_by_number = select(carrier).where(
    or_(carrier.c.number == bindparam("name"), carrier.c.code == bindparam("name"))
)
_at = select(carrier).where(carrier.c.spot == bindparam("spot")).order_by(carrier.c.since)
_coded = select(carrier).where(carrier.c.code > "").order_by(carrier.c.kind, carrier.c.code)
_contents = select(content).where(content.c.carrier == bindparam("carrier")).order_by(content.c.put_on)


def carrier_or_none(connection: Connection, name: str) -> Row[Any] | None:
    """A carrier by its number or its plant code."""
    return connection.execute(_by_number, {"name": name}).first() if name else None


def find_carrier(connection: Connection, name: str) -> Row[Any]:
    """A carrier by its number or plant code. Raises Unknown."""
    row = carrier_or_none(connection, name)
    if row is None:
        raise Unknown(
            f"No carrier {name} is recorded.",
            value=name,
            expected="The label of a pan, tram, spool or pallet.",
            next_step="Scan the carrier's own label.",
        )
    return row


def shipment_at(connection: Connection, spot: str) -> str:
    """The shipment that a spot is, or that the carrier it names stands on; empty for anywhere else."""
    carrier = carrier_or_none(connection, spot) if spot.startswith("P") else None
    there = str(carrier.spot) if carrier is not None else spot
    return there if there.startswith("D") else ""


def carriers_at(connection: Connection, spot: str) -> Sequence[Row[Any]]:
    """The carriers standing at a place, in a run or on a shipment."""
    return connection.execute(_at, {"spot": spot}).all()


def coded_carriers(connection: Connection) -> Sequence[Row[Any]]:
    """The plant's own carriers, pans and trams, by kind and code: few, where pallets are ever more."""
    return connection.execute(_coded).all()


def contents(connection: Connection, number: str) -> Sequence[Row[Any]]:
    """All that was ever put on a carrier: dated lines, `taken_off` is None for what is on it."""
    return connection.execute(_contents, {"carrier": number}).all()
